//! The likelihood of the average log ratio and of its spread between trials.

use rayon::prelude::*;

use super::on_a_grid::OnAGrid;
use super::pool_counts::TrialCounts;
use crate::numerics::quadrature::{Rule, hermite};
use crate::numerics::{minimise, roots};

/// Quadrature points of each trial's log ratio. The likelihood of a log ratio is log-concave, so that its product with the
/// normal law is nearly normal: against 81 points, 25 leave less than 1e-7 in the log-likelihood for tau to 2 (tested).
const POINTS: usize = 25;

/// Largest standard deviation of log ratios looked at: a factor of e^5 from trial to trial is no effect, but an error.
const MOST: f64 = 5.0;

/// Places at which the likelihood along tau is looked at before its highest is searched for. It may have a maximum at 0 and
/// another inside.
const PLACES: u32 = 12;

/// Trials that say something, with the rule that their log ratios are integrated by.
pub(super) struct Likelihood<'a> {
    trials: Vec<OnAGrid<'a>>,
    rule: Rule,
}

/// The highest likelihood, for a given average or over all.
#[derive(Debug, Clone, Copy)]
pub(super) struct Profile {
    /// The average log ratio; infinite where the likelihood rises for ever.
    pub(super) effect: f64,
    pub(super) tau: f64,
    pub(super) value: f64,
}

impl<'a> Likelihood<'a> {
    pub(super) fn new(trials: &'a [TrialCounts]) -> Self {
        Self {
            trials: trials.iter().map(OnAGrid::new).collect(),
            rule: hermite(POINTS),
        }
    }

    /// Log-likelihood at an average and a standard deviation of log ratios, and its slope along the average. Trials are worked
    /// out side by side and added up in their order.
    fn at(&self, effect: f64, tau: f64) -> (f64, f64) {
        let one = |trial: &OnAGrid<'_>| self.integrated(trial, effect, tau);
        let parts: Vec<(f64, f64)> = self.trials.par_iter().map(one).collect();
        (
            parts.iter().map(|p| p.0).sum(),
            parts.iter().map(|p| p.1).sum(),
        )
    }

    /// One trial.
    fn integrated(&self, trial: &OnAGrid<'_>, effect: f64, tau: f64) -> (f64, f64) {
        let mut trial = trial.read();
        let mut slopes = |deviate: f64| trial.at(effect + tau * deviate);
        if tau == 0.0 {
            let there = slopes(0.0);
            return (there.value, there.first);
        }
        // The mode of likelihood times normal law, in standard deviations: concave with curvature of at least 1.
        let mut mode = 0.0;
        for _ in 0..60 {
            let there = slopes(mode);
            let stride = (tau * there.first - mode) / (1.0 - tau * tau * there.second);
            mode += stride.clamp(-3.0, 3.0);
            if stride.abs() < 1e-6 {
                break;
            }
        }
        let spread = (2.0 / (1.0 - tau * tau * slopes(mode).second)).sqrt();
        let heights: Vec<(f64, f64)> = (self.rule.nodes.iter().zip(&self.rule.weights))
            .map(|(x, w)| {
                let deviate = mode + spread * x;
                let there = slopes(deviate);
                (
                    there.value - 0.5 * deviate * deviate + x * x + w.ln(),
                    there.first,
                )
            })
            .collect();
        let top = heights
            .iter()
            .map(|h| h.0)
            .fold(f64::NEG_INFINITY, f64::max);
        let (mut mass, mut slope) = (0.0, 0.0);
        for (height, first) in heights {
            let weight = (height - top).exp();
            mass += weight;
            slope += weight * first;
        }
        let normal = (2.0 * std::f64::consts::PI).sqrt();
        (top + (mass * spread / normal).ln(), slope / mass)
    }

    /// The highest likelihood at this average, over all standard deviations.
    pub(super) fn profile(&self, effect: f64) -> Profile {
        self.over_tau(|tau| Profile {
            effect,
            tau,
            value: self.at(effect, tau).0,
        })
    }

    /// The highest likelihood.
    pub(super) fn maximum(&self) -> Profile {
        self.over_tau(|tau| self.best_effect(tau))
    }

    /// The best average for a standard deviation. The log-likelihood is concave along the average, being an integral of a
    /// log-concave function (Prekopa 1973, Acta Scientiarum Mathematicarum 34:335-343).
    fn best_effect(&self, tau: f64) -> Profile {
        let empty = |of: fn(&TrialCounts) -> u64| self.trials.iter().all(|t| of(t.trial()) == 0);
        for (none, side) in [
            (empty(|t| t.treated.count), f64::NEG_INFINITY),
            (empty(|t| t.control.count), f64::INFINITY),
        ] {
            if none {
                // It rises for ever, to what it is where the empty arm expects nothing.
                let far = side.signum() * FAR;
                return Profile {
                    effect: side,
                    tau,
                    value: self.at(far, tau).0,
                };
            }
        }
        let start = self.crude();
        let here = self.at(start, tau).1;
        let side = here.signum();
        let beyond = |effect: f64| -side * self.at(effect, tau).1;
        let effect = roots::outward(beyond, (start, -here.abs()), side, 1e-10);
        Profile {
            effect,
            tau,
            value: self.at(effect, tau).0,
        }
    }

    /// Log ratio of all counts over all exposures.
    fn crude(&self) -> f64 {
        let sum = |of: fn(&TrialCounts) -> (u64, f64)| {
            let trials = self.trials.iter().map(OnAGrid::trial);
            let (counts, exposures): (Vec<u64>, Vec<f64>) = trials.map(of).unzip();
            counts.iter().map(|&y| y as f64).sum::<f64>() / exposures.iter().sum::<f64>()
        };
        let (treated, control) = (
            sum(|t| (t.treated.count, t.treated.exposure)),
            sum(|t| (t.control.count, t.control.exposure)),
        );
        (treated / control).ln()
    }

    /// The highest of a function of tau: on a grid, then between the neighbours of its best place. One trial tells nothing of tau.
    fn over_tau(&self, of: impl Fn(f64) -> Profile) -> Profile {
        let none = of(0.0);
        if self.trials.len() == 1 {
            return none;
        }
        // Squares spread the places: closer where tau is small.
        let place = |at: u32| MOST * (f64::from(at) / f64::from(PLACES)).powi(2);
        let mut best = (0, none);
        for at in 1..=PLACES {
            let there = of(place(at));
            if there.value > best.1.value {
                best = (at, there);
            }
        }
        let (low, high) = (
            place(best.0.saturating_sub(1)),
            place((best.0 + 1).min(PLACES)),
        );
        let found = minimise::brent(|tau| -of(tau).value, low, high, 1e-9);
        let inside = of(found.x);
        if inside.value > best.1.value {
            inside
        } else {
            best.1
        }
    }

    /// Where the profile has fallen by `fall` from its highest, below (-1) or above (1) the maximum; infinite where it never
    /// does.
    pub(super) fn limit(&self, top: &Profile, side: f64, fall: f64) -> f64 {
        if top.effect.is_infinite() && top.effect.signum() == side {
            return top.effect;
        }
        let fallen = |effect: f64| top.value - self.profile(effect).value - fall;
        let start = if top.effect.is_finite() {
            (top.effect, -fall)
        } else {
            let far = top.effect.signum() * FAR;
            (far, fallen(far))
        };
        roots::outward(fallen, start, side, 1e-8)
    }
}

/// As good as infinite on the log scale: e^-30 of any count that was made is none.
const FAR: f64 = 30.0;
