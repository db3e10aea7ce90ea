//! How each treatment is shown: its letter and its fill.

use maud::{Markup, html};

use super::plots::Drawn;
use crate::design::Treatment;
use crate::drawing::key::{Entry, Key};
use crate::drawing::palette::INK;
use crate::drawing::pattern;
use crate::drawing::plane::Plane;

/// Most characters of a code that can be read in a plot.
const SHORT: usize = 3;
/// Size of a repeat of a fill, millimetres.
const REPEAT: f64 = 2.4;
/// The same where it is finest: finer ones run into a grey.
const FINEST: f64 = 0.8;
/// Size of the key's lettering, millimetres.
const LETTERING: f64 = 4.0;
/// Sides of a sample in the key, millimetres.
const SAMPLE: [f64; 2] = [9.0, 5.4];
/// Height of a key beyond which names are cut, millimetres: a fifth of a page. The map needs the rest, and codes tell
/// treatments apart.
const TALLEST_KEY: f64 = 60.0;

/// How one treatment is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Look {
    /// Letter shown in its plots.
    pub(super) letter: String,
    /// Fill of its plots: `white` or a reference to a pattern.
    pub(super) fill: String,
    /// Name and number of its pattern; the control has none.
    pattern: Option<(String, usize)>,
}

/// The letter that stands for each treatment on a map.
#[must_use]
pub fn letters(treatments: &[Treatment]) -> Vec<String> {
    looks(treatments, "")
        .into_iter()
        .map(|l| l.letter)
        .collect()
}

/// A look for each treatment: the control is white, the others take patterns in order, whose names begin with
/// `prefix`.
///
/// Short codes are their own letters, so that map, layout and pegs say the same; where one is longer
/// than [`SHORT`], all treatments are lettered A, B, C in order.
pub(super) fn looks(treatments: &[Treatment], prefix: &str) -> Vec<Look> {
    let short = treatments.iter().all(|t| t.code.chars().count() <= SHORT);
    let mut patterns = 0..;
    treatments
        .iter()
        .enumerate()
        .map(|(i, treatment)| {
            let letter = if short {
                treatment.code.clone()
            } else {
                letter(i)
            };
            let number = if treatment.control {
                None
            } else {
                patterns.next()
            };
            let pattern = number.map(|n| (format!("{prefix}-treatment-{i}"), n));
            let fill = pattern
                .as_ref()
                .map_or("white".to_owned(), |(name, _)| pattern::fill(name));
            Look {
                letter,
                fill,
                pattern,
            }
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

/// Definitions of the patterns, finer where plots have no room for a repeat.
pub(super) fn definitions(looks: &[Look], plots: &[Drawn<'_>], plane: &Plane) -> Markup {
    let shorter = |d: &Drawn<'_>| d.plot.length_m.min(d.plot.width_m) * plane.scale;
    let repeat = plots.iter().map(shorter).fold(REPEAT, f64::min);
    let repeat = repeat.max(FINEST);
    html! {
        defs {
            @for (name, number) in looks.iter().filter_map(|l| l.pattern.as_ref()) {
                (pattern::definition(name, *number, repeat))
            }
        }
    }
}

/// Name of each treatment, the control marked as such.
pub(super) fn names(treatments: &[Treatment]) -> Vec<String> {
    let name = |treatment: &Treatment| {
        if treatment.control {
            format!("{} (control)", treatment.name)
        } else {
            treatment.name.clone()
        }
    };
    treatments.iter().map(name).collect()
}

/// The key: pattern, letter and name of each treatment.
pub(super) fn key(looks: &[Look], names: &[String], room: f64) -> Key {
    let entry = |(look, name): (&Look, &String)| Entry {
        sample: html! {
            rect y=(-SAMPLE[1] / 2.0) width=(SAMPLE[0]) height=(SAMPLE[1]) fill=(look.fill) stroke=(INK) stroke-width="0.3" {}
        },
        letter: look.letter.clone(),
        name: name.clone(),
    };
    let entries = looks.iter().zip(names).map(entry).collect();
    Key::no_higher_than(TALLEST_KEY, entries, room, LETTERING, SAMPLE)
}
