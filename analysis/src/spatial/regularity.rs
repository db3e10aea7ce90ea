//! How far would counts have to move to become equal?

use rayon::prelude::*;
use serde::Serialize;

use super::patches::{Patches, patches};
use super::permutation::{permute, sampled};
use super::transport::TransportProblem;
use super::{Place, check};
use crate::Error;
use crate::multiplicity::false_discovery_among;
use crate::random::Generator;
use crate::results::{Caution, PValue};

/// Distance to regularity and what it says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Regularity {
    /// Least total of count times metres that makes all counts equal.
    pub distance: f64,
    /// Index of aggregation: `distance` over its mean when counts are arranged at random; above 1 when
    /// high counts lie together. `None` when all counts are equal.
    pub index: Option<f64>,
    /// Share of arrangements that need at least as much movement.
    pub p: Option<PValue>,
    /// Mean index of the places with more than the average, 1 when they lie at random.
    pub patch_index: Option<f64>,
    /// Share of arrangements whose mean patch index is at least as large.
    pub patch_p: Option<PValue>,
    /// Mean index of the places with less than the average, 1 when they lie at random.
    pub gap_index: Option<f64>,
    /// Share of arrangements whose mean gap index is at least as large.
    pub gap_p: Option<PValue>,
    /// Index of each place; `None` for a count equal to the mean.
    pub local: Vec<Option<f64>>,
    /// Share of arrangements in which that count has at least as large an index.
    pub local_p: Vec<Option<PValue>>,
    /// `local_p` adjusted for the number of places (Benjamini & Hochberg 1995).
    pub local_q: Vec<Option<f64>>,
    /// Arrangements drawn.
    pub draws: usize,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// The least total distance that makes `counts` equal (fractions allowed), exactly.
///
/// # Errors
/// As [`check`].
pub fn distance_to_regularity(places: &[Place], counts: &[f64]) -> Result<f64, Error> {
    check(places, counts)?;
    Ok(Arrangement::new(&TransportProblem::new(places), counts.to_vec()).distance)
}

/// Distance to regularity with its permutation test (Perry 1998, Ecology 79, 26-46), and the index of
/// each place: its mean distance of flow, times the mean distance of its side (more or less than
/// average), over the mean at that place and the mean for that count, each over the arrangements (Perry
/// et al. 1999, Ecol. Lett. 2, 106-113). A place is tested with its count held: against the indices that
/// the same count has wherever an arrangement puts it.
///
/// `permutations` arrangements are drawn, and twice as many, up to [`FURTHER`] times as many, as long as one of the three
/// p-values lies so near [`BORDER`] that the draws leave open on which side. Places are taken from west to east, whatever
/// their order in the list, so that neither draws nor ties depend on it.
///
/// # Errors
/// As [`check`].
pub fn regularity(
    places: &[Place],
    counts: &[f64],
    permutations: usize,
    seed: u64,
) -> Result<Regularity, Error> {
    regularity_up_to(places, counts, (permutations, FURTHER * permutations), seed)
}

/// [`regularity`] where time for so many arrangements is short: `permutations` are drawn, and `most` at most where
/// the draws leave something open.
///
/// # Errors
/// As [`check`].
pub fn regularity_up_to(
    places: &[Place],
    counts: &[f64],
    (permutations, most): (usize, usize),
    seed: u64,
) -> Result<Regularity, Error> {
    check(places, counts)?;
    let order = west_to_east(places, counts);
    let sorted: Vec<Place> = order.iter().map(|&i| places[i]).collect();
    let start: Vec<f64> = order.iter().map(|&i| counts[i]).collect();
    let problem = TransportProblem::new(&sorted);
    let observed = Arrangement::new(&problem, start.clone());
    let mut draws: Vec<Arrangement> = Vec::new();
    let mut wanted = permutations;
    let found = loop {
        draws.par_extend((draws.len()..wanted).into_par_iter().map(|draw| {
            let mut order = start.clone();
            permute(&mut Generator::new(seed, draw as u64), &mut order);
            Arrangement::new(&problem, order)
        }));
        let found = by_draws(&observed, &draws);
        if wanted >= most || !found.p_values().any(|p| undecided(p, BORDER)) {
            break found;
        }
        wanted = (2 * wanted).min(most);
    };
    Ok(found.in_order(&order))
}

/// The level beside which more draws are made.
pub const BORDER: f64 = 0.05;

/// How many times the draws asked for are made at most.
pub const FURTHER: usize = 8;

/// Whether a level lies within three standard errors of a drawn p-value.
fn undecided(p: PValue, level: f64) -> bool {
    p.monte_carlo_se()
        .is_some_and(|se| (p.value - level).abs() < 3.0 * se)
}

/// The places from west to east, then south to north.
fn west_to_east(places: &[Place], counts: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|&i, &j| {
        let by_x = places[i].0.total_cmp(&places[j].0);
        let by_y = by_x.then(places[i].1.total_cmp(&places[j].1));
        by_y.then(counts[i].total_cmp(&counts[j]))
    });
    order
}

/// The observed arrangement among the draws.
fn by_draws(observed: &Arrangement, draws: &[Arrangement]) -> Regularity {
    let counts = &observed.counts;
    let mut cautions = Vec::new();
    if counts.len() < 36 {
        let text = format!(
            "{} places: at least 36 are advised before distance to regularity decides anything.",
            counts.len()
        );
        cautions.push(Caution::new("few-places", text));
    }
    let mean = draws.iter().map(|d| d.distance).sum::<f64>() / draws.len() as f64;
    let varied = !draws.is_empty() && mean > 0.0;
    // Equal plans may differ in the last bits of their cost.
    let reached = draws
        .iter()
        .filter(|d| d.distance >= observed.distance * (1.0 - 1e-10))
        .count();
    let parts = if varied {
        patches(observed, draws)
    } else {
        Patches::none(counts.len())
    };
    let plain: Vec<Option<f64>> = parts.local_p.iter().map(|p| p.map(|p| p.value)).collect();
    Regularity {
        distance: observed.distance,
        index: varied.then(|| observed.distance / mean),
        p: varied.then(|| sampled(reached, draws.len())),
        patch_index: parts.patch.map(|p| p.0),
        patch_p: parts.patch.map(|p| p.1),
        gap_index: parts.gap.map(|p| p.0),
        gap_p: parts.gap.map(|p| p.1),
        local: parts.local,
        local_q: false_discovery_among(&plain),
        local_p: parts.local_p,
        draws: draws.len(),
        cautions,
    }
}

impl Regularity {
    /// The p-values of the whole and of its two sides.
    fn p_values(&self) -> impl Iterator<Item = PValue> {
        [self.p, self.patch_p, self.gap_p].into_iter().flatten()
    }

    /// The same with its places back in the order they had: `order` names the one that stands at each position now.
    fn in_order(mut self, order: &[usize]) -> Self {
        fn back<T: Copy>(sorted: &mut [T], order: &[usize]) {
            let moved = sorted.to_vec();
            for (&to, value) in order.iter().zip(moved) {
                sorted[to] = value;
            }
        }
        back(&mut self.local, order);
        back(&mut self.local_p, order);
        back(&mut self.local_q, order);
        self
    }
}

/// Counts in some order, and what making them equal takes.
pub(super) struct Arrangement {
    pub(super) counts: Vec<f64>,
    /// Least total of count times metres.
    pub(super) distance: f64,
    /// Mean distance of flow from or to each place.
    pub(super) reach: Vec<f64>,
}

impl Arrangement {
    fn new(problem: &TransportProblem, counts: Vec<f64>) -> Self {
        let n = counts.len() as f64;
        let total: f64 = counts.iter().sum();
        // Times n, the excesses of whole counts are whole numbers and their flows exact.
        let excess: Vec<f64> = counts.iter().map(|c| n * c - total).collect();
        let mut reach = vec![0.0; counts.len()];
        let mut cost = 0.0;
        for (from, to, amount) in problem.cheapest_flows(&excess) {
            let work = amount * problem.distance(from, to);
            cost += work;
            reach[from] += work / excess[from].abs();
            reach[to] += work / excess[to].abs();
        }
        Self {
            counts,
            distance: cost / n,
            reach,
        }
    }
}
