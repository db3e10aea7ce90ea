//! The whole step: places, draw, what the draw can show, and advice.

use halfgreen_analysis::random::Generator;
use serde::Serialize;

use super::advice::advise;
use super::allocation::{AttainableP, allocations, attainable_p_among, draw};
use super::before::advise_on_ties;
use super::kinds::suits;
use super::places::places_on;
use super::units::{layout, scheme};
use super::{Advice, Greens, Layout, Protocol};
use crate::Error;

/// Stream of the generator from which treatments are drawn.
const STREAM: u64 = 0;

/// A laid-out trial and what its design can show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidOut {
    /// The plots with what they were drawn to get.
    #[serde(flatten)]
    pub layout: Layout,
    /// Number of allocations the draw could have given, in full.
    pub allocations: String,
    /// Smallest two-sided p that a randomisation test of one treatment against the control can
    /// reach; under rules never less than that, see [`attainable_p_under`](super::allocation::attainable_p_under).
    pub smallest_p: f64,
    /// The same when only that treatment and the control change places; absent where they may not,
    /// as under rules: there the test re-draws all treatments.
    pub smallest_p_exchanging_two: Option<f64>,
    /// Degrees of freedom left for error.
    pub residual_df: usize,
    /// Most complete blocks that the green would take.
    pub most_blocks: usize,
    /// Seed of the draw.
    pub seed: u64,
    /// Name and version of the generator.
    pub generator: &'static str,
    /// What to mend before a spade goes in.
    pub advice: Vec<Advice>,
}

impl LaidOut {
    /// The smallest p-values that the draw can reach.
    #[must_use]
    pub fn attainable(&self) -> AttainableP {
        AttainableP {
            smallest_p: self.smallest_p,
            smallest_p_exchanging_two: self.smallest_p_exchanging_two,
        }
    }
}

/// Lays the plots of a protocol out on an outline or on several greens, and draws their treatments from `seed`.
///
/// # Errors
/// Plots that do not fit (with what would), a design its treatments do not suit, rules that cannot
/// be kept or counted.
pub fn lay_out<'a>(
    protocol: &Protocol,
    greens: impl Into<Greens<'a>>,
    seed: u64,
) -> Result<LaidOut, Error> {
    suits(protocol.design.kind, &protocol.asked())?;
    let places = places_on(protocol, greens.into(), true)?;
    let scheme = scheme(protocol, &places);
    let rules = &protocol.design.arrangement.rules;
    let total = allocations(&scheme, rules)?;
    let allocation = draw(&scheme, rules, &mut Generator::new(seed, STREAM))?;
    let AttainableP {
        smallest_p,
        smallest_p_exchanging_two,
    } = attainable_p_among(&scheme, rules, &total)?;
    let residual_df = protocol.error_df(scheme.residual_df());
    let mut advice = advise(protocol, smallest_p, smallest_p_exchanging_two, residual_df);
    advice.extend(advise_on_ties(protocol, &places));
    Ok(LaidOut {
        advice,
        layout: layout(protocol, &places, &allocation),
        allocations: total.to_string(),
        smallest_p,
        smallest_p_exchanging_two,
        residual_df,
        most_blocks: places.most_blocks,
        seed,
        generator: Generator::NAME,
    })
}
