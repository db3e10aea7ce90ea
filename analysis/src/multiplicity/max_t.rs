//! Max-t: the largest of several contrasts with one control, whose correlation has product structure.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_1_SQRT_2;

use super::Alternative;
use super::chi::LogChi;

/// 1 / sqrt(2 pi)
const NORMAL_PEAK: f64 = 0.398_942_280_401_432_7;

/// The law of max over i of `lambda[i] Z + sqrt(1 - lambda[i]^2) X[i]`, Z and X independent standard
/// normals, divided by the same estimated standard deviation; of absolute values when two-sided.
///
/// Two trapezoidal sums on equally spaced nodes, which converge exponentially for integrands that are
/// analytic and vanish at both ends (Trefethen & Weideman 2014, SIAM Review 56, 385-458). The inner sum runs
/// over Z. The outer one runs over log(t S): its nodes do not depend on t, so that one table of inner
/// sums serves every statistic and every step of a root search.
#[derive(Debug)]
pub(super) struct MaxT {
    /// Distinct (lambda, 1 / (sqrt(1 - lambda^2) sqrt 2), how many contrasts have it).
    parts: Vec<(f64, f64, i32)>,
    contrasts: usize,
    /// The largest |lambda|.
    widest: f64,
    two_sided: bool,
    scale: Option<LogChi>,
    /// Step of the inner sum, and exp(-z^2 / 2) at its nodes z from 0 up.
    step: f64,
    densities: Vec<f64>,
    /// Inner sums at sign * exp(index * step of the outer sum).
    known: BTreeMap<(bool, i64), f64>,
}

/// Beyond this the normal density underflows.
const FARTHEST: f64 = 38.5;

impl MaxT {
    /// For `lambda` strictly between -1 and 1; infinite `df` means a known standard deviation.
    pub(super) fn new(lambda: &[f64], df: f64, alternative: Alternative) -> Self {
        let mut sorted = lambda.to_vec();
        sorted.sort_by(f64::total_cmp);
        let mut parts: Vec<(f64, f64, i32)> = Vec::new();
        for value in sorted {
            match parts.last_mut() {
                Some(last) if last.0 == value => last.2 += 1,
                _ => parts.push((value, FRAC_1_SQRT_2 / (1.0 - value * value).sqrt(), 1)),
            }
        }
        let contrasts = lambda.len().max(1);
        let widest = parts.iter().fold(0.0_f64, |w, p| w.max(p.0.abs()));
        // The integrand for one contrast is no narrower than a normal of standard deviation
        // sqrt(1 - lambda^2): 0.8 of it leaves 2 exp(-2 pi^2 / 0.64) = 8e-14. The product over many
        // contrasts is steeper; constants as for the outer step.
        let step = 0.8 * (1.0 - widest * widest).sqrt() / (1.0 + 0.6 * (contrasts as f64).ln());
        let density = |index: i64| {
            let z = index as f64 * step;
            (-0.5 * z * z).exp()
        };
        Self {
            contrasts,
            parts,
            widest,
            step,
            densities: (0..=whole(FARTHEST / step)).map(density).collect(),
            two_sided: alternative == Alternative::TwoSided,
            // Beyond 1e10 the t law is within 1e-10 of the normal.
            scale: (df < 1e10).then(|| LogChi::new(df)),
            known: BTreeMap::new(),
        }
    }

    /// Survival function, P(largest > t).
    pub(super) fn sf(&mut self, t: f64) -> f64 {
        if self.two_sided && t <= 0.0 {
            return 1.0;
        }
        let Some(scale) = self.scale.filter(|_| t != 0.0 && t.is_finite()) else {
            return self.normal_sf(t);
        };
        let (step, ln_t) = (scale.step(self.contrasts), t.abs().ln());
        let (left, right) = scale.ends(ln_t);
        // Nodes that cannot change the sum by 1e-13 of itself are passed over. On the left the tail
        // function has reached its ceiling at u = 1; on the right it only falls.
        let least_left = scale.ln_density(-ln_t.max(0.0)) - 30.0;
        let least_right = scale.ln_density(0.0) - 30.0;
        let mut sum = 0.0;
        for index in whole((ln_t + left) / step)..=whole((ln_t + right) / step) {
            let x = index as f64 * step;
            let ln_density = scale.ln_density(x - ln_t);
            let least = if x < ln_t { least_left } else { least_right };
            // e^-700 is still a normal number; anything less cannot be seen in a p-value.
            if ln_density < least.max(-700.0) {
                continue;
            }
            let key = (t > 0.0, index);
            let tail = if let Some(&tail) = self.known.get(&key) {
                tail
            } else {
                let tail = self.normal_sf(x.exp().copysign(t));
                self.known.insert(key, tail);
                tail
            };
            sum += ln_density.exp() * tail;
        }
        (sum * step).min(1.0)
    }

    /// P(largest > u) with the standard deviation known.
    fn normal_sf(&self, u: f64) -> f64 {
        if u.is_infinite() {
            return if u > 0.0 { 0.0 } else { 1.0 };
        }
        // Far out the exceedance comes from a shared part near lambda * u: follow it, to where the
        // density underflows.
        let reach = (8.5 + self.widest * u.abs()).min(FARTHEST);
        let within = |&(index, _): &(usize, &f64)| index as f64 * self.step <= reach;
        let nodes = self.densities.iter().enumerate().take_while(within);
        let mut sum = 0.0;
        for (index, density) in nodes {
            let z = index as f64 * self.step;
            sum += density
                * if index == 0 {
                    self.some_exceeds(u, z)
                } else if self.two_sided {
                    // The integrand is even in the shared part.
                    2.0 * self.some_exceeds(u, z)
                } else {
                    self.some_exceeds(u, z) + self.some_exceeds(u, -z)
                };
        }
        (sum * self.step * NORMAL_PEAK).min(1.0)
    }

    /// P(at least one > u | shared part z), without cancellation in the tail.
    fn some_exceeds(&self, u: f64, z: f64) -> f64 {
        if let [(lambda, inverse, 1)] = self.parts[..] {
            return self.exceeds(u, lambda * z, inverse);
        }
        let ln_none: f64 = self
            .parts
            .iter()
            .map(|&(lambda, inverse, times)| {
                f64::from(times) * (-self.exceeds(u, lambda * z, inverse)).ln_1p()
            })
            .sum();
        -ln_none.exp_m1()
    }

    /// P(one normal of mean `mean` and standard deviation 1 / (sqrt 2 `inverse`) exceeds u).
    fn exceeds(&self, u: f64, mean: f64, inverse: f64) -> f64 {
        let above = 0.5 * libm::erfc((u - mean) * inverse);
        if self.two_sided {
            (above + 0.5 * libm::erfc((u + mean) * inverse)).min(1.0)
        } else {
            above
        }
    }
}

/// The whole number nearest below; the ends of every sum here are far inside its range.
#[expect(
    clippy::cast_possible_truncation,
    reason = "node numbers are below 1e13"
)]
fn whole(x: f64) -> i64 {
    x.floor() as i64
}
