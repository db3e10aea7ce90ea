//! Lines of ratios one below the other: a name, an interval on a log scale, figures.
//!
//! Whatever the number of lines and the length of names, no lettering meets another. Nothing is told by colour alone.

use maud::{Markup, html};

use super::super::figures::ratio_axis::{per_cent, ticks_of};
use crate::drawing::label::{Anchor, CAPITAL, Label};
use crate::drawing::lettering::{Weight, cut_before_last_word, width};
use crate::drawing::palette::{BAND, BLUE, GREY, INK, PALE, WHITE};
use crate::drawing::paper::{FIGURE_PX, Paper, Words, mm};
use crate::text::rounding::change;

/// Room for names, at least and at most, and for figures, pixels.
const NAMES: (f64, f64) = (132.0, 200.0);
const FIGURES: f64 = 104.0;
/// Between the three columns.
const GAP: f64 = 8.0;
/// Lettering of axis and heads.
const SIZE: f64 = 12.0;
/// Room above for the names of the two uprights, and below for the axis.
const HEAD: f64 = 52.0;
const FOOT: f64 = 46.0;

/// One line of the figure.
pub(super) struct Row {
    pub(super) name: String,
    /// Estimate; nothing where an arm is empty.
    pub(super) ratio: Option<f64>,
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
    pub(super) sort: Sort,
}

/// What a line shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Sort {
    /// One club, with its share of the average; none where it is not in it.
    Club(Option<f64>),
    /// The average.
    Average,
    /// What the next club may expect.
    Next,
}

/// The axis and where things lie.
struct Plane {
    ends: (f64, f64),
    left: f64,
    right: f64,
    row: f64,
    size: f64,
}

impl Plane {
    fn of(rows: &[Row], worthwhile_ratio: f64) -> Self {
        let row: f64 = match rows.len() {
            0..=26 => 20.0,
            27..=44 => 16.0,
            _ => 13.0,
        };
        let size = (row - 3.0).min(SIZE);
        Self {
            ends: ends(rows, worthwhile_ratio),
            left: names(rows, size) + GAP,
            right: FIGURE_PX - FIGURES - GAP,
            row,
            size,
        }
    }

    /// Place of a log ratio; beyond the ends it stops there.
    fn x(&self, log: f64) -> f64 {
        let share = (log - self.ends.0) / (self.ends.1 - self.ends.0);
        (self.right - self.left).mul_add(share.clamp(0.0, 1.0), self.left)
    }

    fn holds(&self, log: f64) -> bool {
        (self.ends.0..=self.ends.1).contains(&log)
    }
}

/// Room that the names take.
fn names(rows: &[Row], size: f64) -> f64 {
    let widths = rows.iter().map(|r| width(&r.name, size, weight(r.sort)));
    let widest = widths.fold(0.0, f64::max);
    (widest + 6.0).clamp(NAMES.0, NAMES.1)
}

/// The average stands out.
fn weight(sort: Sort) -> Weight {
    if sort == Sort::Average {
        Weight::Bold
    } else {
        Weight::Regular
    }
}

/// Ends of a log scale that holds no effect, what is worth having and every interval, but goes no further than a fiftieth and
/// fiftyfold.
fn ends(rows: &[Row], worthwhile_ratio: f64) -> (f64, f64) {
    let all = rows.iter().flat_map(|r| [r.low, r.ratio, r.high]).flatten();
    let all = all
        .filter(|r| *r > 0.0)
        .chain([0.5, 1.0, 1.5, worthwhile_ratio]);
    let (low, high) = all.fold((1.0_f64, 1.0_f64), |(a, b), r| (a.min(r), b.max(r)));
    ((low / 1.15).max(0.02).ln(), (high * 1.15).min(50.0).ln())
}

/// Draws rows one below the other.
pub(super) fn drawn(
    rows: &[Row],
    worthwhile_ratio: f64,
    head: &str,
    [title, description]: [&str; 2],
) -> String {
    let plane = Plane::of(rows, worthwhile_ratio);
    let foot = HEAD + plane.row * rows.len() as f64 + 6.0;
    let told_apart: Vec<String> = rows.iter().map(|r| r.name.clone()).collect();
    let words = Words::new("forest", title, description, &told_apart);
    let worth = worthwhile_ratio.ln();
    let side = if worth < 0.0 { plane.left } else { plane.right };
    let (from, to) = (plane.x(worth).min(side), plane.x(worth).max(side));
    let lines: Vec<Markup> = rows
        .iter()
        .enumerate()
        .map(|(at, row)| line(row, &plane, plane.row.mul_add(at as f64, HEAD)))
        .collect();
    let drawn = html! {
        rect x=(mm(from)) y=(mm(HEAD)) width=(mm(to - from)) height=(mm(foot - HEAD)) fill=(BAND) {}
        line x1=(mm(plane.x(0.0))) x2=(mm(plane.x(0.0))) y1=(mm(HEAD)) y2=(mm(foot)) stroke=(INK) stroke-width="1.6" {}
        line x1=(mm(plane.x(worth))) x2=(mm(plane.x(worth))) y1=(mm(HEAD)) y2=(mm(foot)) stroke=(INK) stroke-width="1.2" stroke-dasharray="5 3" {}
        (heads(&plane, worthwhile_ratio, head))
        @for line in &lines { (line) }
        (axis(&plane, foot))
    };
    Paper::Figure([FIGURE_PX, foot + FOOT]).document(&words, &drawn)
}

/// Names of the two uprights, one above the other so that they never meet, and of the columns.
fn heads(plane: &Plane, worthwhile_ratio: f64, head: &str) -> Markup {
    let upright = |text: String, log: f64, y: f64| {
        Label::new(text, [plane.x(log), y], SIZE)
            .middle()
            .kept_between(plane.left - 20.0, FIGURE_PX - 4.0)
    };
    html! {
        (upright(format!("worth having: {}", change(worthwhile_ratio)), worthwhile_ratio.ln(), 14.0).drawn())
        (upright("no effect".to_owned(), 0.0, 30.0).drawn())
        (Label::new(head, [4.0, HEAD - 6.0], SIZE).bold().drawn())
        (Label::new("ratio (likely)", [FIGURE_PX - 4.0, HEAD - 6.0], SIZE).bold().anchored(Anchor::End).drawn())
    }
}

fn line(row: &Row, plane: &Plane, top: f64) -> Markup {
    let middle = top + plane.row / 2.0;
    let base = CAPITAL.mul_add(plane.size / 2.0, middle);
    let strong = row.sort == Sort::Average;
    let set = |label: Label| if strong { label.bold() } else { label };
    let room = plane.left - GAP - 6.0;
    let name = cut_before_last_word(&row.name, room, plane.size, weight(row.sort));
    let name = set(Label::new(name, [4.0, base], plane.size));
    let told = set(Label::new(
        numbers(row),
        [FIGURE_PX - 4.0, base],
        plane.size,
    ));
    html! {
        @if matches!(row.sort, Sort::Average) {
            line x1="0" x2=(mm(FIGURE_PX)) y1=(mm(top)) y2=(mm(top)) stroke=(GREY) stroke-width="0.7" {}
        } @else {
            line x1="0" x2=(mm(FIGURE_PX)) y1=(mm(top)) y2=(mm(top)) stroke=(PALE) stroke-width="0.4" {}
        }
        (name.drawn())
        (told.anchored(Anchor::End).no_wider_than(FIGURES).drawn())
        (shape(row, plane, middle))
    }
}

/// The figures of a line, in few digits: "0.45 (0.20-1.0)".
fn numbers(row: &Row) -> String {
    // Two figures behind the point are all that anyone compares.
    let short = |x: f64| match x {
        x if x < 9.995 => format!("{x:.2}"),
        x if x < 99.95 => format!("{x:.1}"),
        x => format!("{x:.0}"),
    };
    let open = |x: Option<f64>, without: &str| x.map_or(without.to_owned(), short);
    let limits = match (row.low, row.high) {
        (None, None) => String::new(),
        (low, high) => format!("({}\u{2013}{})", open(low, "0"), open(high, "\u{2026}")),
    };
    match row.ratio {
        Some(ratio) => format!("{} {limits}", short(ratio)),
        None => limits,
    }
}

fn shape(row: &Row, plane: &Plane, y: f64) -> Markup {
    let log = |x: Option<f64>, without: f64| x.filter(|r| *r > 0.0).map_or(without, f64::ln);
    let (low, high) = (
        log(row.low, f64::NEG_INFINITY),
        log(row.high, f64::INFINITY),
    );
    let (from, to) = (plane.x(low), plane.x(high));
    let half = (plane.row / 2.0 - 2.0).min(7.0);
    match row.sort {
        Sort::Average => html! { @if let Some(ratio) = row.ratio {
            path d={ "M" (mm(from)) " " (mm(y)) "L" (mm(plane.x(ratio.ln()))) " " (mm(y - half)) "L" (mm(to)) " " (mm(y)) "L"
                (mm(plane.x(ratio.ln()))) " " (mm(y + half)) "Z" } fill=(BLUE) stroke=(INK) stroke-width="0.8" stroke-linejoin="round" {}
        } },
        Sort::Next => html! {
            line x1=(mm(from)) x2=(mm(to)) y1=(mm(y)) y2=(mm(y)) stroke=(INK) stroke-width="2.2" stroke-dasharray="6 3" {}
            (end(plane, low, from, y, 1.0)) (end(plane, high, to, y, -1.0))
        },
        Sort::Club(weight) => {
            let radius = weight.map_or(2.2, |w| (w.sqrt() * 11.0).clamp(1.6, half));
            let at = row.ratio.map(|ratio| {
                plane.x(if ratio > 0.0 {
                    ratio.ln()
                } else {
                    f64::NEG_INFINITY
                })
            });
            html! {
                @if row.low.is_some() || row.high.is_some() {
                    line x1=(mm(from)) x2=(mm(to)) y1=(mm(y)) y2=(mm(y)) stroke=(INK) stroke-width="1.1" {}
                    (end(plane, low, from, y, 1.0)) (end(plane, high, to, y, -1.0))
                }
                @if let Some(x) = at {
                    rect x=(mm(x - radius)) y=(mm(y - radius)) width=(mm(2.0 * radius)) height=(mm(2.0 * radius))
                        fill=(if weight.is_some() { INK } else { WHITE }) stroke=(INK) stroke-width="0.9" {}
                }
            }
        }
    }
}

/// The end of a line: a stroke where it ends, an arrow where it goes on beyond the figure.
fn end(plane: &Plane, log: f64, x: f64, y: f64, inwards: f64) -> Markup {
    html! {
        @if plane.holds(log) {
            line x1=(mm(x)) x2=(mm(x)) y1=(mm(y - 2.5)) y2=(mm(y + 2.5)) stroke=(INK) stroke-width="1.1" {}
        } @else {
            path d={ "M" (mm(6.0f64.mul_add(inwards, x))) " " (mm(y - 3.2)) "L" (mm(x)) " " (mm(y)) "L" (mm(6.0f64.mul_add(inwards, x))) " " (mm(y + 3.2)) }
                fill="none" stroke=(INK) stroke-width="1.1" {}
        }
    }
}

/// The level axis: changes in per cent, and ratios below.
fn axis(plane: &Plane, foot: f64) -> Markup {
    let mut placed: Vec<(f64, f64)> = Vec::new();
    let mut ticks = Vec::new();
    for ratio in ticks_of(plane.ends) {
        let (x, name) = (plane.x(ratio.ln()), per_cent(ratio));
        let reach = width(&name, SIZE, Weight::Regular) / 2.0 + 3.0;
        if placed
            .iter()
            .all(|(at, other)| (at - x).abs() > reach + other)
        {
            placed.push((x, reach));
            ticks.push((x, name));
        }
    }
    html! {
        line x1=(mm(plane.left)) x2=(mm(plane.right)) y1=(mm(foot)) y2=(mm(foot)) stroke=(INK) stroke-width="1" {}
        @for (x, name) in &ticks {
            line x1=(mm(*x)) x2=(mm(*x)) y1=(mm(foot)) y2=(mm(foot + 4.0)) stroke=(INK) stroke-width="1" {}
            (Label::new(name.clone(), [*x, foot + 17.0], SIZE).middle().drawn())
        }
        (Label::new("change against the control (log scale)", [f64::midpoint(plane.left, plane.right), foot + 34.0], SIZE).middle().drawn())
    }
}
