//! From a protocol to places on the ground and the blocks they form: on one green, in its zones, or on
//! several greens.

mod apportioned;
mod on_greens;
mod zones;

use super::plots::{Placement, Request, Shape, Site, place};
use super::{BlockBy, Protocol};
use crate::Error;
use crate::area::Outline;
use crate::ranges::protocol::PLOTS;

use on_greens::GreenPart;
pub(super) use on_greens::places_on;
use zones::by_zones;

/// Places in walking order with the block each belongs to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Places {
    /// Places in the order plots are numbered.
    pub(super) sites: Vec<Site>,
    /// Direction of the plots' length, degrees; with several greens, of the first.
    pub(super) angle_deg: f64,
    /// Greens in order, each with its first block and direction; empty for a trial on one.
    pub(super) greens: Vec<GreenPart>,
    /// Most complete blocks that fit.
    pub(super) most_blocks: usize,
}

impl Places {
    fn part(&self, block: usize) -> Option<&GreenPart> {
        self.greens.iter().rev().find(|g| g.first_block <= block)
    }

    /// Direction of a block's plots, degrees.
    pub(super) fn angle_of(&self, block: usize) -> f64 {
        self.part(block).map_or(self.angle_deg, |g| g.angle_deg)
    }

    /// Name of a block's green, where the trial has several.
    pub(super) fn green_of(&self, block: usize) -> Option<&str> {
        self.part(block).map(|g| g.name.as_str())
    }

    /// Name of a block: its number from 1, after its green where there are several.
    pub(super) fn block_name(&self, block: usize) -> String {
        self.part(block).map_or_else(
            || (block + 1).to_string(),
            |g| format!("{}.{}", g.name, block + 1),
        )
    }
}

/// Finds a place for every plot of the protocol. Where `advise`, a refusal tells which smaller plots would fit.
///
/// # Errors
/// Plots that do not fit, zones or counts that the blocking needs and does not have.
fn places(protocol: &Protocol, outline: &Outline, advise: bool) -> Result<Places, Error> {
    let design = &protocol.design;
    let asked = protocol.asked();
    let shape = design.kind.shape(&asked);
    let whole = matches!(shape, Shape::Array(..)) || !design.kind.facts().has_blocks();
    let ask = Request {
        length_m: protocol.plot.length_m,
        width_m: protocol.plot.width_m,
        guard_m: protocol.plot.guard_m,
        angle_deg: design.arrangement.angle_deg,
        blocks: design.kind.shapes(&asked),
        shape,
        advise,
    };
    let found = ask.blocks * ask.shape.plots();
    if !PLOTS.holds_whole(found as u64) {
        let what = PLOTS.fault(&format!("{found} plots:"));
        return Err(Error::new(
            "trial.toml [design] blocks",
            what,
            "Lay out fewer blocks.",
        ));
    }
    match design.arrangement.block_by {
        BlockBy::Position => place(outline, None, &ask).map(plain),
        BlockBy::Zones => by_zones(outline, &ask),
        BlockBy::EdgeDistance | BlockBy::BeforeCounts if whole => Err(Error::new(
            "trial.toml [design] block_by",
            "only randomised blocks, pairs and crossovers can be blocked by rank",
            "Leave `block_by` out, or change the kind of design.",
        )),
        BlockBy::EdgeDistance => {
            let singles = place(outline, None, &single(&ask))?;
            let far: Vec<f64> = singles
                .sites
                .iter()
                .map(|s| outline.distance_to_edge_m(s.x_m, s.y_m))
                .collect();
            Ok(ranked(singles, &far, ask.shape.plots()))
        }
        BlockBy::BeforeCounts => {
            let singles = place(outline, None, &single(&ask))?;
            let before = &design.arrangement.before;
            if before.len() != singles.sites.len() {
                return Err(Error::new(
                    "trial.toml [design] block_by",
                    format!(
                        "there are {} counts before treatment for {} plots",
                        before.len(),
                        singles.sites.len()
                    ),
                    "Place and number the plots first, count every one, then form blocks from the counts.",
                ));
            }
            Ok(ranked(singles, before, ask.shape.plots()))
        }
    }
}

fn plain(found: Placement) -> Places {
    Places {
        sites: found.sites,
        angle_deg: found.angle_deg,
        greens: Vec::new(),
        most_blocks: found.most_blocks,
    }
}

/// The same number of plots, each placed for itself.
fn single(ask: &Request) -> Request {
    Request {
        blocks: ask.blocks * ask.shape.plots(),
        shape: Shape::Compact(1),
        ..*ask
    }
}

/// Blocks of plots with neighbouring ranks: the lowest values form block 1. Ties keep walking order.
fn ranked(found: Placement, values: &[f64], size: usize) -> Places {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]).then(a.cmp(&b)));
    let mut places = plain(found);
    places.most_blocks /= size;
    for (rank, &site) in order.iter().enumerate() {
        places.sites[site].block = rank / size;
    }
    places
}
