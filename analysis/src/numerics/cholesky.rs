//! Small symmetric systems: factor once, solve often.
//!
//! Field trials have tens of parameters, and their fits run thousands of times: a plain row-by-row
//! factor on a slice, without allocation, is what is quick there. [`Cholesky`] is the same on arrays.

use ndarray::Array2;

/// The Cholesky factor L of a symmetric positive definite matrix A = L L'.
#[derive(Debug, Clone, PartialEq)]
pub struct Cholesky {
    /// In standard order; only the lower triangle has a meaning.
    l: Array2<f64>,
}

impl Cholesky {
    /// Factors `a`, of which only the lower triangle is read.
    ///
    /// # Errors
    /// The index of the first row whose pivot is not above `tiny` times its own diagonal: that row depends on
    /// those before it, or the matrix is not positive definite.
    pub fn new(a: Array2<f64>, tiny: f64) -> Result<Self, usize> {
        let n = a.nrows();
        let mut l = if a.is_standard_layout() {
            a
        } else {
            a.as_standard_layout().into_owned()
        };
        factor(l.as_slice_mut().unwrap_or_default(), n, tiny)?;
        Ok(Self { l })
    }

    /// The factor in one piece, row by row.
    fn cells(&self) -> &[f64] {
        self.l.as_slice().unwrap_or_default()
    }

    /// Solves A x = b in place.
    pub fn solve(&self, b: &mut [f64]) {
        solve(self.cells(), self.l.nrows(), b);
    }

    /// Solves L x = b in place.
    pub fn forward(&self, b: &mut [f64]) {
        forward(self.cells(), self.l.nrows(), b);
    }

    /// Row `i` of L up to its diagonal.
    #[must_use]
    pub fn row(&self, i: usize) -> &[f64] {
        let n = self.l.nrows();
        &self.cells()[i * n..=i * n + i]
    }

    /// Order of the matrix.
    #[must_use]
    pub fn order(&self) -> usize {
        self.l.nrows()
    }

    /// The inverse of A.
    #[must_use]
    pub fn inverse(&self) -> Array2<f64> {
        let mut out = Array2::zeros(self.l.dim());
        invert(
            self.cells(),
            self.l.nrows(),
            out.as_slice_mut().unwrap_or_default(),
        );
        out
    }

    /// Element `i` of the diagonal of the inverse of A: the squared length of L^-1 e, e the unit vector of `i`.
    #[must_use]
    pub fn inverse_diagonal(&self, i: usize) -> f64 {
        let (l, n) = (self.cells(), self.l.nrows());
        // Above `i` the vector holds nothing.
        let mut column: Vec<f64> = Vec::with_capacity(n - i);
        for row in i..n {
            let start = if row == i { 1.0 } else { 0.0 };
            let sum = less(start, &l[row * n + i..row * n + row], &column);
            column.push(sum / l[row * n + row]);
        }
        column.iter().map(|x| x * x).sum()
    }

    /// log |A|.
    #[must_use]
    pub fn ln_determinant(&self) -> f64 {
        ln_determinant(self.cells(), self.l.nrows())
    }
}

/// Factors a symmetric positive definite matrix in place.
///
/// `a` is `n` x `n`, row-major; only its lower triangle is read, and overwritten by L with L L' = A.
/// Returns the first row whose pivot is not above `tiny` times its own diagonal: that row depends on
/// those before it (or the matrix is not positive definite).
///
/// # Errors
/// The index of the row that depends on the rows before it.
pub(crate) fn factor(a: &mut [f64], n: usize, tiny: f64) -> Result<(), usize> {
    for i in 0..n {
        let diagonal = a[i * n + i];
        for j in 0..i {
            let (above, row) = a.split_at(i * n);
            let sum = less(row[j], &row[..j], &above[j * n..j * n + j]);
            a[i * n + j] = sum / a[j * n + j];
        }
        let pivot = diagonal - a[i * n..i * n + i].iter().map(|x| x * x).sum::<f64>();
        // Written so that a pivot that is not a number is refused as well.
        if !(pivot > tiny * diagonal && pivot > 0.0) {
            return Err(i);
        }
        a[i * n + i] = pivot.sqrt();
    }
    Ok(())
}

/// Solves L L' x = b in place, for L from [`factor`].
pub(crate) fn solve(l: &[f64], n: usize, b: &mut [f64]) {
    forward(l, n, b);
    backward(l, n, b);
}

/// Solves L' x = b in place.
pub(crate) fn backward(l: &[f64], n: usize, b: &mut [f64]) {
    // By rows of L, which lie together in memory.
    for i in (0..n).rev() {
        let (before, rest) = b.split_at_mut(i);
        rest[0] /= l[i * n + i];
        for (value, x) in before.iter_mut().zip(&l[i * n..i * n + i]) {
            *value -= x * rest[0];
        }
    }
}

/// Solves L x = b in place.
pub(crate) fn forward(l: &[f64], n: usize, b: &mut [f64]) {
    for i in 0..n {
        b[i] = less(b[i], &l[i * n..i * n + i], &b[..i]) / l[i * n + i];
    }
}

/// Products that are added up one after the other; longer sums are added up in [`ABREAST`] parts, several times as fast.
const SHORT: usize = 64;
/// Parts of a long sum.
const ABREAST: usize = 8;

/// `from` less the products of two rows.
#[inline]
fn less(from: f64, x: &[f64], y: &[f64]) -> f64 {
    if x.len() < SHORT {
        return x.iter().zip(y).fold(from, |sum, (x, y)| sum - x * y);
    }
    let mut parts = [0.0; ABREAST];
    let (xs, ys) = (x.chunks_exact(ABREAST), y.chunks_exact(ABREAST));
    let rest = xs.remainder().iter().zip(ys.remainder());
    let rest: f64 = rest.map(|(x, y)| x * y).sum();
    for (x, y) in xs.zip(ys) {
        for ((part, x), y) in parts.iter_mut().zip(x).zip(y) {
            *part += x * y;
        }
    }
    from - (parts.iter().sum::<f64>() + rest)
}

/// The inverse of A, `n` x `n` row-major, for L from [`factor`], into `out`.
pub(crate) fn invert(l: &[f64], n: usize, out: &mut [f64]) {
    out.fill(0.0);
    // The inverse is symmetric: its columns may stand as rows.
    for (j, column) in out.chunks_exact_mut(n.max(1)).enumerate() {
        column[j] = 1.0;
        solve(l, n, column);
    }
}

/// log |A| for L from [`factor`].
#[must_use]
pub(crate) fn ln_determinant(l: &[f64], n: usize) -> f64 {
    2.0 * (0..n).map(|i| l[i * n + i].ln()).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    #[test]
    fn the_hilbert_matrix_of_order_four() {
        // Exact inverse and determinant 1/6048000 (Knuth, The Art of Computer Programming 1, 1.2.3).
        let hilbert = Array2::from_shape_fn((4, 4), |(i, j)| 1.0 / (i + j + 1) as f64);
        let factor = Cholesky::new(hilbert, 0.0).unwrap();
        assert!((factor.ln_determinant() + 6_048_000_f64.ln()).abs() < 1e-10);
        for (got, want) in factor
            .inverse()
            .iter()
            .zip([16.0, -120.0, 240.0, -140.0, -120.0, 1200.0])
        {
            assert!((got - want).abs() < 1e-8 * want.abs());
        }
        let mut b = vec![1.0; 4];
        factor.solve(&mut b);
        for (got, want) in b.iter().zip([-4.0, 60.0, -180.0, 140.0]) {
            assert!((got - want).abs() < 1e-8 * want.abs());
        }
    }

    /// A matrix of order 200 whose inverse has three diagonals: covariances that fall off by the same share from place to
    /// place (Kac, Murdock & Szego 1953), whose inverse is known in closed form.
    #[test]
    fn long_rows_are_as_exact_as_short_ones() {
        let r: f64 = 0.9;
        let n = 200;
        let matrix = Array2::from_shape_fn((n, n), |(i, j)| {
            r.powi(i32::try_from(i.abs_diff(j)).unwrap())
        });
        let factor = Cholesky::new(matrix, 0.0).unwrap();
        let inner = (1.0 + r * r) / (1.0 - r * r);
        let end = 1.0 / (1.0 - r * r);
        for (i, want) in [(0, end), (1, inner), (100, inner), (n - 1, end)] {
            assert!((factor.inverse_diagonal(i) - want).abs() < 1e-11 * want);
        }
        let mut b = vec![0.0; n];
        b[100] = 1.0;
        factor.solve(&mut b);
        assert!((b[100] - inner).abs() < 1e-11 * inner && (b[99] + r * end).abs() < 1e-11);
        assert!(b[50].abs() < 1e-11);
    }

    #[test]
    fn an_array_that_runs_by_columns_is_read_alike() {
        let by_rows = array![[4.0, 2.0], [2.0, 3.0]];
        let by_columns = by_rows.clone().reversed_axes();
        let (one, other) = (Cholesky::new(by_rows, 0.0), Cholesky::new(by_columns, 0.0));
        assert_eq!(one.unwrap().inverse(), other.unwrap().inverse());
    }

    #[test]
    fn a_dependent_row_is_named() {
        let a = array![[1.0, 0.0, 1.0], [0.0, 1.0, 1.0], [1.0, 1.0, 2.0]];
        assert_eq!(Cholesky::new(a, 1e-12), Err(2));
    }
}
