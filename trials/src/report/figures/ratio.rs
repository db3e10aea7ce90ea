//! The ratio of each method to the control with its interval, against no effect and what is worth having.

use plotters::style::RGBColor;
use plotters::style::text_anchor::{HPos, VPos};

use super::Figure;
use super::canvas::{Canvas, Fault, INK, WIDTH, Words, drawing};
use super::looks::mark;
use super::scale::{Scale, two_lines};
use crate::Error;
use crate::judgement::ContrastRow;
use crate::report::Findings;
use crate::text::rounding::{between, change, plain};

const LEFT: i32 = 20;
const RIGHT: i32 = 20;
const TOP: i32 = 62;
const ROW: i32 = 62;
const FOOT: i32 = 74;
/// Ground of the figure where a change is worth having.
const WORTH: RGBColor = RGBColor(226, 239, 246);
/// Ratios that may be named on the axis, the more telling first.
const TICKS: [f64; 19] = [
    1.0, 0.5, 2.0, 0.1, 10.0, 0.2, 5.0, 0.05, 20.0, 0.02, 50.0, 0.3, 0.7, 1.5, 3.0, 0.4, 0.8, 0.6,
    1.25,
];
/// Width of two labels side by side.
const LABEL: i32 = 54;

/// Draws it.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Figure, Error> {
    let rows = i32::try_from(findings.judgement.contrasts.len()).unwrap_or(1);
    let height = TOP + ROW * rows + FOOT;
    let words = Words {
        name: "ratio",
        title: "Each method against the control".to_owned(),
        description: told(findings),
    };
    let svg = drawing(&words, height, |canvas| paint(canvas, findings, height))?;
    Ok(Figure {
        name: "ratio".to_owned(),
        caption: format!(
            "The mark is {}; the true figure likely lies along the line. In the tinted part the change is worth having; \
             on the solid upright the method does nothing.",
            if findings
                .judgement
                .contrasts
                .iter()
                .any(|c| c.reads_otherwise().is_some())
            {
                format!(
                    "the estimate, which allows for {}",
                    findings.data.allowed_for()
                )
            } else {
                "what was found".to_owned()
            }
        ),
        svg,
    })
}

fn paint(canvas: &Canvas<'_>, findings: &Findings<'_>, height: i32) -> Result<(), Fault> {
    let found = findings.judgement;
    let across = scale(findings);
    let foot = height - FOOT;
    let (none, worth) = (across.at(0.0), across.at(found.worthwhile_ratio.ln()));
    let side = if found.worthwhile_ratio < 1.0 {
        LEFT
    } else {
        WIDTH - RIGHT
    };
    canvas.rectangle([(side.min(worth), TOP), (side.max(worth), foot)], WORTH)?;
    axis(canvas, &across, foot)?;
    canvas.line((none, TOP), (none, foot), INK, 2)?;
    canvas.dashed(worth, (TOP, foot))?;
    let aside = |x: i32| {
        if x < WIDTH / 2 {
            (HPos::Left, VPos::Bottom)
        } else {
            (HPos::Right, VPos::Bottom)
        }
    };
    canvas.text("no effect", (none, TOP - 6), aside(none), 14)?;
    let words = format!("worth having: {}", change(found.worthwhile_ratio));
    canvas.text(&words, (worth, TOP - 26), aside(worth), 14)?;
    canvas.line((worth, TOP - 22), (worth, TOP), INK, 1)?;
    for (i, row) in found.contrasts.iter().enumerate() {
        let y = TOP + ROW * i32::try_from(i).unwrap_or(0);
        interval(canvas, findings, (i, row), &across, y)?;
    }
    Ok(())
}

/// Ticks with the ratio as a change in per cent, and the ratio itself below.
fn axis(canvas: &Canvas<'_>, across: &Scale, foot: i32) -> Result<(), Fault> {
    canvas.line((LEFT, foot), (WIDTH - RIGHT, foot), INK, 1)?;
    let (low, high) = across.values;
    let inside = |t: &f64| (low..=high).contains(&t.ln());
    let mut named: Vec<i32> = Vec::new();
    for tick in TICKS.into_iter().filter(inside) {
        let x = across.at(tick.ln());
        if named.iter().any(|other| (x - other).abs() < LABEL) {
            continue;
        }
        named.push(x);
        canvas.line((x, foot), (x, foot + 5), INK, 1)?;
        let x = x.clamp(LEFT + 14, WIDTH - RIGHT - 14);
        canvas.text(
            &per_cent(tick),
            (x, foot + 9),
            (HPos::Center, VPos::Top),
            14,
        )?;
        canvas.text(&plain(tick), (x, foot + 27), (HPos::Center, VPos::Top), 13)?;
    }
    let middle = (WIDTH / 2, foot + 49);
    let words = "change against the control (below: ratio of means, log scale)";
    canvas.text(words, middle, (HPos::Center, VPos::Top), 14)
}

/// "−50 %", "0 %", "+100 %".
fn per_cent(ratio: f64) -> String {
    let whole = (100.0 * (ratio - 1.0)).round();
    match whole {
        w if w < 0.0 => format!("−{:.0} %", -w),
        w if w > 0.0 => format!("+{w:.0} %"),
        _ => "0 %".to_owned(),
    }
}

/// One method: its name, its line, its mark; an arrow where the line has no end on the figure.
fn interval(
    canvas: &Canvas<'_>,
    findings: &Findings<'_>,
    (i, row): (usize, &ContrastRow),
    across: &Scale,
    top: i32,
) -> Result<(), Fault> {
    let y = top + 42;
    let name = two_lines(findings.name(&row.treatment), 56).join(" ");
    canvas.text(&name, (LEFT + 2, top + 8), (HPos::Left, VPos::Top), 15)?;
    let low = row
        .told_low()
        .filter(|r| *r > 0.0)
        .map_or(f64::NEG_INFINITY, f64::ln);
    let high = row.told_high().map_or(f64::INFINITY, f64::ln);
    let (from, to) = (across.at(low), across.at(high));
    canvas.line((from, y), (to, y), INK, 3)?;
    for (value, x, back) in [(low, from, 9), (high, to, -9)] {
        if (across.values.0..=across.values.1).contains(&value) {
            canvas.line((x, y - 7), (x, y + 7), INK, 3)?;
        } else {
            canvas.line((x, y), (x + back, y - 7), INK, 3)?;
            canvas.line((x, y), (x + back, y + 7), INK, 3)?;
        }
    }
    let Some(ratio) = row.ratio else {
        return Ok(());
    };
    let at = if ratio > 0.0 {
        ratio.ln()
    } else {
        f64::NEG_INFINITY
    };
    mark(canvas, i + 1, (across.at(at), y), 7)
}

/// A log scale that holds no effect, what is worth having and every interval, but goes no further than a
/// fiftieth and fiftyfold.
fn scale(findings: &Findings<'_>) -> Scale {
    let found = findings.judgement;
    let ends = found
        .contrasts
        .iter()
        .flat_map(|c| [c.told_low(), c.ratio, c.told_high()].into_iter().flatten())
        .filter(|r| *r > 0.0)
        .chain([0.5, 1.0, 1.25, found.worthwhile_ratio]);
    let (low, high) = ends.fold((1.0_f64, 1.0_f64), |(a, b), r| (a.min(r), b.max(r)));
    Scale {
        values: ((low / 1.3).max(0.02).ln(), (high * 1.3).min(50.0).ln()),
        places: (LEFT, WIDTH - RIGHT),
    }
}

/// The figure in words.
fn told(findings: &Findings<'_>) -> String {
    let rows = findings.judgement.contrasts.iter().map(|c| {
        let found = c.ratio.map_or("no figure".to_owned(), change);
        format!(
            "{}: {found}, likely between {}.",
            findings.name(&c.treatment),
            between(c.told_low(), c.told_high())
        )
    });
    let all: Vec<String> = rows.collect();
    format!(
        "{} Worth having: {}.",
        all.join(" "),
        change(findings.judgement.worthwhile_ratio)
    )
}
