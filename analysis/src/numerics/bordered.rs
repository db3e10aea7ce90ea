//! Symmetric systems of which a part is diagonal: the indicators of a factor never meet in a row.
//!
//! With A = \[D B'; B S\], D diagonal of order g and S of order w, the factor is L = \[D^1/2 0; B D^-1/2 C\] with
//! C C' = S - B D^-1 B', the Schur complement. It takes time in proportion to g w^2 + w^3 and room for g w + w^2: a
//! design of hundreds of blocks costs as much for each block as one of ten (Searle, "Linear Models" 1971, section
//! 7.1, absorbs the equations of a factor in the same way).

use std::ops::Range;

/// A symmetric positive definite matrix whose rows and columns in one range have nothing beside the diagonal among
/// themselves; after [`factor`](Self::factor) its Cholesky factor.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Bordered {
    /// Rows of the diagonal part.
    range: Range<usize>,
    /// D, then its root.
    diagonal: Vec<f64>,
    /// B, then B D^-1/2: a row for each of the others, which go on in `rest`.
    border: Vec<f64>,
    /// S, then C: lower triangle, row by row.
    rest: Vec<f64>,
    /// Order of S.
    others: usize,
}

impl Bordered {
    /// All zeros, of order `width`, diagonal in `range`.
    pub(crate) fn zeros(width: usize, range: Range<usize>) -> Self {
        let others = width - range.len();
        Self {
            diagonal: vec![0.0; range.len()],
            border: vec![0.0; others * range.len()],
            rest: vec![0.0; others * others],
            range,
            others,
        }
    }

    /// Sets every element to zero.
    pub(crate) fn clear(&mut self) {
        self.diagonal.fill(0.0);
        self.border.fill(0.0);
        self.rest.fill(0.0);
    }

    /// Adds `weight` x x' to the matrix, for the row x whose cells other than zero are given, columns ascending. At
    /// most one of them lies in the diagonal part.
    #[inline]
    pub(crate) fn add_square(&mut self, columns: &[usize], values: &[f64], weight: f64) {
        let groups = self.range.len();
        for (a, (&row, x)) in columns.iter().zip(values).enumerate() {
            let left = weight * x;
            for (&column, y) in columns[..=a].iter().zip(values) {
                let to = match (place(&self.range, row), place(&self.range, column)) {
                    (Place::Group(group), Place::Group(_)) => &mut self.diagonal[group],
                    (Place::Group(group), Place::Other(other))
                    | (Place::Other(other), Place::Group(group)) => {
                        &mut self.border[other * groups + group]
                    }
                    (Place::Other(one), Place::Other(other)) => {
                        &mut self.rest[one * self.others + other]
                    }
                };
                *to += left * y;
            }
        }
    }

    /// Factors the matrix in place.
    ///
    /// # Errors
    /// A row whose pivot is not above `tiny` times its own diagonal: it depends on the others, or the matrix is not
    /// positive definite.
    pub(crate) fn factor(&mut self, tiny: f64) -> Result<(), Dependent> {
        let (groups, others) = (self.range.len(), self.others);
        // Written so that a number that is none is refused as well.
        if !self.diagonal.iter().all(|d| *d > 0.0) {
            return Err(Dependent);
        }
        for d in &mut self.diagonal {
            *d = d.sqrt();
        }
        for row in self.border.chunks_exact_mut(groups.max(1)) {
            for (x, d) in row.iter_mut().zip(&self.diagonal) {
                *x /= d;
            }
        }
        for i in 0..others {
            let whole = self.rest[i * others + i];
            let border = &self.border[i * groups..(i + 1) * groups];
            let (above, row) = self.rest.split_at_mut(i * others);
            for j in 0..i {
                let sum = row[j]
                    - dot(border, &self.border[j * groups..(j + 1) * groups])
                    - dot(&row[..j], &above[j * others..j * others + j]);
                row[j] = sum / above[j * others + j];
            }
            let pivot = whole - dot(border, border) - dot(&row[..i], &row[..i]);
            if !(pivot > tiny * whole && pivot > 0.0) {
                return Err(Dependent);
            }
            row[i] = pivot.sqrt();
        }
        Ok(())
    }

    /// Solves A x = b in place, once factored.
    pub(crate) fn solve(&self, b: &mut [f64]) {
        let (from, to) = (self.range.start, self.range.end);
        for (x, d) in b[from..to].iter_mut().zip(&self.diagonal) {
            *x /= d;
        }
        for i in 0..self.others {
            let at = self.row_of(i);
            let mut sum = b[at] - dot(self.border_of(i), &b[from..to]);
            for j in 0..i {
                sum -= self.rest[i * self.others + j] * b[self.row_of(j)];
            }
            b[at] = sum / self.rest[i * self.others + i];
        }
        for i in (0..self.others).rev() {
            let at = self.row_of(i);
            b[at] /= self.rest[i * self.others + i];
            let x = b[at];
            for j in 0..i {
                b[self.row_of(j)] -= self.rest[i * self.others + j] * x;
            }
            for (value, l) in b[from..to].iter_mut().zip(self.border_of(i)) {
                *value -= l * x;
            }
        }
        for (x, d) in b[from..to].iter_mut().zip(&self.diagonal) {
            *x /= d;
        }
    }

    /// The inverse of A, once factored.
    pub(crate) fn inverse(&self) -> Inverse {
        let width = self.others + self.range.len();
        let mut columns = vec![0.0; self.others * width];
        for (i, column) in columns.chunks_exact_mut(width).enumerate() {
            column[self.row_of(i)] = 1.0;
            self.solve(column);
        }
        let scaled = |i: usize| {
            let row = self.border_of(i).iter();
            row.zip(&self.diagonal).map(|(l, d)| l / d)
        };
        Inverse {
            range: self.range.clone(),
            width,
            diagonal: self.diagonal.iter().map(|d| 1.0 / (d * d)).collect(),
            border: (0..self.others).flat_map(scaled).collect(),
            columns,
        }
    }

    /// Row of the whole matrix that is the `i`-th of the others.
    #[inline]
    fn row_of(&self, i: usize) -> usize {
        if i < self.range.start {
            i
        } else {
            i + self.range.len()
        }
    }

    /// The border's row of the `i`-th of the others.
    #[inline]
    fn border_of(&self, i: usize) -> &[f64] {
        let groups = self.range.len();
        &self.border[i * groups..(i + 1) * groups]
    }
}

/// A row depends on others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Dependent;

/// The inverse of a [`Bordered`] matrix, each element at hand.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Inverse {
    range: Range<usize>,
    width: usize,
    /// D^-1.
    diagonal: Vec<f64>,
    /// B D^-1.
    border: Vec<f64>,
    /// The columns of the inverse that belong to the others.
    columns: Vec<f64>,
}

impl Inverse {
    /// The element in row `i` and column `j`.
    pub(crate) fn element(&self, i: usize, j: usize) -> f64 {
        let groups = self.range.len();
        match (place(&self.range, i), place(&self.range, j)) {
            (Place::Other(other), _) => self.columns[other * self.width + j],
            (_, Place::Other(other)) => self.columns[other * self.width + i],
            (Place::Group(a), Place::Group(b)) => {
                let own = if a == b { self.diagonal[a] } else { 0.0 };
                let columns = self.columns.chunks_exact(self.width);
                let through = columns.zip(self.border.chunks_exact(groups));
                own - through
                    .map(|(column, border)| border[a] * column[j])
                    .sum::<f64>()
            }
        }
    }
}

/// Where a row belongs.
enum Place {
    /// To the diagonal part.
    Group(usize),
    /// To the others.
    Other(usize),
}

/// Place of a row of the whole matrix.
#[inline]
fn place(range: &Range<usize>, row: usize) -> Place {
    if row < range.start {
        Place::Other(row)
    } else if row < range.end {
        Place::Group(row - range.start)
    } else {
        Place::Other(row - range.len())
    }
}

#[inline]
fn dot(x: &[f64], y: &[f64]) -> f64 {
    x.iter().zip(y).map(|(x, y)| x * y).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::cholesky::Cholesky;
    use ndarray::Array2;

    /// Rows with an intercept, one of three groups between two covariates, as sparse cells.
    fn rows() -> Vec<(Vec<usize>, Vec<f64>)> {
        let row = |i: u32| {
            let group = 2 + (i % 4) as usize;
            let (x, z) = (f64::from(i * i % 7) - 2.0, f64::from(i % 5));
            if group == 5 {
                (vec![0, 1, 5], vec![1.0, x, z])
            } else {
                (vec![0, 1, group, 5], vec![1.0, x, 1.0, z])
            }
        };
        (0..20).map(row).collect()
    }

    /// Against the plain factor of the same matrix.
    #[test]
    fn solutions_and_inverse_are_those_of_the_whole_matrix() {
        for range in [2..5, 0..0, 6..6, 3..4] {
            let mut bordered = Bordered::zeros(6, range);
            let mut whole = Array2::zeros((6, 6));
            for (columns, values) in rows() {
                bordered.add_square(&columns, &values, 0.7);
                for (&i, x) in columns.iter().zip(&values) {
                    for (&j, y) in columns.iter().zip(&values) {
                        whole[[i, j]] += 0.7 * x * y;
                    }
                }
            }
            let plain = Cholesky::new(whole, 1e-12).unwrap();
            bordered.factor(1e-12).unwrap();
            let mut b = [1.0, -2.0, 3.0, 0.5, 0.0, 4.0];
            let mut want = b;
            bordered.solve(&mut b);
            plain.solve(&mut want);
            let (inverse, wanted) = (bordered.inverse(), plain.inverse());
            for i in 0..6 {
                assert!((b[i] - want[i]).abs() < 1e-12 * want[i].abs().max(1.0));
                for j in 0..6 {
                    let (got, want) = (inverse.element(i, j), wanted[[i, j]]);
                    assert!((got - want).abs() < 1e-12, "{i} {j}: {got} {want}");
                }
            }
        }
    }

    #[test]
    fn a_row_that_depends_on_others_is_refused() {
        let mut tied = Bordered::zeros(3, 1..3);
        for group in [1, 2] {
            tied.add_square(&[0, group], &[1.0, 1.0], 1.0);
        }
        assert_eq!(tied.factor(1e-12), Err(Dependent));
        let mut empty = Bordered::zeros(2, 0..1);
        empty.add_square(&[1], &[1.0], 1.0);
        assert_eq!(empty.factor(1e-12), Err(Dependent));
    }
}
