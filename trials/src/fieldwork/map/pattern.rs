//! A pattern and a letter for every treatment.

use maud::{Markup, html};

use super::sketch::mm;
use crate::design::Treatment;

/// Okabe and Ito's colours, dark enough first.
const INKS: [&str; 7] = [
    "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9", "#000000",
];

/// Most characters of a code that can be read in a plot.
const SHORT: usize = 3;

/// How one treatment is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Look {
    /// Letter shown in its plots.
    pub(super) letter: String,
    /// Fill of its plots: `white` or a reference to a pattern.
    pub(super) fill: String,
    /// Name of its pattern, apart from those of other maps on the page.
    name: String,
    ink: &'static str,
    strokes: Option<usize>,
}

/// The letter that stands for each treatment on a map.
#[must_use]
pub fn letters(treatments: &[Treatment]) -> Vec<String> {
    looks(treatments, "")
        .into_iter()
        .map(|l| l.letter)
        .collect()
}

/// A look for each treatment: the control is white, the others take patterns in order.
///
/// Short codes are their own letters, so that map, layout and pegs say the same; where one is longer
/// than [`SHORT`], all treatments are lettered A, B, C in order.
pub(super) fn looks(treatments: &[Treatment], prefix: &str) -> Vec<Look> {
    let short = treatments.iter().all(|t| t.code.chars().count() <= SHORT);
    let mut patterned = 0;
    treatments
        .iter()
        .enumerate()
        .map(|(i, treatment)| {
            let letter = if short {
                treatment.code.clone()
            } else {
                letter(i)
            };
            let name = format!("{prefix}-treatment-{i}");
            if treatment.control {
                return Look {
                    letter,
                    name,
                    fill: "white".to_owned(),
                    ink: "#000000",
                    strokes: None,
                };
            }
            let look = Look {
                fill: format!("url(#{name})"),
                letter,
                name,
                ink: INKS[patterned % INKS.len()],
                strokes: Some(patterned),
            };
            patterned += 1;
            look
        })
        .collect()
}

/// A, B, ..., Z, A2, B2, ...
fn letter(i: usize) -> String {
    let name = char::from(b'A' + u8::try_from(i % 26).unwrap_or(0));
    if i < 26 {
        name.to_string()
    } else {
        format!("{name}{}", i / 26 + 1)
    }
}

/// Pattern definitions for the looks that need one; `unit` is the size of a repeat, millimetres.
pub(super) fn definitions(looks: &[Look], unit: f64) -> Markup {
    html! {
        defs {
            @for look in looks {
                @if let Some(strokes) = look.strokes { (definition(look, strokes, unit)) }
            }
        }
    }
}

/// Six patterns that differ without colour; later treatments repeat them finer.
fn definition(look: &Look, strokes: usize, unit: f64) -> Markup {
    let size = unit / (1 + strokes / 6) as f64;
    let turn = match strokes % 6 {
        0 => 45,
        3 => 90,
        4 => -45,
        _ => 0,
    };
    let (s, half, thick) = (mm(size), mm(size / 2.0), mm(size * 0.3));
    html! {
        pattern id=(look.name) width=(s) height=(s) patternUnits="userSpaceOnUse"
            patternTransform={ "rotate(" (turn) ")" } {
            rect width=(s) height=(s) fill="white" {}
            @match strokes % 6 {
                1 => { circle cx=(half) cy=(half) r=(mm(size * 0.28)) fill=(look.ink) {} }
                2 => {
                    path d={ "M0 " (half) "H" (s) "M" (half) " 0V" (s) } stroke=(look.ink)
                        stroke-width=(mm(size * 0.18)) {}
                }
                5 => { rect width=(half) height=(half) fill=(look.ink) {} }
                _ => { path d={ "M0 " (half) "H" (s) } stroke=(look.ink) stroke-width=(thick) {} }
            }
        }
    }
}
