//! How small a p-value the draw can give where rules leave only some allocations.

use num_bigint::BigUint;

use super::attainable::{AttainableP, attainable_p};
use super::counting::allocations;
use super::listing::each_allowed;
use super::scheme::Scheme;
use crate::Error;
use crate::design::Rule;

/// Allocations, before rules, up to which the allowed ones are listed.
const LISTED: usize = 1_000_000;
/// Units whose three states a 128-bit number holds.
const UNITS: usize = 80;

/// Attainable p-values of a design whose draw keeps the rules.
///
/// Under rules the randomisation test re-draws all treatments at once, for exchanging two of them may
/// break a rule: `smallest_p_exchanging_two` is absent, unless there are only two. `smallest_p` is the
/// largest over the layouts that may be drawn. Up to 10^6 allocations it is found by listing. Beyond, it is a
/// bound from above: the allocations that keep the rules and put a treatment and the control on their
/// plots are no more than all that do, so the p-value without rules times the number of allocations
/// without rules, divided by the number with them, is never passed.
///
/// # Errors
/// As [`allocations`] and [`attainable_p`].
pub fn attainable_p_under(scheme: &Scheme, rules: &[Rule]) -> Result<AttainableP, Error> {
    attainable_p_among(scheme, rules, &allocations(scheme, rules)?)
}

/// [`attainable_p_under`] rules that so many allocations keep, where they have been counted.
///
/// # Errors
/// As [`attainable_p`].
pub fn attainable_p_among(
    scheme: &Scheme,
    rules: &[Rule],
    kept: &BigUint,
) -> Result<AttainableP, Error> {
    let free = attainable_p(scheme)?;
    if rules.is_empty() {
        return Ok(free);
    }
    let smallest_p = match listed(scheme, rules) {
        Some(p) => p,
        None => (free.smallest_p * times_fewer(scheme, kept)?).min(1.0),
    };
    let two = scheme.treatments == 2 && free.smallest_p_exchanging_two.is_some();
    Ok(AttainableP {
        smallest_p,
        smallest_p_exchanging_two: two.then_some(smallest_p),
    })
}

/// By what factor rules lower the number of allocations, rounded up in the seventh figure.
fn times_fewer(scheme: &Scheme, kept: &BigUint) -> Result<f64, Error> {
    let free = allocations(scheme, &[])?;
    let millionths = (free * BigUint::from(1_000_000_u32) + kept) / kept;
    let float: f64 = millionths.to_string().parse().unwrap_or(f64::INFINITY);
    Ok(float / 1e6)
}

/// The largest share of the allowed allocations that have one treatment and the control on the same
/// plots, or on each other's where both have as many.
fn listed(scheme: &Scheme, rules: &[Rule]) -> Option<f64> {
    let units: usize = scheme.blocks.iter().map(Vec::len).sum();
    if units > UNITS {
        return None;
    }
    let others = (0..scheme.treatments).filter(|&x| x != scheme.control);
    let mut worst: Option<f64> = None;
    for x in others {
        let mut places: Vec<u128> = Vec::new();
        let mut visit = |allocation: &[usize]| {
            let own = code(allocation, scheme.control, x);
            let mirrored = code(allocation, x, scheme.control);
            let plots = |of: usize| allocation.iter().filter(|&&t| t == of).count();
            let even = plots(x) == plots(scheme.control);
            places.push(if even { own.min(mirrored) } else { own });
        };
        each_allowed(scheme, rules, LISTED, &mut visit)?;
        places.sort_unstable();
        let most = places.chunk_by(PartialEq::eq).map(<[u128]>::len).max()?;
        let share = most as f64 / places.len() as f64;
        worst = Some(worst.map_or(share, |w| w.max(share)));
    }
    worst
}

/// Where two treatments lie, as a number to the base 3.
fn code(allocation: &[usize], one: usize, two: usize) -> u128 {
    allocation.iter().fold(0, |so_far, &treatment| {
        let digit = if treatment == one {
            1
        } else {
            u128::from(treatment == two) * 2
        };
        so_far * 3 + digit
    })
}
