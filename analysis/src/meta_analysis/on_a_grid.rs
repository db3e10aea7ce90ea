//! The likelihood of a trial's log ratio, worked out at places of a grid where it is asked for and joined in between.
//!
//! A pool asks for it some hundred thousand times at a few hundred places; to integrate the level out anew each time would take the
//! hundredfold. The likelihood is smooth: between two places stands the polynomial of fifth degree that has value, slope and
//! curvature of both (Hermite's). Places are multiples of one step, so that what stands at one never hangs on what was asked before.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::level_free::Slopes;
use super::pool_counts::TrialCounts;

/// Distance of two places on the log scale, a power of two so that multiples are exact. The polynomial is off by the sixth derivative
/// times `STEP^6 / 46080` (1.3e-12) at most; that derivative is no larger than what was counted.
const STEP: f64 = 0.0625;

/// A trial with what is known of its likelihood.
#[derive(Debug)]
pub(super) struct OnAGrid<'t> {
    trial: &'t TrialCounts,
    known: Mutex<BTreeMap<i64, Slopes>>,
}

/// The same while one thread works on it.
#[derive(Debug)]
pub(super) struct Reading<'t> {
    trial: &'t TrialCounts,
    known: MutexGuard<'t, BTreeMap<i64, Slopes>>,
}

impl<'t> OnAGrid<'t> {
    pub(super) fn new(trial: &'t TrialCounts) -> Self {
        Self {
            trial,
            known: Mutex::default(),
        }
    }

    pub(super) fn trial(&self) -> &'t TrialCounts {
        self.trial
    }

    pub(super) fn read(&self) -> Reading<'_> {
        Reading {
            trial: self.trial,
            known: self.known.lock().unwrap_or_else(PoisonError::into_inner),
        }
    }
}

impl Reading<'_> {
    /// The log-likelihood of a log ratio with its slope and curvature; nothing of a trial that says nothing.
    pub(super) fn at(&mut self, log_ratio: f64) -> Slopes {
        let places = log_ratio / STEP;
        let below = places.floor();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "log ratios are below some hundreds"
        )]
        let place = below as i64;
        let ends = [self.there(place), self.there(place + 1)];
        between(ends, places - below)
    }

    fn there(&mut self, place: i64) -> Slopes {
        let trial = self.trial;
        *self.known.entry(place).or_insert_with(|| {
            trial
                .level_free(place as f64 * STEP)
                .unwrap_or(Slopes::NONE)
        })
    }
}

/// The polynomial between two places, at this share of the way.
fn between([left, right]: [Slopes; 2], t: f64) -> Slopes {
    let (d0, d1) = (STEP * left.first, STEP * right.first);
    let (s0, s1) = (STEP * STEP * left.second, STEP * STEP * right.second);
    // What value, slope and curvature on the right are beyond those of the parabola from the left.
    let value = right.value - left.value - d0 - 0.5 * s0;
    let slope = d1 - d0 - s0;
    let curvature = s1 - s0;
    let third = 10.0 * value - 4.0 * slope + 0.5 * curvature;
    let fourth = -15.0 * value + 7.0 * slope - curvature;
    let fifth = 6.0 * value - 3.0 * slope + 0.5 * curvature;
    let tail = t * t * (third + t * (fourth + t * fifth));
    Slopes {
        value: left.value + t * (d0 + 0.5 * s0 * t) + t * tail,
        first: (d0 + s0 * t + t * t * (3.0 * third + t * (4.0 * fourth + t * 5.0 * fifth))) / STEP,
        second: (s0 + t * (6.0 * third + t * (12.0 * fourth + t * 20.0 * fifth))) / (STEP * STEP),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meta_analysis::ArmTotal;

    /// Between places it is what integration gives there, for counts from nought to a million and k from far below one to none.
    #[test]
    fn it_is_the_likelihood_between_the_places_too() {
        for (treated, control, k) in [
            (0, 3, 0.4),
            (12, 40, 3.0),
            (900, 1500, 8.0),
            (2_000, 1_000_000, 40.0),
            (7, 0, f64::INFINITY),
            (900_000, 1_000_000, f64::INFINITY),
        ] {
            let arm = |count| ArmTotal {
                count,
                exposure: 6.0,
                k,
            };
            let trial = TrialCounts {
                treated: arm(treated),
                control: arm(control),
            };
            let grid = OnAGrid::new(&trial);
            let top = trial.level_free(0.0).unwrap().value.abs().max(1.0);
            let counted = (treated + control) as f64;
            for at in -40..40 {
                let log_ratio = f64::from(at) * 0.173;
                let (found, wanted) = (
                    grid.read().at(log_ratio),
                    trial.level_free(log_ratio).unwrap(),
                );
                // The bound of the page above, and what sixteen digits of the sums leave.
                let bound = 1.3e-12 * counted + 1e-13 * top.max(wanted.value.abs());
                assert!(
                    (found.value - wanted.value).abs() <= bound,
                    "{trial:?} at {log_ratio}: {found:?} {wanted:?}"
                );
                let slope = (found.first - wanted.first).abs();
                assert!(slope <= 200.0 * bound, "{trial:?} at {log_ratio}: {slope}");
            }
        }
    }
}
