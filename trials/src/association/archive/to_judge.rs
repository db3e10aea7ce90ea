//! Rows of one trial in the form in which any table is judged.

use std::collections::BTreeMap;

use super::Rows;
use super::rows::Role;
use crate::Error;
use crate::intake::{Labels, TableInput};

/// The main occasion's rows of one trial, with the counts of plots before treatment where plots have names.
///
/// # Errors
/// Areas that are known for some rows only, and a control that is in none of them.
pub fn table_input(rows: &Rows, control: &str) -> Result<TableInput, Error> {
    let main: Vec<usize> = (0..rows.len())
        .filter(|at| rows.roles[*at] == Role::Main)
        .collect();
    let place = |at: usize| format!("{}:{}", rows.sources.name(at), rows.lines[at]);
    let known = main.iter().filter(|at| rows.areas[**at] > 0.0).count();
    if known > 0
        && let Some(&lacking) = main.iter().find(|at| rows.areas[**at] == 0.0)
    {
        let what = "the sampled area is known for some lines of the trial and not for this one";
        return Err(Error::new(place(lacking), what, "Write it on every line."));
    }
    let treatments = labels(main.iter().map(|at| rows.treatments.name(*at)));
    let control = treatments
        .levels
        .iter()
        .position(|t| t == control)
        .ok_or_else(|| {
            let first = main.first().map(|at| place(*at)).unwrap_or_default();
            let what = format!("the control \"{control}\" was not counted on the main occasion");
            Error::new(
                first,
                what,
                "Name the occasion on which it was with --main.",
            )
        })?;
    let all_named = |name: &dyn Fn(usize) -> String| {
        let names: Vec<String> = main.iter().map(|at| name(*at)).collect();
        let some = names.iter().any(|n| !n.is_empty());
        some.then(|| labels(names.iter().map(String::as_str)))
    };
    Ok(TableInput {
        counts: main.iter().map(|at| u64::from(rows.counts[*at])).collect(),
        treatments,
        control,
        blocks: all_named(&|at| rows.blocks.name(at).to_owned()),
        rows: None,
        columns: None,
        plots: all_named(&|at| rows.plots.name(at).to_owned()),
        before: before(rows, &main),
        areas: (known > 0).then(|| main.iter().map(|at| rows.areas[*at]).collect()),
        lines: main.iter().map(|at| rows.lines[*at]).collect(),
        problems: Vec::new(),
    })
}

/// Names as levels in the order of their first rows.
fn labels<'n>(names: impl Iterator<Item = &'n str>) -> Labels {
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    let mut levels = Vec::new();
    let codes = names.map(|name| {
        *places.entry(name).or_insert_with(|| {
            levels.push(name.to_owned());
            levels.len() - 1
        })
    });
    let codes = codes.collect();
    Labels { levels, codes }
}

/// Counts before treatment, brought to as many cores as were counted afterwards: the whole of a plot on its first row, so that its
/// rows add up to it. `None` unless every plot was counted before.
fn before(rows: &Rows, main: &[usize]) -> Option<Vec<f64>> {
    let sampled = |at: usize| {
        if rows.areas[at] > 0.0 {
            rows.areas[at]
        } else {
            1.0
        }
    };
    let mut earlier: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    for at in (0..rows.len()).filter(|at| rows.roles[*at] == Role::Before) {
        let plot = earlier.entry(rows.plots.name(at)).or_default();
        plot.0 += f64::from(rows.counts[at]);
        plot.1 += sampled(at);
    }
    if earlier.is_empty() || main.iter().any(|at| rows.plots.name(*at).is_empty()) {
        return None;
    }
    let mut later: BTreeMap<&str, f64> = BTreeMap::new();
    for &at in main {
        *later.entry(rows.plots.name(at)).or_default() += sampled(at);
    }
    main.iter()
        .map(|&at| {
            let plot = rows.plots.name(at);
            let (count, area) = *earlier.get(plot)?;
            Some(later.remove(plot).map_or(0.0, |after| count * after / area))
        })
        .collect()
}
