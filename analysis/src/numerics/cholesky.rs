//! Small symmetric systems: factor once, solve often.
//!
//! Field trials have tens of parameters, and their fits run thousands of times: a plain row-by-row
//! factor on a slice, without allocation, is what is quick there.

/// Factors a symmetric positive definite matrix in place.
///
/// `a` is `n` x `n`, row-major; only its lower triangle is read, and overwritten by L with L L' = A.
/// Returns the first row whose pivot is not above `tiny` times its own diagonal: that row depends on
/// those before it (or the matrix is not positive definite).
///
/// # Errors
/// The index of the row that depends on the rows before it.
pub fn factor(a: &mut [f64], n: usize, tiny: f64) -> Result<(), usize> {
    for i in 0..n {
        let diagonal = a[i * n + i];
        for j in 0..i {
            let (above, row) = a.split_at(i * n);
            let mut sum = row[j];
            for (x, y) in row[..j].iter().zip(&above[j * n..j * n + j]) {
                sum -= x * y;
            }
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
pub fn solve(l: &[f64], n: usize, b: &mut [f64]) {
    forward(l, n, b);
    backward(l, n, b);
}

/// Solves L' x = b in place.
pub fn backward(l: &[f64], n: usize, b: &mut [f64]) {
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
pub fn forward(l: &[f64], n: usize, b: &mut [f64]) {
    for i in 0..n {
        let mut sum = b[i];
        for (x, y) in l[i * n..i * n + i].iter().zip(b.iter()) {
            sum -= x * y;
        }
        b[i] = sum / l[i * n + i];
    }
}

/// The inverse of A, `n` x `n` row-major, for L from [`factor`].
#[must_use]
pub fn inverse(l: &[f64], n: usize) -> Vec<f64> {
    let mut out = vec![0.0; n * n];
    invert(l, n, &mut out);
    out
}

/// As [`inverse`], into `out`.
pub fn invert(l: &[f64], n: usize, out: &mut [f64]) {
    out.fill(0.0);
    // The inverse is symmetric: its columns may stand as rows.
    for (j, column) in out.chunks_exact_mut(n.max(1)).enumerate() {
        column[j] = 1.0;
        solve(l, n, column);
    }
}

/// log |A| for L from [`factor`].
#[must_use]
pub fn ln_determinant(l: &[f64], n: usize) -> f64 {
    2.0 * (0..n).map(|i| l[i * n + i].ln()).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hilbert_matrix_of_order_four() {
        // Exact inverse and determinant 1/6048000 (Knuth, The Art of Computer Programming 1, 1.2.3).
        let n = 4;
        let mut a: Vec<f64> = (0..16)
            .map(|e| 1.0 / f64::from(e / 4 + e % 4 + 1))
            .collect();
        factor(&mut a, n, 0.0).unwrap();
        assert!((ln_determinant(&a, n) + 6_048_000_f64.ln()).abs() < 1e-10);
        let inverse = inverse(&a, n);
        for (got, want) in inverse
            .iter()
            .zip([16.0, -120.0, 240.0, -140.0, -120.0, 1200.0])
        {
            assert!((got - want).abs() < 1e-8 * want.abs());
        }
        let mut b = vec![1.0; 4];
        solve(&a, n, &mut b);
        for (got, want) in b.iter().zip([-4.0, 60.0, -180.0, 140.0]) {
            assert!((got - want).abs() < 1e-8 * want.abs());
        }
    }

    #[test]
    fn a_dependent_row_is_named() {
        let mut a = vec![1.0, 0.0, 1.0, 0.0, 1.0, 1.0, 1.0, 1.0, 2.0];
        assert_eq!(factor(&mut a, 3, 1e-12), Err(2));
    }
}
