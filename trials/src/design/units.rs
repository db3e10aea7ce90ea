//! From places to the units of the draw, and back to numbered plots.

use std::sync::Arc;

use super::allocation::{CarryOver, Randomisation, Scheme, Shuffled, Split, Square};
use super::places::{Places, control_plots};
use super::{Balance, DesignKind, Layout, Plot, Protocol};

/// The design as the draw sees it.
pub(super) fn scheme(protocol: &Protocol, places: &Places) -> Scheme {
    let sites = places.sites.len();
    let blocks = blocks(protocol.design.kind, places);
    let line: Vec<usize> = (0..sites).collect();
    let (randomisation, blocks, lines) = match protocol.design.kind {
        DesignKind::CompletelyRandomised => {
            let list = list(protocol, protocol.design.blocks);
            (shuffled(list), vec![line.clone()], vec![line])
        }
        DesignKind::RandomisedBlocks | DesignKind::Paired => {
            let list = list(protocol, 1);
            (shuffled(list), blocks, vec![line])
        }
        DesignKind::LatinSquare => (square(protocol), blocks, vec![line]),
        DesignKind::SplitPlot => {
            let groups = groups(protocol);
            (split(groups), blocks, vec![line])
        }
        DesignKind::Crossover => {
            // Every plot is a unit on each of as many nights as there are treatments.
            let t = protocol.treatments.len();
            let nights = |site: usize| (0..t).map(move |night| site * t + night);
            let blocks = blocks
                .iter()
                .map(|b| b.iter().flat_map(|&s| nights(s)).collect());
            let lines = (0..t).map(|n| (0..sites).map(|s| s * t + n).collect());
            (crossover(protocol), blocks.collect(), lines.collect())
        }
    };
    Scheme {
        randomisation,
        lines,
        blocks,
        treatments: protocol.treatments.len(),
        control: protocol
            .treatments
            .iter()
            .position(|x| x.control)
            .unwrap_or(0),
    }
}

/// The draw of a crossover: any Latin square, or sequences balanced for carry-over.
pub(super) fn crossover(protocol: &Protocol) -> Arc<dyn Randomisation> {
    match protocol.design.arrangement.balance {
        Some(Balance::CarryOver) => Arc::new(CarryOver {
            treatments: protocol.treatments.len(),
        }),
        None => square(protocol),
    }
}

pub(super) fn square(protocol: &Protocol) -> Arc<dyn Randomisation> {
    Arc::new(Square {
        order: protocol.treatments.len(),
    })
}

pub(super) fn shuffled(list: Vec<usize>) -> Arc<dyn Randomisation> {
    Arc::new(Shuffled { list })
}

pub(super) fn split(groups: Vec<Vec<usize>>) -> Arc<dyn Randomisation> {
    Arc::new(Split { groups })
}

/// Sites of each block in walking order; those of a Latin square row by row, as squares are drawn.
fn blocks(kind: DesignKind, places: &Places) -> Vec<Vec<usize>> {
    let number = 1 + places.sites.iter().map(|s| s.block).max().unwrap_or(0);
    let mut blocks = vec![Vec::new(); number];
    for (unit, site) in places.sites.iter().enumerate() {
        blocks[site.block].push(unit);
    }
    if kind == DesignKind::LatinSquare {
        for block in &mut blocks {
            block.sort_by_key(|&u| (places.sites[u].row, places.sites[u].column));
        }
    }
    blocks
}

/// Treatments in protocol order, each `times` over, the control as many times more as it has plots.
pub(super) fn list(protocol: &Protocol, times: usize) -> Vec<usize> {
    protocol
        .treatments
        .iter()
        .enumerate()
        .flat_map(|(x, treatment)| {
            let each = if treatment.control {
                control_plots(protocol)
            } else {
                1
            };
            vec![x; times * each]
        })
        .collect()
}

/// Treatments of each kind of whole plot.
pub(super) fn groups(protocol: &Protocol) -> Vec<Vec<usize>> {
    let index = |code: &String| {
        protocol
            .treatments
            .iter()
            .position(|treatment| treatment.code == *code)
    };
    let whole = &protocol.design.arrangement.whole_plots;
    whole
        .iter()
        .map(|codes| codes.iter().filter_map(index).collect())
        .collect()
}

/// Plots with numbers, blocks and treatments.
pub(super) fn layout(protocol: &Protocol, places: &Places, allocation: &[usize]) -> Layout {
    let kind = protocol.design.kind;
    let per_site = allocation.len() / places.sites.len();
    let squares = protocol.design.blocks > 1;
    // Rows of the second of several squares are rows of their own.
    let within = |block: usize, i: usize| {
        if squares {
            format!("{}.{}", block + 1, i + 1)
        } else {
            (i + 1).to_string()
        }
    };
    let plots = allocation.iter().enumerate().map(|(unit, &treatment)| {
        let site = &places.sites[unit / per_site];
        let latin = kind == DesignKind::LatinSquare;
        let (row, column) = match kind {
            DesignKind::LatinSquare => (
                Some(within(site.block, site.row)),
                Some(within(site.block, site.column)),
            ),
            DesignKind::Crossover => (Some((unit % per_site + 1).to_string()), None),
            DesignKind::SplitPlot => (Some(within(site.block, site.row)), None),
            _ => (None, None),
        };
        let blocked = kind != DesignKind::CompletelyRandomised
            && (!latin || squares || !places.greens.is_empty());
        Plot {
            plot: (unit / per_site + 1).to_string(),
            block: blocked.then(|| places.block_name(site.block)),
            row,
            column,
            treatment: protocol.treatments[treatment].code.clone(),
            x_m: millimetres(site.x_m),
            y_m: millimetres(site.y_m),
            length_m: protocol.plot.length_m,
            width_m: protocol.plot.width_m,
            angle_deg: places.angle_of(site.block),
        }
    });
    Layout {
        plots: plots.collect(),
    }
}

/// Whole millimetres: no peg stands truer, and files read back the same.
pub(super) fn millimetres(metres: f64) -> f64 {
    (metres * 1000.0).round() / 1000.0 + 0.0
}
