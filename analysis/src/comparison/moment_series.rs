//! Moments of transformed counts over a range of means, as Chebyshev series.

use std::f64::consts::PI;
use std::sync::LazyLock;

use super::transformation::{Transformation, TransformedCounts};

impl Transformation {
    /// The expected transformed count as a Chebyshev series over log means from `low` to `high`.
    #[must_use]
    pub fn expected_series(&self, low: f64, high: f64) -> ChebyshevSeries {
        self.moment_series(low, high, &mut TransformedCounts::default())
            .0
    }

    /// Mean and variance of the transformed count, each as a Chebyshev series over log means from `low` to `high`.
    pub(super) fn moment_series(
        &self,
        low: f64,
        high: f64,
        known: &mut TransformedCounts,
    ) -> (ChebyshevSeries, ChebyshevSeries) {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        if half < 1e-9 {
            // Narrower than any difference of means that matters: one value serves.
            let (mean, variance) = self.moments_from(middle.exp(), known);
            let constant = |value| ChebyshevSeries {
                middle,
                half: 0.0,
                coefficients: vec![value],
            };
            return (constant(mean), constant(variance));
        }
        let Cosines { terms, table } = Cosines::over(half);
        let points = &table[*terms..2 * terms];
        let values: Vec<(f64, f64)> = points
            .iter()
            .map(|x| self.moments_from((middle + half * x).exp(), known))
            .collect();
        let series = |of: fn(&(f64, f64)) -> f64| ChebyshevSeries {
            middle,
            half,
            coefficients: (table.chunks_exact(*terms).enumerate())
                .map(|(j, cosines)| {
                    let sum: f64 = values.iter().zip(cosines).map(|(v, c)| of(v) * c).sum();
                    sum * if j == 0 { 1.0 } else { 2.0 } / *terms as f64
                })
                .collect(),
        };
        (series(|v| v.0), series(|v| v.1))
    }
}

/// For every term j of a series, a row: the cosines of j times the angle of each Chebyshev point. The second row is
/// the points themselves.
struct Cosines {
    terms: usize,
    table: Vec<f64>,
}

impl Cosines {
    fn new(terms: usize) -> Self {
        let angle = |i: usize| PI * (i as f64 + 0.5) / terms as f64;
        let row = |j: usize| (0..terms).map(move |i| (j as f64 * angle(i)).cos());
        Self {
            terms,
            table: (0..terms).flat_map(row).collect(),
        }
    }

    /// As many terms as keep the error below 3e-4 of a transformed count, whose own scatter is 1/2 or more, over this
    /// half of a range of log means (tested over means from 10^-3 to 10^4).
    fn over(half: f64) -> &'static Self {
        static FEW: LazyLock<Cosines> = LazyLock::new(|| Cosines::new(8));
        static SOME: LazyLock<Cosines> = LazyLock::new(|| Cosines::new(12));
        static MANY: LazyLock<Cosines> = LazyLock::new(|| Cosines::new(20));
        if half <= 1.0 {
            &FEW
        } else if half <= 2.5 {
            &SOME
        } else {
            &MANY
        }
    }
}

/// A smooth function of the log mean, as a Chebyshev series.
#[derive(Debug, Clone)]
pub struct ChebyshevSeries {
    middle: f64,
    half: f64,
    coefficients: Vec<f64>,
}

impl ChebyshevSeries {
    /// Its value at a log mean within the range it was made for.
    #[must_use]
    pub fn at(&self, ln_mean: f64) -> f64 {
        if self.half == 0.0 {
            return self.coefficients[0];
        }
        let x = ((ln_mean - self.middle) / self.half).clamp(-1.0, 1.0);
        // Clenshaw's recurrence.
        let (mut b1, mut b2) = (0.0, 0.0);
        for c in self.coefficients[1..].iter().rev() {
            (b1, b2) = (c + 2.0 * x * b1 - b2, b1);
        }
        self.coefficients[0] + x * b1 - b2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_series_follows_the_mean() {
        for (inverse_k, power) in [
            (0.0, 0.0),
            (0.1, 0.0),
            (3.3, 0.0),
            (0.1, 0.4),
            (3.3, 0.4),
            (0.0, 0.4),
        ] {
            let s = Transformation::new(inverse_k, power);
            for width in [1.0, 2.0, 5.0, 16.0] {
                for i in 0..=16 {
                    let low = -7.0 + (16.0 - width) * f64::from(i) / 16.0;
                    let series = s.expected_series(low, low + width);
                    for j in 0..=10 {
                        let at = low + width * f64::from(j) / 10.0;
                        let (mean, sd) = (at.exp(), s.relative_sd(at.exp()));
                        let off = (series.at(at) - s.expected(mean)) / sd;
                        assert!(off.abs() < 3e-4, "{inverse_k} {power} {width} {at}: {off}");
                    }
                }
            }
        }
    }
}
