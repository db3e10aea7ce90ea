//! Where is the most likely cluster, whatever its size?

use rayon::prelude::*;
use serde::Serialize;

use super::permutation::{permute, sampled};
use super::{Place, check, distance};
use crate::Error;
use crate::random::Generator;
use crate::results::PValue;

/// One circular window.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Window {
    /// The place at its centre.
    pub centre: usize,
    /// Distance of its furthest member from the centre, metres.
    pub radius_m: f64,
    /// Places inside, nearest first.
    pub members: Vec<usize>,
    /// Count inside.
    pub inside: f64,
    /// Count expected inside from the exposure.
    pub expected: f64,
    /// Poisson log likelihood ratio.
    pub llr: f64,
    /// Share of arrangements whose best window is at least as good; conservative after the first window.
    pub p: Option<PValue>,
}

/// Circular windows with more than expected, best first, none sharing a place with a better one
/// (Kulldorff 1997, Commun. Stat. 26, 1481-1496). Windows are centred on the places and hold at most
/// half the exposure (samples, area or births); places equally far from a centre enter together.
///
/// The p-values come from permuting rates over places, so they hold for overdispersed counts where every
/// place has the same exposure; with unequal exposures they hold if the rates' spread does not hang on it.
///
/// # Errors
/// As [`check`], or when exposures or counts are negative or exposures not positive.
pub fn scan(
    places: &[Place],
    counts: &[f64],
    exposure: &[f64],
    permutations: usize,
    seed: u64,
) -> Result<Vec<Window>, Error> {
    check(places, counts)?;
    check(places, exposure)?;
    if exposure.iter().any(|&e| e <= 0.0) || counts.iter().any(|&c| c < 0.0) {
        return Err(Error::new(
            "counts and exposures",
            "a negative count or an exposure of 0",
            "exposures must be positive and counts at least 0",
            "Leave out places that were not sampled.",
        ));
    }
    let orders: Vec<Vec<(f64, usize)>> = (0..places.len())
        .map(|i| {
            let mut order: Vec<_> = (0..places.len())
                .map(|j| (distance(places[i], places[j]), j))
                .collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            order
        })
        .collect();
    let rates: Vec<f64> = counts.iter().zip(exposure).map(|(c, e)| c / e).collect();
    let null: Vec<f64> = (0..permutations)
        .into_par_iter()
        .map(|draw| {
            let mut order = rates.clone();
            permute(&mut Generator::new(seed, draw as u64), &mut order);
            order.iter_mut().zip(exposure).for_each(|(r, e)| *r *= e);
            orders
                .iter()
                .map(|o| best(o, &order, exposure).1)
                .fold(0.0, f64::max)
        })
        .collect();
    let mut windows: Vec<Window> = orders
        .iter()
        .enumerate()
        .filter_map(|(centre, order)| {
            let (size, llr) = best(order, counts, exposure);
            (llr > 0.0).then(|| describe(centre, &order[..size], llr, counts, exposure, &null))
        })
        .collect();
    windows.sort_by(|a, b| b.llr.total_cmp(&a.llr).then(a.centre.cmp(&b.centre)));
    let mut taken = vec![false; places.len()];
    windows.retain(|w| {
        let free = w.members.iter().all(|&i| !taken[i]);
        if free {
            w.members.iter().for_each(|&i| taken[i] = true);
        }
        free
    });
    Ok(windows)
}

fn describe(
    centre: usize,
    inside: &[(f64, usize)],
    llr: f64,
    counts: &[f64],
    exposure: &[f64],
    null: &[f64],
) -> Window {
    let members: Vec<usize> = inside.iter().map(|m| m.1).collect();
    let sum = |x: &[f64]| members.iter().map(|&i| x[i]).sum::<f64>();
    let expected = counts.iter().sum::<f64>() * sum(exposure) / exposure.iter().sum::<f64>();
    let reached = null.iter().filter(|&&n| n >= llr * (1.0 - 1e-10)).count();
    Window {
        centre,
        radius_m: inside.last().map_or(0.0, |m| m.0),
        inside: sum(counts),
        expected,
        llr,
        p: (!null.is_empty()).then(|| sampled(reached, null.len())),
        members,
    }
}

/// Size and log likelihood ratio of the best window about one centre.
fn best(order: &[(f64, usize)], counts: &[f64], exposure: &[f64]) -> (usize, f64) {
    let (total, all): (f64, f64) = (counts.iter().sum(), exposure.iter().sum());
    let (mut c, mut e, mut found) = (0.0, 0.0, (0, 0.0));
    for (k, &(d, i)) in order.iter().enumerate() {
        c += counts[i];
        e += total * exposure[i] / all;
        if e > total / 2.0 * (1.0 + 1e-12) {
            break;
        }
        // Equal distances computed from different corners differ by rounding.
        if order
            .get(k + 1)
            .is_some_and(|next| next.0 <= d * (1.0 + 1e-12))
            || c <= e
        {
            continue;
        }
        let outside = total - c;
        let rest = if outside > 0.0 {
            outside * (outside / (total - e)).ln()
        } else {
            0.0
        };
        let llr = c * (c / e).ln() + rest;
        if llr > found.1 {
            found = (k + 1, llr);
        }
    }
    found
}
