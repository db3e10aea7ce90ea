//! Rows of a design that no column tells apart, so that a value for all of them is enough.

use ndarray::{Array1, ArrayRef1};

use super::projection::Basis;

/// Rows that no column tells apart.
#[derive(Debug, Clone)]
pub(super) struct RowClasses {
    /// Class of each row.
    codes: Vec<usize>,
    /// A row of each class, and how many there are.
    firsts: Vec<usize>,
    sizes: Vec<f64>,
}

impl RowClasses {
    /// The class of each row, from 0; each has rows.
    pub(super) fn new(codes: Vec<usize>) -> Self {
        let number = codes.iter().max().map_or(0, |most| most + 1);
        let (mut firsts, mut sizes) = (vec![0; number], vec![0.0; number]);
        for (row, &class) in codes.iter().enumerate().rev() {
            firsts[class] = row;
            sizes[class] += 1.0;
        }
        Self {
            codes,
            firsts,
            sizes,
        }
    }

    /// Number of classes.
    pub(super) fn len(&self) -> usize {
        self.sizes.len()
    }

    /// The value of each class, of a vector that has one in all its rows.
    pub(super) fn of_each(&self, values: &ArrayRef1<f64>) -> Array1<f64> {
        self.firsts.iter().map(|&row| values[row]).collect()
    }

    /// Takes vectors of one value a class out of a response, once.
    pub(super) fn take_out(&self, basis: &Basis, from: &mut Array1<f64>) {
        let mut sums = self.sums(from);
        let mut out = vec![0.0; sums.len()];
        for vector in basis.vectors() {
            let along = vector.dot(&sums);
            let parts = vector.iter().zip(&self.sizes);
            for ((sum, out), (v, size)) in sums.iter_mut().zip(&mut out).zip(parts) {
                *out += along * v;
                *sum -= along * v * size;
            }
        }
        for (&class, v) in self.codes.iter().zip(from) {
            *v -= out[class];
        }
    }

    /// Sum of the values of each class.
    pub(super) fn sums(&self, values: &ArrayRef1<f64>) -> Array1<f64> {
        let mut sums = Array1::zeros(self.sizes.len());
        for (&class, v) in self.codes.iter().zip(values) {
            sums[class] += v;
        }
        sums
    }

    /// A vector with its value for each row.
    pub(super) fn expanded(&self, vector: &ArrayRef1<f64>) -> Array1<f64> {
        self.codes.iter().map(|&class| vector[class]).collect()
    }
}
