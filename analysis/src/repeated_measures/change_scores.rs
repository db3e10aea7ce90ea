//! One figure a plot: how its count changed.

/// log((later + 1/2) / (earlier + 1/2)) per unit of exposure, less nothing: what a randomisation test of
/// change takes as its scores. The halves keep the logarithm of an empty plot finite and take
/// the bias of log y to second order (Haldane 1956, Annals of Human Genetics 20:309-311).
#[must_use]
pub fn change_scores(
    earlier: &[u64],
    earlier_exposure: &[f64],
    later: &[u64],
    later_exposure: &[f64],
) -> Vec<f64> {
    earlier
        .iter()
        .zip(earlier_exposure)
        .zip(later.iter().zip(later_exposure))
        .map(|((&a, ea), (&b, eb))| ((b as f64 + 0.5) / eb).ln() - ((a as f64 + 0.5) / ea).ln())
        .collect()
}
