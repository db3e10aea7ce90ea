//! The smallest reduction that a plan can be relied on to find.

use serde::Serialize;

use super::blocked;
use super::simulated::{Plan, SiteParameters};
use crate::Error;
use crate::distributions::{normal_quantile, normal_sf};
use crate::error::open_share;
use crate::results::Estimate;

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

/// The smallest whole per cent of reduction by every method at which the plan has the power `wanted`;
/// `None` when even a method that leaves nothing would not reach it.
///
/// `power` estimates the power of a plan, from the same streams each time, so that the answers rise together and the search
/// is stable. The search starts at the closed form, steps to where the closed form says once its error there is known, and
/// closes in from there by steps that double and then by halving. The answer carries the Monte-Carlo error shown.
///
/// # Errors
/// As `power`; `wanted` outside (0, 1).
pub fn smallest_reduction(
    plan: &Plan,
    site: &SiteParameters,
    wanted: f64,
    power: impl Fn(&Plan) -> Result<Estimate, Error>,
) -> Result<Option<Detectable>, Error> {
    open_share("power", wanted)?;
    let at = |percent: u32| -> Result<Detectable, Error> {
        let found = power(&reducing(plan, f64::from(percent)))?;
        Ok(Detectable {
            reduction_percent: f64::from(percent),
            power: found.value,
            power_se: found.se,
        })
    };
    // Below 1 per cent nothing is asked; 101 stands for a reduction that has not been found.
    let (mut low, mut high, mut best) = (0, 101, None);
    let mut next = previewed(plan, site, wanted)?.unwrap_or(100);
    let mut tried = 0;
    while high - low > 1 {
        let percent = next.clamp(low + 1, high - 1);
        let here = at(percent)?;
        let reached = here.power >= wanted;
        if reached {
            (high, best) = (percent, Some(here));
        } else {
            low = percent;
        }
        let enclosed = low > 0 && high <= 100;
        next = match tried {
            0 => corrected(plan, site, wanted, &here)?.unwrap_or(u32::midpoint(low, high)),
            n if n > 1 && enclosed => u32::midpoint(low, high),
            n if reached => percent.saturating_sub(1 << (n - 1)),
            n => percent + (1 << (n - 1)),
        };
        tried += 1;
    }
    Ok(best)
}

/// The plan with this reduction, in per cent, by every method.
fn reducing(plan: &Plan, percent: f64) -> Plan {
    Plan {
        ratios: vec![1.0 - percent / 100.0; plan.ratios.len()],
        ..plan.clone()
    }
}

/// Error rate at which the closed form is asked. Another one moves the start of the search, not its end.
const ALPHA: f64 = 0.05;

/// Reduction at which the closed form has the power `wanted`, to the nearest per cent.
fn previewed(plan: &Plan, site: &SiteParameters, wanted: f64) -> Result<Option<u32>, Error> {
    let share = blocked::smallest_reduction(plan, site, ALPHA, wanted)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share from 0 to 1"
    )]
    Ok(share.map(|share| (100.0 * share).round() as u32))
}

/// The closed form again, with what it was wrong by at `here` taken off on the scale of normal scores, on
/// which power rises almost evenly with the reduction.
fn corrected(
    plan: &Plan,
    site: &SiteParameters,
    wanted: f64,
    here: &Detectable,
) -> Result<Option<u32>, Error> {
    let score = |share: f64| normal_quantile(share.clamp(0.001, 0.999));
    let hoped = blocked::power(&reducing(plan, here.reduction_percent), site, ALPHA)?;
    let aim = score(hoped) + score(wanted) - score(here.power);
    previewed(plan, site, normal_sf(-aim).clamp(0.001, 0.999))
}
