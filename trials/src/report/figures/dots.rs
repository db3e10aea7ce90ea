//! Every plot as a mark, joined within its block.

use plotters::style::text_anchor::{HPos, VPos};

use super::Figure;
use super::canvas::{Canvas, Fault, GREY, INK, PALE, WIDTH, Words, drawing};
use super::looks::mark;
use super::scale::{Scale, ticks, two_lines};
use crate::Error;
use crate::judgement::PlotCount;
use crate::report::Findings;
use crate::report::rounding::{figure as digits, plain};

const HEIGHT: i32 = 380;
const LEFT: i32 = 56;
const RIGHT: i32 = 16;
const TOP: i32 = 40;
const FOOT: i32 = 64;
/// Half the length of the bar at a mean.
const BAR: i32 = 46;

/// Draws it.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Figure, Error> {
    let words = Words {
        name: "counts",
        title: "Counts of every plot by treatment".to_owned(),
        description: told(findings),
    };
    let svg = drawing(&words, HEIGHT, |canvas| paint(canvas, findings))?;
    let joined = if findings.case.plots.iter().any(|p| p.block.is_some()) {
        " Thin lines join plots of one block."
    } else {
        ""
    };
    Ok(Figure {
        name: "counts".to_owned(),
        caption: format!(
            "Every plot as one mark: {}.{joined} Thick bars are the means.",
            findings.protocol.response.unit
        ),
        svg,
    })
}

fn paint(canvas: &Canvas<'_>, findings: &Findings<'_>) -> Result<(), Fault> {
    let plots = &findings.case.plots;
    let values: Vec<f64> = plots.iter().map(|p| findings.per_core(p)).collect();
    let ticks = ticks(values.iter().copied().fold(0.5, f64::max));
    let up = Scale {
        values: (0.0, ticks.last().copied().unwrap_or(1.0)),
        places: (HEIGHT - FOOT, TOP),
    };
    canvas.text(
        &findings.protocol.response.unit,
        (8, 8),
        (HPos::Left, VPos::Top),
        15,
    )?;
    for tick in ticks {
        let y = up.at(tick);
        canvas.line((LEFT, y), (WIDTH - RIGHT, y), PALE, 1)?;
        canvas.text(&plain(tick), (LEFT - 8, y), (HPos::Right, VPos::Center), 14)?;
    }
    let at = places(findings, &values, &up);
    for (i, name) in findings.case.names.iter().enumerate() {
        names(canvas, findings, i, name)?;
        if let Some(mean) = findings.judgement.means.get(i) {
            let y = up.at(findings.core_mean(mean.mean));
            let x = middle(findings, i);
            let half = BAR.min(column(findings) / 2 - 4);
            canvas.line((x - half, y), (x + half, y), INK, 5)?;
        }
    }
    for (a, b) in joined(findings) {
        canvas.line(at[a], at[b], GREY, 1)?;
    }
    for (plot, &place) in plots.iter().zip(&at) {
        mark(canvas, treatment(findings, plot), place, 6)?;
    }
    Ok(())
}

/// Name of a treatment under its column, and its mean.
fn names(canvas: &Canvas<'_>, findings: &Findings<'_>, i: usize, name: &str) -> Result<(), Fault> {
    let column = column(findings);
    let x = middle(findings, i);
    // A letter is about half as wide as high.
    let letters = usize::try_from(column / 8).unwrap_or(1).max(3);
    let shown = if letters < 8 {
        &findings.case.treatments[i]
    } else {
        name
    };
    let lines = two_lines(shown, letters);
    let below = i32::try_from(lines.len()).unwrap_or(1);
    for (line, text) in (0..).zip(lines) {
        let y = HEIGHT - FOOT + 10 + 17 * line;
        canvas.text(&text, (x, y), (HPos::Center, VPos::Top), 14)?;
    }
    if let Some(mean) = findings.judgement.means.get(i) {
        let mean = digits(findings.core_mean(mean.mean));
        let text = if letters < 8 {
            mean
        } else {
            format!("mean {mean}")
        };
        canvas.text(
            &text,
            (x, HEIGHT - FOOT + 10 + 17 * below),
            (HPos::Center, VPos::Top),
            14,
        )?;
    }
    Ok(())
}

fn treatment(findings: &Findings<'_>, plot: &PlotCount) -> usize {
    let place = findings
        .case
        .treatments
        .iter()
        .position(|t| *t == plot.treatment);
    place.unwrap_or(0)
}

/// Width of a treatment's column.
fn column(findings: &Findings<'_>) -> i32 {
    let columns = i32::try_from(findings.case.treatments.len())
        .unwrap_or(1)
        .max(1);
    (WIDTH - LEFT - RIGHT) / columns
}

/// Middle of a treatment's column.
fn middle(findings: &Findings<'_>, i: usize) -> i32 {
    let i = i32::try_from(i).unwrap_or(0);
    LEFT + column(findings) * i + column(findings) / 2
}

/// Where each plot's mark stands: marks of one treatment that would hide each other stand side by side.
fn places(findings: &Findings<'_>, values: &[f64], up: &Scale) -> Vec<(i32, i32)> {
    let mut at: Vec<(i32, i32)> = Vec::with_capacity(values.len());
    let reach = column(findings) / 2 - 8;
    for (plot, &value) in findings.case.plots.iter().zip(values) {
        let (x, y) = (middle(findings, treatment(findings, plot)), up.at(value));
        let hidden = |x: i32| {
            at.iter()
                .any(|(a, b)| (a - x).abs() < 12 && (b - y).abs() < 12)
        };
        let step = (0..=reach / 13)
            .flat_map(|n| [13 * n, -13 * n])
            .find(|step| !hidden(x + step));
        at.push((x + step.unwrap_or(0), y));
    }
    at
}

/// Pairs of plots to join: neighbours among the plots of a block, in the order of the columns.
fn joined(findings: &Findings<'_>) -> Vec<(usize, usize)> {
    let plots = &findings.case.plots;
    let mut blocks: Vec<&str> = plots.iter().filter_map(|p| p.block.as_deref()).collect();
    blocks.sort_unstable();
    blocks.dedup();
    let mut pairs = Vec::new();
    for block in blocks {
        let mut inside: Vec<usize> = (0..plots.len())
            .filter(|&i| plots[i].block.as_deref() == Some(block))
            .collect();
        inside.sort_by_key(|&i| treatment(findings, &plots[i]));
        pairs.extend(inside.windows(2).map(|w| (w[0], w[1])));
    }
    pairs
}

/// The figure in words.
fn told(findings: &Findings<'_>) -> String {
    let means = findings.judgement.means.iter().map(|m| {
        let low_high = findings
            .case
            .plots
            .iter()
            .filter(|p| p.treatment == m.treatment)
            .map(|p| findings.per_core(p));
        let (low, high) = low_high.fold((f64::INFINITY, 0.0_f64), |(a, b), x| (a.min(x), b.max(x)));
        format!(
            "{}: plots from {} to {}, mean {}",
            findings.name(&m.treatment),
            digits(low),
            digits(high),
            digits(findings.core_mean(m.mean))
        )
    });
    let all: Vec<String> = means.collect();
    format!(
        "In {}. {}.",
        findings.protocol.response.unit,
        all.join("; ")
    )
}
