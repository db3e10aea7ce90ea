//! The ratio of each method to the control with its interval, against no effect and what is worth having.

use super::Figure;
use super::ratio_axis::{per_cent, ticks_of};
use super::treatment_mark;
use crate::Error;
use crate::drawing::chart::{Axis, Chart, LETTERING, Layer, Note, Stroke, Tick};
use crate::drawing::lettering::{Weight, wrap};
use crate::drawing::palette::{BAND, INK};
use crate::drawing::paper::{FIGURE_PX, Words};
use crate::drawing::{Cell, FigureData};
use crate::report::Findings;
use crate::text::rounding::{NONE, change, plain};

/// Height of a row below its name, and of a line of the name, pixels.
const ROW: f64 = 44.0;
const LINE: f64 = 17.0;
/// Radius of the mark, half the stroke at the end of an interval, pixels.
const MARK: f64 = 7.0;
/// Height of the row of one green, and radius of its mark, pixels.
const GREEN_ROW: f64 = 40.0;
const GREEN_MARK: f64 = 4.0;
/// The line of an interval, and that of one green's.
const INTERVAL: Stroke = Stroke::full(INK, 3);
const GREEN_INTERVAL: Stroke = Stroke::full(INK, 1);

/// Draws it.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Figure, Error> {
    Ok(Figure {
        name: "ratio".to_owned(),
        svg: chart(findings).draw()?,
        data: data(findings),
        caption: format!(
            "The mark is {}; the true figure likely lies along the line. In the tinted part the change is worth having; \
             the solid upright stands for no effect.",
            if findings
                .judgement
                .headline()
                .any(|c| c.reads_otherwise().is_some())
            {
                format!(
                    "the estimate, which allows for {}",
                    findings.judgement.allowed_for(findings.data)
                )
            } else {
                "what was found".to_owned()
            }
        ),
    })
}

/// A method, or a method on one green: its name in lines, its ratio and limits.
struct Row {
    name: Vec<String>,
    /// Position of the method.
    method: usize,
    ratio: Option<f64>,
    limits: (Option<f64>, Option<f64>),
    whole: bool,
}

impl Row {
    /// Height, pixels.
    fn high(&self) -> f64 {
        let bare = if self.whole { ROW } else { GREEN_ROW };
        bare + LINE * (self.name.len() - 1) as f64
    }
}

/// Every method, each followed by its greens.
fn rows(findings: &Findings<'_>) -> Vec<Row> {
    let found = findings.judgement;
    let lines = |name: &str| wrap(name, FIGURE_PX - 60.0, LETTERING, Weight::Regular, 3);
    let mut rows = Vec::new();
    for (method, c) in found.headline().enumerate() {
        rows.push(Row {
            name: lines(findings.name(&c.treatment)),
            method,
            ratio: c.ratio,
            limits: (c.stated_low(), c.stated_high()),
            whole: true,
        });
        // A combination on one green is no factor on it.
        let greens = found.greens.iter().filter(|_| found.factors.is_empty());
        let here = greens.filter(|g| g.treatment == c.treatment);
        rows.extend(here.map(|g| Row {
            name: lines(&format!("on {}", g.name())),
            method,
            ratio: g.ratio,
            limits: (g.low, g.high),
            whole: false,
        }));
    }
    rows
}

fn chart(findings: &Findings<'_>) -> Chart {
    let found = findings.judgement;
    let rows = rows(findings);
    let height: f64 = rows.iter().map(Row::high).sum();
    let ends = ends(findings);
    let words = Words::new(
        "ratio",
        "Each method against the control",
        &told(findings),
        &[],
    );
    let mut across = Axis::with_ticks(
        "change against the control (below: ratio of means, log scale)",
        ends,
        ticks(ends),
    );
    across.evenly = false;
    // Downwards in pixels, so that rows are as high as their names need.
    let mut chart = Chart::new(
        words,
        across,
        Axis::with_ticks("", (height, 0.0), Vec::new()),
    );
    chart.headed = false;
    chart.height = height;
    let worth = found.worthwhile_ratio.ln();
    let side = if worth < 0.0 { ends.0 } else { ends.1 };
    let corners = [(side, 0.0), (worth, 0.0), (worth, height), (side, height)];
    chart.layers = vec![Layer::Area(corners.to_vec(), BAND)];
    chart.notes = vec![
        Note::Upright(0.0, "no effect".to_owned(), Stroke::full(INK, 2)),
        Note::Upright(
            worth,
            format!("worth having: {}", change(found.worthwhile_ratio)),
            Stroke::broken(INK, 2),
        ),
    ];
    let step = chart.pixels().0;
    let mut top = 0.0;
    for row in &rows {
        let foot = top + row.high();
        chart
            .layers
            .extend(interval(row, (ends, step), foot - 16.0));
        for (line, text) in row.name.iter().enumerate() {
            let y = top + LINE * (line + 1) as f64;
            let at = (ends.0 + 4.0 / step, y);
            chart.notes.push(Note::Line(at, text.clone()));
        }
        top = foot;
    }
    chart
}

/// The ratio as a change in per cent, and the ratio itself below.
fn ticks(ends: (f64, f64)) -> Vec<Tick> {
    let tick = |t: f64| Tick {
        at: t.ln(),
        name: vec![per_cent(t), plain(t)],
    };
    ticks_of(ends).map(tick).collect()
}

/// One row at a height: its line and its mark; an arrow where the line has no end on the figure.
fn interval(row: &Row, (ends, step): ((f64, f64), f64), y: f64) -> Vec<Layer> {
    let (stroke, size) = if row.whole {
        (INTERVAL, MARK)
    } else {
        (GREEN_INTERVAL, GREEN_MARK)
    };
    let low = row
        .limits
        .0
        .filter(|r| *r > 0.0)
        .map_or(f64::NEG_INFINITY, f64::ln);
    let high = row.limits.1.map_or(f64::INFINITY, f64::ln);
    let (from, to) = (low.clamp(ends.0, ends.1), high.clamp(ends.0, ends.1));
    let line = |points: &[(f64, f64)]| Layer::Line(points.to_vec(), stroke);
    let mut layers = vec![line(&[(from, y), (to, y)])];
    for (value, x, back) in [(low, from, 9.0 / step), (high, to, -9.0 / step)] {
        layers.push(if (ends.0..=ends.1).contains(&value) {
            line(&[(x, y - size), (x, y + size)])
        } else {
            line(&[(x + back, y - size), (x, y), (x + back, y + size)])
        });
    }
    if let Some(ratio) = row.ratio {
        let at = if ratio > 0.0 { ratio.ln() } else { ends.0 };
        let place = (at.clamp(ends.0, ends.1), y);
        layers.push(Layer::Marks(
            vec![place],
            treatment_mark(row.method + 1),
            size,
        ));
    }
    layers
}

fn data(findings: &Findings<'_>) -> FigureData {
    let mut data = FigureData::new(&["treatment", "ratio", "low", "high"]);
    let row = |r: &Row| {
        let numbers = [r.ratio, r.limits.0, r.limits.1];
        let mut row = vec![Cell::from(r.name.join(" ").as_str())];
        row.extend(numbers.map(Cell::from));
        row
    };
    data.rows = rows(findings).iter().map(row).collect();
    data
}

/// Ends of a log scale that holds no effect, what is worth having and every interval, but goes no further than a
/// fiftieth and fiftyfold.
fn ends(findings: &Findings<'_>) -> (f64, f64) {
    let found = findings.judgement;
    let ends = found
        .headline()
        .flat_map(|c| {
            [c.stated_low(), c.ratio, c.stated_high()]
                .into_iter()
                .flatten()
        })
        .chain(found.greens.iter().filter_map(|g| g.ratio))
        .filter(|r| *r > 0.0)
        .chain([0.5, 1.0, 1.25, found.worthwhile_ratio]);
    let (low, high) = ends.fold((1.0_f64, 1.0_f64), |(a, b), r| (a.min(r), b.max(r)));
    ((low / 1.3).max(0.02).ln(), (high * 1.3).min(50.0).ln())
}

/// The figure in words.
fn told(findings: &Findings<'_>) -> String {
    let rows = findings.judgement.headline().map(|c| {
        format!(
            "{}: {}, likely between {}.",
            findings.name(&c.treatment),
            c.change_in_words().replace(NONE, "no figure"),
            c.range_in_words()
        )
    });
    let greens = findings.judgement.greens.iter().map(|g| {
        let found = g.ratio.map_or("no figure".to_owned(), change);
        format!("On {}, {}: {found}.", g.name(), findings.name(&g.treatment))
    });
    let all: Vec<String> = rows.chain(greens).collect();
    format!(
        "{} Worth having: {}.",
        all.join(" "),
        change(findings.judgement.worthwhile_ratio)
    )
}
