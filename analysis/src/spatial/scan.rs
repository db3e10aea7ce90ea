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
    let orders: Vec<Order> = (0..places.len())
        .into_par_iter()
        .map(|centre| Order::about(centre, places))
        .collect();
    let rates: Vec<f64> = counts.iter().zip(exposure).map(|(c, e)| c / e).collect();
    let null: Vec<f64> = (0..permutations)
        .into_par_iter()
        .map(|draw| {
            let mut order = rates.clone();
            permute(&mut Generator::new(seed, draw as u64), &mut order);
            order.iter_mut().zip(exposure).for_each(|(r, e)| *r *= e);
            let map = Map::new(&order, exposure);
            orders.iter().fold(0.0, |least, about| {
                map.best(about, least).map_or(least, |w| w.1)
            })
        })
        .collect();
    let map = Map::new(counts, exposure);
    let mut windows: Vec<Window> = orders
        .iter()
        .enumerate()
        .filter_map(|(centre, order)| {
            let (size, llr) = map.best(order, 0.0)?;
            let inside = &order.members[..size];
            Some(describe(
                (centre, places),
                inside,
                llr,
                (counts, exposure),
                &null,
            ))
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

/// The places from the nearest to a centre to the furthest.
struct Order {
    members: Vec<u32>,
    /// Whether a window may end after a member: the next one is further off.
    ends: Vec<bool>,
}

impl Order {
    fn about(centre: usize, places: &[Place]) -> Self {
        let mut order: Vec<(f64, u32)> = (0..)
            .zip(places)
            .map(|(j, &place)| (distance(places[centre], place), j))
            .collect();
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        // Equal distances computed from different corners differ by rounding.
        let further = |k: usize, d: f64| {
            let next = order.get(k + 1);
            next.is_none_or(|next| next.0 > d * (1.0 + 1e-12))
        };
        Self {
            ends: (order.iter().enumerate().map(|(k, o)| further(k, o.0))).collect(),
            members: order.into_iter().map(|o| o.1).collect(),
        }
    }
}

/// Counts and what is expected from the exposure.
struct Map<'a> {
    counts: &'a [f64],
    expected: Vec<f64>,
    total: f64,
}

impl<'a> Map<'a> {
    fn new(counts: &'a [f64], exposure: &[f64]) -> Self {
        let (total, all): (f64, f64) = (counts.iter().sum(), exposure.iter().sum());
        Self {
            counts,
            expected: exposure.iter().map(|e| total * e / all).collect(),
            total,
        }
    }

    /// Size and log likelihood ratio of the best window about one centre, if it is better than `least`.
    fn best(&self, order: &Order, least: f64) -> Option<(usize, f64)> {
        let total = self.total;
        let (mut c, mut e, mut found) = (0.0, 0.0, (0, least));
        for (k, (&i, &ends)) in order.members.iter().zip(&order.ends).enumerate() {
            c += self.counts[i as usize];
            e += self.expected[i as usize];
            if e > total / 2.0 * (1.0 + 1e-12) {
                break;
            }
            // As ln x <= x - 1, no ratio exceeds total (c - e)^2 / (e (total - e)): most windows need no logarithm.
            let above = c - e;
            let hopeless = total * above * above * (1.0 + 1e-9) <= found.1 * e * (total - e);
            if !ends || above <= 0.0 || hopeless {
                continue;
            }
            let llr = self.ratio(c, e);
            if llr > found.1 {
                found = (k + 1, llr);
            }
        }
        (found.0 > 0).then_some(found)
    }

    /// Log likelihood ratio of `c` counted where `e` were expected.
    fn ratio(&self, c: f64, e: f64) -> f64 {
        let outside = self.total - c;
        let rest = if outside > 0.0 {
            outside * (outside / (self.total - e)).ln()
        } else {
            0.0
        };
        c * (c / e).ln() + rest
    }
}

fn describe(
    (centre, places): (usize, &[Place]),
    inside: &[u32],
    llr: f64,
    (counts, exposure): (&[f64], &[f64]),
    null: &[f64],
) -> Window {
    let members: Vec<usize> = inside.iter().map(|&i| i as usize).collect();
    let sum = |x: &[f64]| members.iter().map(|&i| x[i]).sum::<f64>();
    let expected = counts.iter().sum::<f64>() * sum(exposure) / exposure.iter().sum::<f64>();
    let reached = null.iter().filter(|&&n| n >= llr * (1.0 - 1e-10)).count();
    let furthest = members.last().map(|&i| places[i]);
    Window {
        centre,
        radius_m: furthest.map_or(0.0, |place| distance(places[centre], place)),
        inside: sum(counts),
        expected,
        llr,
        p: (!null.is_empty()).then(|| sampled(reached, null.len())),
        members,
    }
}
