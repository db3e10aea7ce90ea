//! Gauss nodes and weights.

/// Nodes and weights of a rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Where the integrand is evaluated, ascending.
    pub nodes: Vec<f64>,
    /// What each value counts for.
    pub weights: Vec<f64>,
}

/// Gauss-Legendre rule of `n` points on [-1, 1]: exact for polynomials to degree 2n - 1.
///
/// Newton's method on the Legendre recurrence (Press et al., "Numerical Recipes", 4.5), to rounding.
#[must_use]
pub fn legendre(n: usize) -> Rule {
    let mut nodes = vec![0.0; n];
    let mut weights = vec![0.0; n];
    for i in 0..n.div_ceil(2) {
        let mut x = (std::f64::consts::PI * (i as f64 + 0.75) / (n as f64 + 0.5)).cos();
        let mut slope = 1.0;
        // Quadratic convergence from this start needs at most six steps.
        for _ in 0..8 {
            let (mut p, mut q) = (1.0, 0.0);
            for j in 0..n {
                let r = q;
                q = p;
                p = ((2 * j + 1) as f64 * x * q - j as f64 * r) / (j + 1) as f64;
            }
            slope = n as f64 * (x * p - q) / (x * x - 1.0);
            x -= p / slope;
        }
        nodes[i] = -x;
        nodes[n - 1 - i] = x;
        let weight = 2.0 / ((1.0 - x * x) * slope * slope);
        weights[i] = weight;
        weights[n - 1 - i] = weight;
    }
    Rule { nodes, weights }
}

/// Gauss-Hermite rule of `n` points for the weight exp(-x^2): the weights sum to sqrt(pi).
///
/// Newton's method on the orthonormal Hermite recurrence (Press et al., "Numerical Recipes", 4.5);
/// good to rounding for n up to about 100, well beyond what adaptive rules need.
#[must_use]
pub fn hermite(n: usize) -> Rule {
    // pi^(-1/4)
    const FIRST: f64 = 0.751_125_544_464_942_5;
    let mut nodes = vec![0.0; n];
    let mut weights = vec![0.0; n];
    let mut x = 0.0_f64;
    for i in 0..n.div_ceil(2) {
        x = match i {
            0 => (2.0 * n as f64 + 1.0).sqrt() - 1.85575 * (2.0 * n as f64 + 1.0).powf(-1.0 / 6.0),
            1 => x - 1.14 * (n as f64).powf(0.426) / x,
            2 => 1.86 * x + 0.86 * nodes[0],
            3 => 1.91 * x + 0.91 * nodes[1],
            _ => 2.0 * x + nodes[i - 2],
        };
        let mut slope = 1.0;
        for _ in 0..12 {
            let (mut p, mut q) = (FIRST, 0.0);
            for j in 0..n {
                let r = q;
                q = p;
                let next = (j + 1) as f64;
                p = x * (2.0 / next).sqrt() * q - (j as f64 / next).sqrt() * r;
            }
            slope = (2.0 * n as f64).sqrt() * q;
            x -= p / slope;
        }
        nodes[i] = -x;
        nodes[n - 1 - i] = x;
        let weight = 2.0 / (slope * slope);
        weights[i] = weight;
        weights[n - 1 - i] = weight;
    }
    Rule { nodes, weights }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun 1964, tables 25.4 (n = 5) and 25.10 (n = 5).
    #[test]
    fn five_point_rules_are_as_tabulated() {
        let rule = legendre(5);
        assert!((rule.nodes[4] - 0.906_179_845_938_664).abs() < 1e-14);
        assert!((rule.weights[4] - 0.236_926_885_056_189).abs() < 1e-14);
        assert!((rule.weights[2] - 0.568_888_888_888_889).abs() < 1e-14);
        let rule = hermite(5);
        assert!((rule.nodes[4] - 2.020_182_870_456_086).abs() < 1e-13);
        assert!((rule.weights[4] - 1.995_324_205_905e-2).abs() < 1e-13);
        assert!((rule.weights[2] - 0.945_308_720_482_9).abs() < 1e-12);
    }

    #[test]
    fn weights_sum_to_the_whole() {
        for n in 1..=60 {
            let total: f64 = legendre(n).weights.iter().sum();
            assert!((total - 2.0).abs() < 1e-12, "legendre {n}: {total}");
            let total: f64 = hermite(n).weights.iter().sum();
            assert!(
                (total - std::f64::consts::PI.sqrt()).abs() < 1e-11,
                "hermite {n}: {total}"
            );
        }
    }
}
