//! From a protocol to places on the ground and the blocks they form.

use super::plots::{Placement, Request, Shape, Site, place};
use super::{BlockBy, DesignKind, Protocol};
use crate::Error;
use crate::area::Outline;

/// Places in walking order with the block each belongs to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Places {
    /// Places in the order plots are numbered.
    pub(super) sites: Vec<Site>,
    /// Direction of the plots' length, degrees.
    pub(super) angle_deg: f64,
    /// Most complete blocks that fit.
    pub(super) most_blocks: usize,
}

/// Finds a place for every plot of the protocol.
///
/// # Errors
/// Plots that do not fit, zones or counts that the blocking needs and does not have.
pub(super) fn places(protocol: &Protocol, outline: &Outline) -> Result<Places, Error> {
    let design = &protocol.design;
    let shape = shape(protocol)?;
    let whole =
        matches!(shape, Shape::Array(..)) || design.kind == DesignKind::CompletelyRandomised;
    let blocks = if design.kind == DesignKind::CompletelyRandomised {
        design.blocks * (protocol.treatments.len() - 1 + control_plots(protocol))
    } else {
        design.blocks
    };
    let ask = Request {
        length_m: protocol.plot.length_m,
        width_m: protocol.plot.width_m,
        guard_m: protocol.plot.guard_m,
        angle_deg: design.arrangement.angle_deg,
        blocks,
        shape,
    };
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
                    "Lay out by position first, count every plot, then form blocks from the counts.",
                ));
            }
            Ok(ranked(singles, before, ask.shape.plots()))
        }
    }
}

/// Plots of the control in a block.
pub(super) fn control_plots(protocol: &Protocol) -> usize {
    protocol
        .design
        .arrangement
        .control_plots
        .unwrap_or(1)
        .max(1)
}

/// Shape of one block.
fn shape(protocol: &Protocol) -> Result<Shape, Error> {
    let t = protocol.treatments.len();
    Ok(match protocol.design.kind {
        DesignKind::CompletelyRandomised => Shape::Compact(1),
        DesignKind::RandomisedBlocks => Shape::Compact(t - 1 + control_plots(protocol)),
        DesignKind::Paired if t == 2 => Shape::Compact(2),
        DesignKind::Paired => {
            return Err(Error::new(
                "trial.toml [design] kind",
                format!("a paired design compares 2 treatments, not {t}"),
                "Use `randomised-blocks`, or leave two treatments.",
            ));
        }
        DesignKind::LatinSquare => Shape::Array(t, t),
        DesignKind::SplitPlot => {
            let whole = &protocol.design.arrangement.whole_plots;
            Shape::Array(whole.len(), whole.first().map_or(0, Vec::len))
        }
        DesignKind::Crossover => Shape::Compact(t),
    })
}

fn plain(found: Placement) -> Places {
    Places {
        sites: found.sites,
        angle_deg: found.angle_deg,
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

/// Blocks laid in zones, as many in each as [`shares`] gives it.
fn by_zones(outline: &Outline, ask: &Request) -> Result<Places, Error> {
    let (shares, most_blocks) = shares(outline, ask)?;
    let mut all = Places {
        sites: Vec::new(),
        angle_deg: 0.0,
        most_blocks,
    };
    let mut blocks = 0;
    // One direction for the whole trial: the first zone's serves all unless one was asked for.
    let mut angle_deg = ask.angle_deg;
    for (zone, share) in outline.zones.iter().zip(shares).filter(|(_, s)| *s > 0) {
        let part = Request {
            blocks: share,
            angle_deg,
            ..*ask
        };
        let found = place(outline, Some(zone), &part)?;
        angle_deg = Some(found.angle_deg);
        all.angle_deg = found.angle_deg;
        all.sites.extend(found.sites.iter().map(|s| Site {
            block: s.block + blocks,
            ..*s
        }));
        blocks += share;
    }
    Ok(all)
}

/// Blocks for each zone, and the most that all zones take: one after another goes to the zone with
/// most room for each block it would then hold (highest-average apportionment).
fn shares(outline: &Outline, ask: &Request) -> Result<(Vec<usize>, usize), Error> {
    if outline.zones.is_empty() {
        return Err(Error::new(
            "trial.toml [design] block_by",
            "blocks are to follow zones, but the outline has none",
            "Add lines with `zone NAME` in a column `part` of outline.csv, or block by position.",
        ));
    }
    let room = |zone| {
        let one = Request { blocks: 1, ..*ask };
        place(outline, Some(zone), &one).map_or(0, |p| p.most_blocks)
    };
    let most: Vec<usize> = outline.zones.iter().map(room).collect();
    let total = most.iter().sum();
    if total < ask.blocks {
        let listed: Vec<String> = outline
            .zones
            .iter()
            .zip(&most)
            .map(|(z, m)| format!("{m} in {}", z.name))
            .collect();
        return Err(Error::new(
            "trial.toml [design] blocks",
            format!(
                "{} blocks do not fit into the zones: {}",
                ask.blocks,
                listed.join(", ")
            ),
            "Ask for fewer blocks or smaller plots.",
        ));
    }
    let mut share = vec![0_usize; most.len()];
    for _ in 0..ask.blocks {
        let left = |z: usize| most[z] as f64 / (share[z] + 1) as f64;
        let next = (0..most.len())
            .filter(|&z| share[z] < most[z])
            .max_by(|&a, &b| left(a).total_cmp(&left(b)).then(b.cmp(&a)));
        if let Some(zone) = next {
            share[zone] += 1;
        }
    }
    Ok((share, total))
}
