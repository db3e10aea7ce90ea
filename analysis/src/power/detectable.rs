//! The smallest reduction that a plan can be relied on to find.

use serde::Serialize;

use super::simulated::{Effort, Ground, Plan, SimulatedTrial, power};
use super::{blocked, open_share};
use crate::Error;

/// A reduction and the power at it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Detectable {
    /// Reduction, per cent of the control's mean.
    pub reduction_percent: f64,
    /// Simulated power there.
    pub power: f64,
    /// Its Monte-Carlo standard error.
    pub power_se: f64,
}

/// The smallest whole per cent of reduction by every method at which `test` reaches power `wanted`;
/// `None` when even a method that leaves nothing would not reach it.
///
/// Halving over 1 to 100 per cent, or about the closed form where the answer lies within 4 per cent of it, each step simulated from the same streams, so that the answers
/// rise together and the search is stable. The answer carries the Monte-Carlo error shown.
///
/// # Errors
/// As [`power`]; `wanted` outside (0, 1).
pub fn smallest_reduction<V>(
    plan: &Plan,
    ground: &Ground,
    (wanted, trials): (f64, usize),
    (seed, cell): (u64, u32),
    test: V,
) -> Result<Option<Detectable>, Error>
where
    V: Fn(&SimulatedTrial) -> bool + Sync,
{
    open_share("power", wanted)?;
    let effort = Effort {
        trials,
        until_clear_of: None,
    };
    let at = |percent: u32| -> Result<Detectable, Error> {
        let ratio = 1.0 - f64::from(percent) / 100.0;
        let plan = Plan {
            ratios: vec![ratio; plan.ratios.len()],
            ..plan.clone()
        };
        let found = power(&plan, ground, effort, (seed, cell), &test)?;
        Ok(Detectable {
            reduction_percent: f64::from(percent),
            power: found.share(0),
            power_se: found.se(0),
        })
    };
    let (mut low, mut high, mut best) = match bracket(plan, ground, wanted, &at)? {
        Some(found) => found,
        None => (0, 100, at(100)?),
    };
    if best.power < wanted {
        return Ok(None);
    }
    // Seven halvings of 100 steps of 1 per cent, or three of 8.
    while high - low > 1 {
        let middle = u32::midpoint(low, high);
        let here = at(middle)?;
        if here.power >= wanted {
            (high, best) = (middle, here);
        } else {
            low = middle;
        }
    }
    Ok(Some(best))
}

/// Half the width of the bracket: the closed form is seldom farther off (the power tables' preview beside their
/// simulation), and where it is, two steps are lost.
const NEAR: u32 = 4;

/// Two reductions about the closed form at the usual 5 % between which the wanted power is reached, with what
/// was found at the larger; `None` where they do not enclose it.
fn bracket(
    plan: &Plan,
    ground: &Ground,
    wanted: f64,
    at: &impl Fn(u32) -> Result<Detectable, Error>,
) -> Result<Option<(u32, u32, Detectable)>, Error> {
    let Some(guess) = blocked::smallest_reduction(plan, ground, 0.05, wanted)? else {
        return Ok(None);
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held to a percentage first"
    )]
    let middle = (100.0 * guess).round().clamp(0.0, 100.0) as u32;
    let (low, high) = (middle.saturating_sub(NEAR), (middle + NEAR).min(100));
    let above = at(high)?;
    if above.power < wanted || (low > 0 && at(low)?.power >= wanted) {
        return Ok(None);
    }
    Ok(Some((low, high, above)))
}
