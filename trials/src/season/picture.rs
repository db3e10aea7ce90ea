//! The plan as a picture: a row for each green, a column for each night, filled where it is covered.

use maud::{Markup, html};

use super::result::{GreenRow, SeasonPlan};
use crate::drawing::label::Label;
use crate::drawing::palette::{BLUE, GREY, INK, PALE};
use crate::drawing::paper::{FIGURE_PX, Paper, Words, mm};
use crate::text::money::many;

/// Room for names, pixels.
const NAMES: f64 = 130.0;
/// Room for larvae on the right.
const LARVAE: f64 = 64.0;
/// Height of a row; of a long course's, whose picture would take half a page.
const ROW: f64 = 20.0;
const LOW_ROW: f64 = 15.0;
/// Greens of a long course at least.
const LONG: usize = 19;
/// Room above for the numbers of nights.
const HEAD: f64 = 44.0;
/// Size of lettering.
const SIZE: f64 = 12.0;

/// The picture (SVG).
#[must_use]
pub fn picture(plan: &SeasonPlan) -> String {
    let nights = plan.nights.len().max(1) as f64;
    let wide = (FIGURE_PX - NAMES - LARVAE) / nights;
    let high = height(plan);
    let bottom = HEAD + high * plan.greens.len() as f64;
    let words = Words::new(
        "season",
        &format!("{}: greens and nights", plan.title),
        "A row for each green and a column for each night; a filled box is a night on which ground of the green is covered, a \
         half-filled one a part of it.",
        &[],
    );
    let rows: Vec<Markup> = plan
        .greens
        .iter()
        .enumerate()
        .map(|(at, green)| row(plan, green, HEAD + high * at as f64, wide))
        .collect();
    let every = (16.0 / wide).ceil().max(1.0);
    let drawn = html! {
        (Label::new("green", [4.0, HEAD - 8.0], SIZE).bold().drawn())
        (Label::new("night", [NAMES, 14.0], SIZE).bold().drawn())
        (Label::new("larvae", [FIGURE_PX - 4.0, HEAD - 8.0], SIZE).bold().anchored(crate::drawing::label::Anchor::End).drawn())
        @for night in plan.nights.iter().filter(|n| (n.night as f64 - 1.0) % every == 0.0) {
            (Label::new(night.night.to_string(), [NAMES + wide * (night.night as f64 - 0.5), HEAD - 8.0], SIZE).middle().drawn())
        }
        @for row in &rows { (row) }
    };
    Paper::Figure([FIGURE_PX, bottom + 6.0]).document(&words, &drawn)
}

/// Height of a row of this plan.
fn height(plan: &SeasonPlan) -> f64 {
    if plan.greens.len() < LONG {
        ROW
    } else {
        LOW_ROW
    }
}

fn row(plan: &SeasonPlan, green: &GreenRow, top: f64, wide: f64) -> Markup {
    let high = height(plan);
    let base = top + high - 4.5;
    let larvae = green.larvae.estimate.map_or(String::new(), many);
    html! {
        (Label::new(green.green.clone(), [4.0, base], SIZE).no_wider_than(NAMES - 10.0).drawn())
        @for (at, night) in plan.nights.iter().enumerate() {
            (cell([NAMES + wide * at as f64, top], [wide, high], covered(green, &night.covers)))
        }
        (Label::new(larvae, [FIGURE_PX - 4.0, base], SIZE).anchored(crate::drawing::label::Anchor::End).drawn())
        line x1="0" x2=(mm(FIGURE_PX)) y1=(mm(top)) y2=(mm(top)) stroke=(PALE) stroke-width="0.5" {}
    }
}

/// Share of a green that is covered on a night.
fn covered(green: &GreenRow, covers: &[super::schedule::PieceRow]) -> f64 {
    let pieces = covers.iter().filter(|c| c.green == green.green).count();
    pieces as f64 / green.pieces.max(1) as f64
}

/// A box of the grid: filled from below by the share that is covered.
fn cell([left, top]: [f64; 2], [wide, high]: [f64; 2], share: f64) -> Markup {
    let (x, y, w, h) = (left + 1.0, top + 2.0, (wide - 2.0).max(1.0), high - 4.0);
    html! {
        rect x=(mm(x)) y=(mm(y)) width=(mm(w)) height=(mm(h)) fill="none" stroke=(if share > 0.0 { INK } else { GREY })
            stroke-width=(if share > 0.0 { "1" } else { "0.4" }) {}
        @if share > 0.0 {
            rect x=(mm(x)) y=(mm(y + h * (1.0 - share))) width=(mm(w)) height=(mm(h * share)) fill=(BLUE) {}
        }
    }
}
