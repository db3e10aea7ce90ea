//! Two-sided p-values of discrete distributions by minimum likelihood.

/// Masses that differ by less than this share count as equally likely: rounding of log-gamma for
/// counts of a million moves a mass by about 1e-8.
const TIE: f64 = 1e-7;

/// Exact and mid-p two-sided p-values from the log masses of every possible outcome.
///
/// Outcomes no likelier than the observed one count; mid-p leaves out half of the observed outcome's own mass.
pub(super) fn minimum_likelihood_p(ln_mass: &[f64], observed: usize) -> (f64, f64) {
    let limit = ln_mass[observed] + TIE;
    let p: f64 = ln_mass
        .iter()
        .filter(|&&m| m <= limit)
        .map(|m| m.exp())
        .sum();
    (
        p.min(1.0),
        (p - 0.5 * ln_mass[observed].exp()).clamp(0.0, 1.0),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ties_count_on_both_sides() {
        let ln_mass: Vec<f64> = [0.25, 0.5, 0.25].iter().map(|p: &f64| p.ln()).collect();
        assert!((minimum_likelihood_p(&ln_mass, 0).0 - 0.5).abs() < 1e-15);
        assert!((minimum_likelihood_p(&ln_mass, 2).1 - 0.375).abs() < 1e-15);
        assert_eq!(minimum_likelihood_p(&ln_mass, 1), (1.0, 0.75));
    }
}
