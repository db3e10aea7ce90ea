//! Step-down adjustment that needs nothing but the p-values.

/// Holm-adjusted p-values, in the order given (S. Holm 1979, Scand. J. Statist. 6, 65-70).
///
/// Valid whatever the joint law of the tests. The smallest of m p-values is multiplied by m, the next
/// by m - 1, and so on; an adjusted value is never below that of a smaller p-value, nor above 1.
/// An empty slice gives an empty vector.
///
/// ```
/// let adjusted = halfgreen_analysis::multiplicity::holm(&[0.03, 0.01, 0.04]);
/// assert_eq!(adjusted, [0.06, 0.03, 0.06]);
/// ```
#[must_use]
pub fn holm(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&a, &b| p[a].total_cmp(&p[b]));
    let mut adjusted = vec![0.0; p.len()];
    let mut floor = 0.0_f64;
    for (rank, &i) in order.iter().enumerate() {
        floor = floor.max((p.len() - rank) as f64 * p[i]).min(1.0);
        adjusted[i] = floor;
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ties_and_ceilings() {
        assert_eq!(holm(&[]), Vec::<f64>::new());
        assert_eq!(holm(&[0.2]), [0.2]);
        assert_eq!(holm(&[0.5, 0.5, 0.9]), [1.0, 1.0, 1.0]);
        assert_eq!(holm(&[0.0, 1.0]), [0.0, 1.0]);
    }
}
