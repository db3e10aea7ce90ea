//! Many tests at once, when some false claims among the true ones are tolerable.

/// The least share of false claims at which each test would be called, in the order given (Benjamini &
/// Hochberg 1995, J. R. Stat. Soc. B 57, 289-300).
///
/// Valid for independent tests and for tests that rise together (Benjamini & Yekutieli 2001, Ann. Stat.
/// 29, 1165-1188). Calling all tests with a value of at most q keeps the expected share of false claims
/// at or below q. An empty slice gives an empty vector.
///
/// ```
/// let q = halfgreen_analysis::multiplicity::false_discovery(&[0.01, 0.04, 0.03]);
/// assert_eq!(q, [0.03, 0.04, 0.04]);
/// ```
#[must_use]
pub fn false_discovery(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&a, &b| p[a].total_cmp(&p[b]));
    let mut adjusted = vec![1.0; p.len()];
    let mut least = 1.0_f64;
    for (rank, &i) in order.iter().enumerate().rev() {
        least = least.min(p[i] * p.len() as f64 / (rank as f64 + 1.0));
        adjusted[i] = least;
    }
    adjusted
}

/// The same where some tests do not exist; they count for nothing.
pub(crate) fn false_discovery_among(p: &[Option<f64>]) -> Vec<Option<f64>> {
    let known: Vec<f64> = p.iter().copied().flatten().collect();
    let mut adjusted = false_discovery(&known).into_iter();
    p.iter().map(|p| p.and_then(|_| adjusted.next())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 15 ordered p-values of the paper's worked example (section 3.2), of which it calls four at 5 %.
    #[test]
    fn the_papers_example() {
        let p = [
            0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
            0.5719, 0.6528, 0.7590, 1.0,
        ];
        let called = false_discovery(&p).iter().filter(|&&q| q <= 0.05).count();
        assert_eq!(called, 4);
    }

    #[test]
    fn missing_tests_count_for_nothing() {
        assert_eq!(false_discovery(&[]), Vec::<f64>::new());
        let among = false_discovery_among(&[None, Some(0.01), None, Some(0.5)]);
        assert_eq!(among, [None, Some(0.02), None, Some(0.5)]);
    }
}
