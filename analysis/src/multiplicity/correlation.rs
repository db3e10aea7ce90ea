//! How contrasts with one control hang together.

use ndarray::ArrayRef2;

use crate::Error;

/// `lambda` of each treatment from its number of replicates and that of the control, on a common
/// variance: sqrt(n / (n + control)). Contrasts i and j then correlate by `lambda[i] * lambda[j]`
/// (one half when all have the same number).
///
/// ```
/// use halfgreen_analysis::multiplicity::lambda_from_replication;
/// let lambda = lambda_from_replication(&[4.0, 4.0], 4.0).unwrap();
/// assert!((lambda[0] * lambda[1] - 0.5).abs() < 1e-15);
/// ```
///
/// # Errors
/// When a number of replicates is not above 0 and finite. Numbers need not be whole: information
/// (one over the variance of a mean) serves as well.
pub fn lambda_from_replication(treatments: &[f64], control: f64) -> Result<Vec<f64>, Error> {
    if let Some(bad) = treatments
        .iter()
        .chain([&control])
        .find(|n| !(**n > 0.0 && n.is_finite()))
    {
        return Err(Error::new(
            "replicates",
            bad.to_string(),
            "every treatment and the control need a number of replicates above 0",
            "leave out treatments without plots",
        ));
    }
    Ok(treatments
        .iter()
        .map(|n| (n / (n + control)).sqrt())
        .collect())
}

/// `lambda` of a correlation matrix of product structure, whose entries off the diagonal are the
/// products `lambda[i] * lambda[j]` to within `tolerance`; `None` when no `lambda` expresses it.
///
/// Two contrasts always have one. Correlations of 0 among three or more contrasts are recognised
/// only when all are 0.
#[must_use]
pub fn lambda_from_correlation(correlation: &ArrayRef2<f64>, tolerance: f64) -> Option<Vec<f64>> {
    let k = correlation.nrows();
    if !correlation.is_square() || correlation.iter().any(|r| !r.is_finite()) {
        return None;
    }
    let r = |i: usize, j: usize| correlation[[i, j]];
    let lambda = match k {
        0 => Vec::new(),
        1 => vec![0.0],
        2 => {
            let size = r(0, 1).abs().sqrt();
            vec![size, size.copysign(r(0, 1))]
        }
        _ if correlation.iter().filter(|r| r.abs() > tolerance).count() == k => vec![0.0; k],
        _ => {
            let first = (r(0, 1) * r(0, 2) / r(1, 2)).sqrt();
            let mut lambda = vec![first];
            lambda.extend((1..k).map(|j| r(0, j) / first));
            lambda
        }
    };
    let fits = (0..k).all(|i| {
        lambda[i].abs() < 1.0
            && (0..i).all(|j| (lambda[i] * lambda[j] - r(i, j)).abs() <= tolerance)
    });
    fits.then_some(lambda)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::{Array2, array};

    #[test]
    fn product_structure_is_found_or_refused() {
        let lambda = lambda_from_replication(&[4.0, 8.0, 2.0], 5.0).unwrap();
        let matrix =
            Array2::from_shape_fn(
                (3, 3),
                |(i, j)| {
                    if i == j { 1.0 } else { lambda[i] * lambda[j] }
                },
            );
        let found = lambda_from_correlation(&matrix, 1e-12).unwrap();
        assert!(
            found
                .iter()
                .zip(&lambda)
                .all(|(a, b)| (a - b).abs() < 1e-12)
        );
        // Neighbouring differences: -1/2, -1/2, 0.
        let chain = array![[1.0, -0.5, 0.0], [-0.5, 1.0, -0.5], [0.0, -0.5, 1.0]];
        assert_eq!(lambda_from_correlation(&chain, 1e-12), None);
        let pair = array![[1.0, -0.4], [-0.4, 1.0]];
        assert!(lambda_from_correlation(&pair, 1e-12).is_some());
        assert!(lambda_from_replication(&[0.0], 3.0).is_err());
    }
}
