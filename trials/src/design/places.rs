//! From a protocol to places on the ground and the blocks they form.

use super::allocation::carry_over;
use super::plots::{Placement, Request, Shape, Site, place};
use super::{Balance, BlockBy, DesignKind, Greens, Protocol};
use crate::Error;
use crate::area::Outline;

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

/// A green's part of the places.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct GreenPart {
    name: String,
    first_block: usize,
    angle_deg: f64,
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

/// Finds a place for every plot on one green or several, green by green.
///
/// # Errors
/// As [`places`]; a completely randomised design on several greens; more blocks than the greens take.
pub(super) fn places_on(protocol: &Protocol, greens: Greens<'_>) -> Result<Places, Error> {
    let greens = greens.each();
    if let [(None, outline)] = greens.as_slice() {
        return places(protocol, outline);
    }
    if protocol.design.kind == DesignKind::CompletelyRandomised {
        return Err(Error::new(
            "trial.toml [design] kind",
            "a completely randomised design does not tell greens apart",
            "Use `randomised-blocks`: a green is a block or holds blocks.",
        ));
    }
    let shares = green_shares(protocol, &greens)?;
    let plots = shape(protocol)?.plots();
    let mut all: Option<Places> = None;
    let mut first_block = 0;
    for ((name, outline), (share, most)) in greens.into_iter().zip(shares) {
        if share == 0 {
            continue;
        }
        let mut part = protocol.clone();
        part.design.blocks = share;
        let before = &protocol.design.arrangement.before;
        let counted = first_block * plots..(first_block + share) * plots;
        part.design.arrangement.before = before.get(counted).unwrap_or_default().to_vec();
        let found = places(&part, outline)?;
        let green = GreenPart {
            name: name.unwrap_or_default().to_owned(),
            first_block,
            angle_deg: found.angle_deg,
        };
        let sites = found.sites.iter().map(|s| Site {
            block: s.block + first_block,
            ..*s
        });
        let places = all.get_or_insert_with(|| Places {
            sites: Vec::new(),
            greens: Vec::new(),
            most_blocks: 0,
            ..found.clone()
        });
        places.sites.extend(sites);
        places.greens.push(green);
        places.most_blocks += most;
        first_block += share;
    }
    all.ok_or_else(|| {
        Error::new(
            "trial.toml [[green]]",
            "no green takes a block",
            "Measure the greens, or ask for smaller plots.",
        )
    })
}

/// Blocks on each green and the most it takes: as the protocol says, or by room.
fn green_shares(
    protocol: &Protocol,
    greens: &[(Option<&str>, &Outline)],
) -> Result<Vec<(usize, usize)>, Error> {
    let mut one = protocol.clone();
    one.design.blocks = 1;
    if one.design.arrangement.block_by != BlockBy::Zones {
        one.design.arrangement.block_by = BlockBy::Position;
    }
    let most: Vec<usize> = greens
        .iter()
        .map(|(_, outline)| places(&one, outline).map_or(0, |p| p.most_blocks))
        .collect();
    let told = &protocol.design.arrangement.greens;
    let asked: Vec<usize> = told.iter().filter_map(|g| g.blocks).collect();
    let share = if asked.len() == greens.len() {
        asked
    } else {
        apportioned(&most, protocol.design.blocks)
    };
    if share.iter().sum::<usize>() < protocol.design.blocks {
        let names = greens.iter().map(|(name, _)| name.unwrap_or_default());
        return Err(Error::new(
            "trial.toml [design] blocks",
            format!(
                "{} blocks do not fit on the greens: {}",
                protocol.design.blocks,
                room_of(names, &most)
            ),
            "Ask for fewer blocks or smaller plots, or add a green.",
        ));
    }
    Ok(share.into_iter().zip(most).collect())
}

/// "3 in wet, 2 in dry".
fn room_of<'a>(names: impl Iterator<Item = &'a str>, most: &[usize]) -> String {
    let listed: Vec<String> = names
        .zip(most)
        .map(|(name, m)| format!("{m} in {name}"))
        .collect();
    listed.join(", ")
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
                    "Place and number the plots first, count every one, then form blocks from the counts.",
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
pub(super) fn shape(protocol: &Protocol) -> Result<Shape, Error> {
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
        DesignKind::Crossover => match protocol.design.arrangement.balance {
            Some(Balance::CarryOver) => Shape::Compact(carry_over::plots(t)),
            None => Shape::Compact(t),
        },
    })
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

/// Blocks laid in zones, as many in each as [`shares`] gives it.
fn by_zones(outline: &Outline, ask: &Request) -> Result<Places, Error> {
    let (shares, most_blocks) = shares(outline, ask)?;
    let mut all = Places {
        sites: Vec::new(),
        angle_deg: 0.0,
        greens: Vec::new(),
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

/// Blocks for each zone, and the most that all zones take.
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
        let names = outline.zones.iter().map(|z| z.name.as_str());
        return Err(Error::new(
            "trial.toml [design] blocks",
            format!(
                "{} blocks do not fit into the zones: {}",
                ask.blocks,
                room_of(names, &most)
            ),
            "Ask for fewer blocks or smaller plots.",
        ));
    }
    Ok((apportioned(&most, ask.blocks), total))
}

/// Blocks shared out over grounds with room for `most` each: one after another goes to the ground with
/// most room for each block it would then hold (highest-average apportionment).
fn apportioned(most: &[usize], blocks: usize) -> Vec<usize> {
    let mut share = vec![0_usize; most.len()];
    for _ in 0..blocks {
        let left = |z: usize| most[z] as f64 / (share[z] + 1) as f64;
        let next = (0..most.len())
            .filter(|&z| share[z] < most[z])
            .max_by(|&a, &b| left(a).total_cmp(&left(b)).then(b.cmp(&a)));
        if let Some(ground) = next {
            share[ground] += 1;
        }
    }
    share
}
