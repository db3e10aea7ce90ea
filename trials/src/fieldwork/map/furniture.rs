//! What stands round a map: heading, north, scale bar, key.

use maud::{Markup, html};

use super::pattern::Look;
use super::sketch::mm;
use crate::design::Treatment;

/// Empty margin of the page, millimetres.
pub(super) const MARGIN: f64 = 12.0;
/// Height of a line of the key, millimetres.
pub(super) const LINE: f64 = 7.0;

/// The sheet a browser prints on: the page's own size without a margin, or it would shrink the map, or cut
/// it in two, to make room for its own.
pub(super) fn sheet_size([width, height]: [f64; 2]) -> Markup {
    html! {
        style { "@page { size: " (mm(width)) "mm " (mm(height)) "mm; margin: 0 }" }
    }
}

/// Title, a line below it, and the north.
pub(super) fn head(page: [f64; 2], title: &str, line: &str) -> Markup {
    // A long title is set smaller: lettering is about half as wide as high.
    let room = page[0] - 2.0 * MARGIN - 16.0;
    let size = (room / (0.58 * title.chars().count().max(1) as f64)).min(6.5);
    html! {
        text x=(mm(MARGIN)) y=(mm(MARGIN + 6.0)) font-size=(mm(size)) font-weight="bold" { (title) }
        text x=(mm(MARGIN)) y=(mm(MARGIN + 12.5)) font-size="4" { (line) }
        (north(page[0] - MARGIN - 6.0, MARGIN))
    }
}

/// An arrow to the north.
fn north(x: f64, y: f64) -> Markup {
    html! {
        g transform={ "translate(" (mm(x)) " " (mm(y)) ")" } {
            title { "North" }
            path d="M0 0L3.2 12L0 9.6L-3.2 12Z" fill="black" {}
            text x="0" y="17" font-size="5" font-weight="bold" text-anchor="middle" { "N" }
        }
    }
}

/// A bar of exactly 50 mm with its length on the ground.
pub(super) fn scale_bar(x: f64, y: f64, mm_per_m: f64) -> Markup {
    let metres = 50.0 / mm_per_m;
    html! {
        g {
            title { "Scale bar" }
            @for i in 0..5 {
                rect x=(mm(x + 10.0 * f64::from(i))) y=(mm(y - 2.0)) width="10" height="2"
                    fill=(if i % 2 == 0 { "black" } else { "white" }) stroke="black" stroke-width="0.2" {}
            }
            text x=(mm(x)) y=(mm(y - 3.2)) font-size="3.6" { "0" }
            text x=(mm(x + 50.0)) y=(mm(y - 3.2)) font-size="3.6" text-anchor="middle" {
                (mm(metres)) " m"
            }
            text x=(mm(x + 60.0)) y=(mm(y)) font-size="3.6" {
                "This bar is 50 mm long on a page printed at full size."
            }
        }
    }
}

/// The key: letter, pattern and name of each treatment in two columns.
pub(super) fn key(looks: &[Look], treatments: &[Treatment], at: [f64; 2], width: f64) -> Markup {
    let letters = looks.iter().map(|l| l.letter.chars().count());
    let widest = letters.max().unwrap_or(1) as f64;
    html! {
        @for (i, (look, treatment)) in looks.iter().zip(treatments).enumerate() {
            @let x = at[0] + width * (i % 2) as f64;
            @let y = at[1] + LINE * (i / 2) as f64;
            rect x=(mm(x)) y=(mm(y - 4.2)) width="9" height="5.4" fill=(look.fill) stroke="black"
                stroke-width="0.3" {}
            text x=(mm(x + 11.5)) y=(mm(y)) font-size="4.2" font-weight="bold" { (look.letter) }
            text x=(mm(x + 13.5 + 3.3 * widest)) y=(mm(y)) font-size="4.2" {
                (treatment.name)
                @if treatment.control { " (control)" }
            }
        }
    }
}
