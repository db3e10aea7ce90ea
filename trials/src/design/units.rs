//! The units of the draw, from places on the ground or from a layout on file, and back to numbered plots.

use super::allocation::{Positions, Scheme};
use super::kinds::{self, Position};
use super::places::Places;
use super::{Layout, Plot, Protocol};
use crate::Error;

/// The units of a design in the order of the layout's lines.
#[derive(Debug)]
struct Units {
    /// Units of each block in that order.
    blocks: Vec<Vec<usize>>,
    /// Where each unit stands in its block.
    cells: Vec<Cell>,
    /// Centre of each unit, metres, and the direction of its plot, degrees.
    centres: Vec<([f64; 2], f64)>,
}

/// Row and column in a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Cell {
    row: usize,
    column: usize,
}

/// The design as the draw sees it.
pub(super) fn scheme(protocol: &Protocol, places: &Places) -> Scheme {
    let facts = protocol.design.kind.facts();
    let each = facts.units_per_plot(protocol.treatments.len());
    let number = 1 + places.sites.iter().map(|s| s.block).max().unwrap_or(0);
    let mut units = Units {
        blocks: vec![Vec::new(); number],
        cells: Vec::new(),
        centres: Vec::new(),
    };
    for site in &places.sites {
        for _ in 0..each {
            units.blocks[site.block].push(units.cells.len());
            units.cells.push(Cell {
                row: site.row,
                column: site.column,
            });
            let centre = [millimetres(site.x_m), millimetres(site.y_m)];
            units.centres.push((centre, places.angle_of(site.block)));
        }
    }
    drawn(protocol, units)
}

/// The scheme of a layout, its units being the layout's lines in order: what the randomisation test
/// needs to draw anew ([`Sampler`](super::allocation::Sampler)) exactly what could have been drawn.
///
/// # Errors
/// A block that does not hold as many plots as the protocol says.
pub fn scheme_of(protocol: &Protocol, layout: &Layout) -> Result<Scheme, Error> {
    let cell = |plot: &Plot| Cell {
        row: last_number(plot.row.as_deref()),
        column: last_number(plot.column.as_deref()),
    };
    let units = Units {
        blocks: blocks(layout),
        cells: layout.plots.iter().map(cell).collect(),
        centres: layout
            .plots
            .iter()
            .map(|p| ([p.x_m, p.y_m], p.angle_deg))
            .collect(),
    };
    let scheme = drawn(protocol, units);
    complete(layout, &scheme)?;
    Ok(scheme)
}

/// What is drawn over what.
fn drawn(protocol: &Protocol, units: Units) -> Scheme {
    let kind = protocol.design.kind;
    let asked = protocol.asked();
    let facts = kind.facts();
    let Units {
        mut blocks,
        cells,
        centres,
    } = units;
    if !facts.has_blocks() {
        blocks = vec![(0..cells.len()).collect()];
    }
    if facts.units == kinds::Units::PlotsRowByRow {
        for block in &mut blocks {
            block.sort_by_key(|&unit| cells[unit]);
        }
    }
    // Plots that follow each other on the ground, night by night.
    let nights = facts.units_per_plot(asked.number()).max(1);
    let plots = cells.len() / nights;
    let line = |night: usize| (0..plots).map(|plot| plot * nights + night).collect();
    Scheme {
        randomisation: kind.randomisation(&asked),
        positions: positions(protocol, &blocks, &centres),
        lines: (0..nights).map(line).collect(),
        blocks,
        treatments: asked.number(),
        control: asked.control(),
    }
}

/// Where units stand along the stated gradient, or along and across their plots.
fn positions(protocol: &Protocol, blocks: &[Vec<usize>], centres: &[([f64; 2], f64)]) -> Positions {
    let along = |turned: &dyn Fn(f64) -> f64| -> Vec<f64> {
        let reached = centres.iter().map(|([x, y], angle_deg)| {
            let (sin, cos) = turned(*angle_deg).to_radians().sin_cos();
            x.mul_add(cos, y * sin)
        });
        reached.collect()
    };
    let coordinates = protocol.design.arrangement.gradient_deg.map_or_else(
        || vec![along(&|angle| angle), along(&|angle| angle + 90.0)],
        |stated| vec![along(&|_| stated)],
    );
    // No two plots lie nearer side by side; those in line with each other are parted by rounding alone.
    let apart = 0.5 * protocol.plot.length_m.min(protocol.plot.width_m);
    Positions::new(&coordinates, blocks, apart)
}

/// Every block must hold as many lines as are drawn over it.
fn complete(layout: &Layout, scheme: &Scheme) -> Result<(), Error> {
    let size = scheme.randomisation.units();
    let Some(odd) = scheme.blocks.iter().find(|b| b.len() != size) else {
        return Ok(());
    };
    let place = odd.first().map_or_else(
        || "layout.csv".to_owned(),
        |&u| format!("plot {}", layout.plots[u].plot),
    );
    Err(Error::new(
        place,
        format!(
            "its block has {} lines where the protocol has {size}",
            odd.len()
        ),
        "Restore the sealed layout, or lay out anew with --replace.",
    ))
}

/// Lines of each block, blocks in the order of their numbers, so that the draw repeats.
fn blocks(layout: &Layout) -> Vec<Vec<usize>> {
    let mut blocks: Vec<(Option<&str>, Vec<usize>)> = Vec::new();
    for (unit, plot) in layout.plots.iter().enumerate() {
        let name = plot.block.as_deref();
        match blocks.iter_mut().find(|(met, _)| *met == name) {
            Some((_, units)) => units.push(unit),
            None => blocks.push((name, vec![unit])),
        }
    }
    blocks.sort_by_key(|(name, _)| last_number(*name));
    blocks.into_iter().map(|(_, units)| units).collect()
}

/// The number at the end of a label such as `3` or `2.3`; 0 for none.
fn last_number(label: Option<&str>) -> usize {
    label
        .and_then(|l| l.rsplit('.').next())
        .and_then(|l| l.parse().ok())
        .unwrap_or(0)
}

/// Plots with numbers, blocks and treatments.
pub(super) fn layout(protocol: &Protocol, places: &Places, allocation: &[usize]) -> Layout {
    let kind = protocol.design.kind;
    let each = kind.facts().units_per_plot(protocol.treatments.len());
    let plots = allocation.iter().enumerate().map(|(unit, &treatment)| {
        let site = &places.sites[unit / each];
        let labels = kind.labels(&Position {
            block: site.block,
            row: site.row,
            column: site.column,
            night: unit % each,
            several_blocks: protocol.design.blocks > 1,
            several_greens: !places.greens.is_empty(),
        });
        Plot {
            plot: (unit / each + 1).to_string(),
            block: labels.block.then(|| places.block_name(site.block)),
            green: places.green_of(site.block).map(str::to_owned),
            row: labels.row,
            column: labels.column,
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
