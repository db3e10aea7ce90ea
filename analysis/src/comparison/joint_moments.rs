//! Moments of a transformed count together with its score for k.

use super::own_k::ArmLaw;
use super::transformation::{Transformation, TransformedCounts};

/// Central moments of a transformed count z and its score s for k, where counts have one mean: by how often each occurs
/// in the product.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct JointMoments {
    zz: f64,
    zs: f64,
    ss: f64,
    zzz: f64,
    zzs: f64,
    zss: f64,
    sss: f64,
}

impl JointMoments {
    /// Under the law of one treatment's counts, at this mean; `scale` is the scale of all.
    pub(super) fn of(
        scale: &Transformation,
        law: &ArmLaw,
        mean: f64,
        known: &mut TransformedCounts,
    ) -> Self {
        let own = scale.under(law.inverse_k);
        let mut score = KScore::new(scale, law, mean);
        let middle = scale.of(mean);
        let (mut mass, mut z1, mut s1) = (0.0, 0.0, 0.0);
        let mut raw = Self::default();
        own.over_counts(mean, known, |share, count, value| {
            let (z, s) = (value - middle, score.at(count));
            let (zz, ss) = (z * z, s * s);
            mass += share;
            z1 += share * z;
            s1 += share * s;
            raw.zz += share * zz;
            raw.zs += share * z * s;
            raw.ss += share * ss;
            raw.zzz += share * zz * z;
            raw.zzs += share * zz * s;
            raw.zss += share * z * ss;
            raw.sss += share * ss * s;
        });
        raw.centred(mass, z1, s1)
    }

    /// From sums of products about any point to moments about the means.
    fn centred(self, mass: f64, z: f64, s: f64) -> Self {
        let (z, s) = (z / mass, s / mass);
        let [zz, zs, ss] = [self.zz, self.zs, self.ss].map(|sum| sum / mass);
        let [zzz, zzs, zss, sss] = [self.zzz, self.zzs, self.zss, self.sss].map(|sum| sum / mass);
        Self {
            zz: (zz - z * z).max(0.0),
            zs: zs - z * s,
            ss: (ss - s * s).max(0.0),
            zzz: zzz - 3.0 * z * zz + 2.0 * z * z * z,
            zzs: zzs - 2.0 * z * zs - s * zz + 2.0 * z * z * s,
            zss: zss - 2.0 * s * zs - z * ss + 2.0 * z * s * s,
            sss: sss - 3.0 * s * ss + 2.0 * s * s * s,
        }
    }

    /// By how much the expectation of z rises with the scale on which k is estimated: its covariance with the score, as the
    /// derivative of every expectation is.
    pub(super) fn rise(&self) -> f64 {
        self.zs
    }

    /// Variance of z.
    pub(super) fn variance(&self) -> f64 {
        self.zz
    }

    /// Variance of z less `slope` times s.
    pub(super) fn variance_less(&self, slope: f64) -> f64 {
        (self.zz - 2.0 * slope * self.zs + slope * slope * self.ss).max(0.0)
    }

    /// Third cumulant of z less `slope` times s.
    pub(super) fn third_less(&self, slope: f64) -> f64 {
        self.zzz - 3.0 * slope * self.zzs + 3.0 * slope * slope * self.zss
            - slope.powi(3) * self.sss
    }
}

/// The score of a count for k: the difference of its log chance a step above and a step below, over the width between.
struct KScore {
    mean: f64,
    below: f64,
    above: f64,
    width: f64,
    scales: [Transformation; 2],
    /// The last count asked for and its difference: the next one is a step away.
    last: (f64, f64),
}

impl KScore {
    fn new(scale: &Transformation, law: &ArmLaw, mean: f64) -> Self {
        let (below, above, width) = law.around;
        Self {
            mean,
            below,
            above,
            width,
            scales: [scale.under(below), scale.under(above)],
            last: (f64::NAN, 0.0),
        }
    }

    fn at(&mut self, count: f64) -> f64 {
        if self.below == self.above {
            return 0.0;
        }
        let difference = if count == self.last.0 + 1.0 {
            // From one count to the next a chance rises by mean (1 + a count) / ((1 + a mean) (count + 1)).
            let (a, b, y, m) = (self.above, self.below, self.last.0, self.mean);
            self.last.1 + ((1.0 + a * y) * (1.0 + b * m) / ((1.0 + b * y) * (1.0 + a * m))).ln()
        } else {
            let [below, above] = self.scales.map(|scale| scale.ln_pmf(self.mean)(count));
            above - below
        };
        self.last = (count, difference);
        difference / self.width
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distributions::negative_binomial::ln_pmf;

    /// Plain sums over the counts, of the products as they are.
    #[test]
    fn moments_agree_with_plain_sums() {
        for (mean, k, to) in [
            (0.4_f64, 0.5, 400_u64),
            (12.0, 1.5, 3_000),
            (90.0, 0.7, 40_000),
        ] {
            let theta = (mean / k).ln_1p();
            let at = |theta: f64| theta.exp_m1() / mean;
            let law = ArmLaw {
                inverse_k: 1.0 / k,
                around: (at(theta - 0.05), at(theta + 0.05), 0.1),
                scores: Vec::new(),
                gain: 0.0,
            };
            let scale = Transformation::new(0.3, 0.4);
            let slope = 0.7;
            let rows: Vec<(f64, f64)> = (0..to)
                .map(|y| {
                    let log = |inverse_k: f64| ln_pmf(y, mean, 1.0 / inverse_k);
                    let s = (log(law.around.1) - log(law.around.0)) / 0.1;
                    (log(law.inverse_k).exp(), scale.of(y as f64) - slope * s)
                })
                .collect();
            let average = |of: &dyn Fn(f64) -> f64| rows.iter().map(|r| r.0 * of(r.1)).sum::<f64>();
            let middle = average(&|v| v);
            let found = JointMoments::of(&scale, &law, mean, &mut TransformedCounts::default());
            let (second, third) = (
                average(&|v| (v - middle).powi(2)),
                average(&|v| (v - middle).powi(3)),
            );
            assert!((found.variance_less(slope) / second - 1.0).abs() < 1e-4);
            assert!((found.third_less(slope) - third).abs() < 1e-3 * second.powf(1.5));
            // The rise of the expectation, by a difference.
            let expected = |a: f64| scale.under(a).expected(mean);
            let rise = (expected(law.around.1) - expected(law.around.0)) / 0.1;
            assert!(
                (found.rise() - rise).abs() < 0.01 * rise.abs(),
                "{} {rise}",
                found.rise()
            );
        }
    }
}
