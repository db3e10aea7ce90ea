//! The whole step: places, draw, what the draw can show, and advice.

use halfgreen_analysis::random::Generator;
use serde::Serialize;

use super::advice::{Advice, advise};
use super::allocation::{Resolution, allocations, draw, resolution_under};
use super::before::advise_on_ties;
use super::places::{control_plots, places_on};
use super::units::{layout, scheme};
use super::{DesignKind, Greens, Layout, Protocol};
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
    /// reach; under rules never less than that, see [`resolution_under`](super::allocation::resolution_under).
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
    suits(protocol)?;
    let places = places_on(protocol, greens.into())?;
    let scheme = scheme(protocol, &places);
    let rules = &protocol.design.arrangement.rules;
    let total = allocations(&scheme, rules)?;
    let allocation = draw(&scheme, rules, &mut Generator::new(seed, STREAM))?;
    let Resolution {
        smallest_p,
        smallest_p_exchanging_two,
        residual_df,
    } = resolution_under(&scheme, rules)?;
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

/// Checks that the treatments suit the kind of design.
fn suits(protocol: &Protocol) -> Result<(), Error> {
    let kind = protocol.design.kind;
    let arrangement = &protocol.design.arrangement;
    let refuse = |what: String, cure: &str| Err(Error::new("trial.toml [design]", what, cure));
    if protocol.treatments.len() < 2 {
        return refuse(
            "there is only one treatment".to_owned(),
            "Name a control and at least one method.",
        );
    }
    let repeats = matches!(
        kind,
        DesignKind::CompletelyRandomised | DesignKind::RandomisedBlocks
    );
    if control_plots(protocol) > 1 && !repeats {
        return refuse(
            "this kind of design gives every treatment one plot in a block".to_owned(),
            "Use `randomised-blocks` or `completely-randomised` for more plots of the control.",
        );
    }
    if arrangement.balance.is_some() && kind != DesignKind::Crossover {
        return refuse(
            "only a crossover has an order of treatments that could be balanced".to_owned(),
            "Take the setting `balance` out, or write kind = \"crossover\".",
        );
    }
    if kind == DesignKind::SplitPlot {
        let mut named: Vec<&str> = arrangement
            .whole_plots
            .iter()
            .flatten()
            .map(String::as_str)
            .collect();
        let mut codes: Vec<&str> = protocol
            .treatments
            .iter()
            .map(|t| t.code.as_str())
            .collect();
        named.sort_unstable();
        codes.sort_unstable();
        let first = arrangement.whole_plots.first().map_or(0, Vec::len);
        let even = arrangement.whole_plots.iter().all(|w| w.len() == first);
        if named != codes || !even || arrangement.whole_plots.len() < 2 || first < 2 {
            return refuse(
                "the whole plots do not share out the treatments evenly".to_owned(),
                "List in `whole_plots` two or more groups of equally many codes, each code once.",
            );
        }
    }
    Ok(())
}
