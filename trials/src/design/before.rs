//! Blocks formed from counts before treatment: plots first, then counts, then blocks.

use serde::Serialize;

use super::kinds::suits;
use super::places::{Places, places_on};
use super::plots::Site;
use super::units::millimetres;
use super::{Advice, BlockBy, Greens, Layout, Plot, Protocol};
use crate::Error;
use crate::text::table_cells::written;

/// Columns of `plots-to-count.csv`, after the plot's number and, in a trial on several, its green.
const COLUMNS: [&str; 5] = ["x_m", "y_m", "length_m", "width_m", "angle_deg"];

/// Plots of one green that wait to be counted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ToCount {
    /// Name of the green, in a trial on several.
    pub green: Option<String>,
    /// The plots, numbered, with neither block nor treatment (`treatment` is empty).
    #[serde(flatten)]
    pub layout: Layout,
}

/// Places and numbers the plots of a trial whose blocks will be formed from counts before
/// treatment. [`lay_out`](super::lay_out) gives the same plots the same numbers and places once
/// `arrangement.before` holds a count for each.
///
/// # Errors
/// As [`lay_out`](super::lay_out).
pub fn plots_to_count<'a>(
    protocol: &Protocol,
    greens: impl Into<Greens<'a>>,
) -> Result<Vec<ToCount>, Error> {
    let kind = protocol.design.kind;
    let asked = protocol.asked();
    suits(kind, &asked)?;
    // Counts decide which block a plot is in and nothing else, so equal ones place the plots.
    let mut level = protocol.clone();
    level.design.arrangement.before = vec![0.0; kind.shapes(&asked) * kind.shape(&asked).plots()];
    let places = places_on(&level, greens.into(), true)?;
    let mut all: Vec<ToCount> = Vec::new();
    for (i, site) in places.sites.iter().enumerate() {
        let green = places.green_of(site.block).map(str::to_owned);
        let plot = Plot {
            plot: (i + 1).to_string(),
            block: None,
            green: green.clone(),
            row: None,
            column: None,
            treatment: String::new(),
            x_m: millimetres(site.x_m),
            y_m: millimetres(site.y_m),
            length_m: protocol.plot.length_m,
            width_m: protocol.plot.width_m,
            angle_deg: places.angle_of(site.block),
        };
        match all.iter_mut().find(|met| met.green == green) {
            Some(met) => met.layout.plots.push(plot),
            None => all.push(ToCount {
                green,
                layout: Layout { plots: vec![plot] },
            }),
        }
    }
    Ok(all)
}

/// Text of `plots-to-count.csv`, lines ended by LF. x and y are the plot's centre.
///
/// # Errors
/// Only if the text cannot be put together, which needs memory to run out.
pub fn write_plots_to_count(all: &[ToCount]) -> Result<String, Error> {
    let failed = |e: &dyn std::fmt::Display| {
        let what = format!("cannot be written ({e})");
        Error::new("plots-to-count.csv", what, "Try again.")
    };
    let several = all.iter().any(|a| a.green.is_some());
    let named = |name: &str| several.then(|| written(name).into_owned());
    let mut writer = csv::Writer::from_writer(Vec::new());
    let header = COLUMNS.map(str::to_owned);
    let first = std::iter::once("plot".to_owned()).chain(named("green"));
    writer
        .write_record(first.chain(header))
        .map_err(|e| failed(&e))?;
    for part in all {
        for p in &part.layout.plots {
            let green = named(part.green.as_deref().unwrap_or_default());
            let numbers = [p.x_m, p.y_m, p.length_m, p.width_m, p.angle_deg];
            let first = std::iter::once(p.plot.clone()).chain(green);
            writer
                .write_record(first.chain(numbers.map(|n| n.to_string())))
                .map_err(|e| failed(&e))?;
        }
    }
    let bytes = writer.into_inner().map_err(|e| failed(&e))?;
    String::from_utf8(bytes).map_err(|e| failed(&e))
}

/// Says which plots with equal counts fell into different blocks, for only their numbers parted them.
pub(super) fn advise_on_ties(protocol: &Protocol, places: &Places) -> Option<Advice> {
    let arrangement = &protocol.design.arrangement;
    if arrangement.block_by != BlockBy::BeforeCounts {
        return None;
    }
    let counted: Vec<(usize, &Site, f64)> = (1..)
        .zip(places.sites.iter().zip(&arrangement.before))
        .map(|(number, (site, &count))| (number, site, count))
        .collect();
    let alike = |a: &(usize, &Site, f64), b: &(usize, &Site, f64)| {
        a.2.total_cmp(&b.2).is_eq() && places.green_of(a.1.block) == places.green_of(b.1.block)
    };
    let parted: Vec<String> = counted
        .iter()
        .filter_map(|one| {
            let group: Vec<_> = counted.iter().filter(|other| alike(one, other)).collect();
            let first = group.first().is_some_and(|f| f.0 == one.0);
            let apart = group.iter().any(|other| other.1.block != one.1.block);
            let numbers: Vec<String> = group.iter().map(|g| g.0.to_string()).collect();
            let count = (one.2 * 100.0).round() / 100.0;
            (first && apart).then(|| format!("{} ({count} each)", numbers.join(", ")))
        })
        .collect();
    (!parted.is_empty()).then(|| Advice {
        code: "before-counts-tied",
        message: format!(
            "Plots with the same count before treatment fell into different blocks, lower numbers first: {}.",
            parted.join("; ")
        ),
    })
}
