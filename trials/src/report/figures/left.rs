//! For the members: of twenty that an untreated plot holds, how many does a treated plot hold?

use plotters::style::text_anchor::{HPos, VPos};

use super::Figure;
use super::canvas::{Canvas, Fault, WIDTH, Words, drawing};
use super::looks::colour;
use crate::Error;
use crate::report::Findings;

/// How many the control's row shows.
const TWENTY: f64 = 20.0;
/// Longest row, in marks.
const MOST: f64 = 60.0;
const ROW: i32 = 74;
const STEP: i32 = 23;
/// Marks in a line.
const LINE: i32 = 20;

/// Draws it; `None` where a ratio has no value or is too large to draw.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Option<Figure>, Error> {
    let ratios: Option<Vec<f64>> = findings
        .judgement
        .contrasts
        .iter()
        .map(|c| c.ratio)
        .collect();
    let Some(ratios) = ratios.filter(|all| all.iter().all(|r| TWENTY * r <= MOST)) else {
        return Ok(None);
    };
    let rows: Vec<(&str, i32)> = findings
        .data
        .names
        .iter()
        .map(String::as_str)
        .zip(std::iter::once(1.0).chain(ratios).map(whole))
        .collect();
    let told: Vec<String> = rows
        .iter()
        .map(|(name, n)| format!("{name}: {n}"))
        .collect();
    let words = Words {
        name: "left",
        title: format!(
            "For every twenty {} in untreated plots",
            findings.judgement.counted
        ),
        description: format!("{}.", told.join("; ")),
    };
    let lines = |n: i32| ((n - 1) / LINE + 1).max(1);
    let height = rows.iter().map(|(_, n)| ROW + STEP * (lines(*n) - 1)).sum();
    let svg = drawing(&words, height, |canvas| {
        let mut top = 0;
        for (i, (name, n)) in rows.iter().enumerate() {
            row(canvas, (i, name, *n), top)?;
            top += ROW + STEP * (lines(*n) - 1);
        }
        Ok(())
    })?;
    Ok(Some(Figure {
        name: "left".to_owned(),
        caption: format!(
            "For every twenty {} in plots of the control, about so many {}.",
            findings.judgement.counted,
            told_as(findings)
        ),
        svg,
    }))
}

/// Whether the rows are what was found, or an estimate.
fn told_as(findings: &Findings<'_>) -> String {
    let mut rows = findings.judgement.contrasts.iter();
    if rows.any(|c| c.reads_otherwise().is_some()) {
        format!(
            "are to be expected in the others by the estimate, which allows for {}",
            findings.data.allowed_for()
        )
    } else {
        "were found in the others".to_owned()
    }
}

#[expect(clippy::cast_possible_truncation, reason = "between 0 and sixty")]
fn whole(ratio: f64) -> i32 {
    (TWENTY * ratio).round() as i32
}

/// A name, its number, and as many marks.
fn row(canvas: &Canvas<'_>, (i, name, n): (usize, &str, i32), top: i32) -> Result<(), Fault> {
    canvas.text(name, (4, top + 10), (HPos::Left, VPos::Top), 16)?;
    let number = format!("{n}");
    canvas.text(&number, (WIDTH - 6, top + 6), (HPos::Right, VPos::Top), 20)?;
    for mark in 0..n {
        let x = 14 + STEP * (mark % LINE);
        let y = top + 48 + STEP * (mark / LINE);
        canvas.circle((x, y), 8, colour(i))?;
    }
    Ok(())
}
