//! Where the axes lie once every name round them has its room.

use maud::{Markup, html};

use super::paint::MARK;
use super::{Axis, Chart, LETTERING, Note, Tick};
use crate::drawing::heading::{Heading, Sizes};
use crate::drawing::key::Key;
use crate::drawing::label::LEADING;
use crate::drawing::lettering::{Weight, cut, width, wrap};
use crate::drawing::paper::FIGURE_PX;

/// Empty margin, pixels.
pub(super) const PAD: f64 = 8.0;
/// From a curve's last point to its name, pixels: clear of a ring round that point.
pub(super) const CLEAR: f64 = 15.0;
/// From the upright axis to the names of its ticks, pixels.
pub(super) const OFF: f64 = 7.0;
/// From the level axis to the names of its ticks, pixels: clear of the name at the foot of the other axis.
pub(super) const BELOW: f64 = 9.0;
/// From one line of lettering to the next, pixels.
pub(super) const LINE: f64 = LEADING * LETTERING;
/// Least distance between two names beside each other, pixels.
const APART: f64 = 6.0;
/// Widest that names at the right may be, pixels.
const WIDEST_NAMES: f64 = 190.0;

/// From the numbers of an axis to paper.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    values: (f64, f64),
    pub(super) places: (f64, f64),
}

impl Scale {
    /// Place of a number; beyond the ends it stops there.
    pub(super) fn at(&self, value: f64) -> f64 {
        let (low, high) = self.values;
        let share = ((value - low) / (high - low)).clamp(0.0, 1.0);
        (self.places.1 - self.places.0).mul_add(share, self.places.0)
    }

    /// Pixels for a step of one.
    pub(super) fn pixels(&self) -> f64 {
        (self.places.1 - self.places.0) / (self.values.1 - self.values.0)
    }
}

/// Where everything lies.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub(super) across: Scale,
    pub(super) up: Scale,
    /// Ticks of the level axis that are named.
    pub(super) ticks: Vec<Tick>,
    /// Base line of the name of the upright axis.
    pub(super) up_name: f64,
    /// Names of uprights: across, line counted upwards from the axes, text.
    pub(super) uprights: Vec<(f64, usize, String)>,
    /// Base line of the name of the level axis, and its lines.
    pub(super) across_name: (f64, Vec<String>),
    /// Base line of the first line of the foot, and its lines.
    pub(super) foot: (f64, Vec<String>),
    /// Height of the paper.
    pub(super) bottom: f64,
    heading: Option<Heading>,
    key: Option<(Key, f64)>,
}

impl Layout {
    pub(super) fn of(chart: &Chart) -> Self {
        let room = FIGURE_PX - 2.0 * PAD;
        let sizes = Sizes {
            title: 17.0,
            least: 13.0,
            line: LETTERING,
        };
        let heading = chart
            .headed
            .then(|| Heading::new(&chart.words.title, "", [PAD, PAD], room, sizes));
        let mut y = heading
            .as_ref()
            .map_or(PAD, |h| h.bottom() + 0.7 * LETTERING);
        let key = chart.set_key().map(|key| {
            let top = y;
            y += key.height() + 0.3 * LETTERING;
            (key, top)
        });
        let up_name = y + LETTERING;
        if !chart.up.name.is_empty() {
            y = up_name + 0.7 * LETTERING;
        }
        let across = Scale {
            values: chart.across.ends,
            places: (left(&chart.up), right(chart)),
        };
        let uprights = uprights(chart, &across);
        let rows = uprights.iter().map(|u| u.1 + 1).max().unwrap_or(0);
        // Half a line so that the name of the highest tick stays below what is above it.
        let top = y + LINE * rows as f64 + 0.7 * LETTERING;
        let foot = top + chart.height;
        let up = Scale {
            values: chart.up.ends,
            places: (foot, top),
        };
        let mut y = foot + BELOW + LINE * chart.across.lines() as f64;
        let across_name = wrap(&chart.across.name, room, LETTERING, Weight::Regular, 2);
        let name_at = y + 1.2 * LETTERING;
        if !chart.across.name.is_empty() {
            y = name_at + LINE * (across_name.len() - 1) as f64;
        }
        let sentences: Vec<String> = rings(chart)
            .chain(chart.foot.iter().cloned())
            .flat_map(|s| wrap(&s, room, LETTERING, Weight::Regular, 4))
            .collect();
        let foot_at = y + 1.8 * LETTERING;
        if !sentences.is_empty() {
            y = foot_at + LINE * (sentences.len() - 1) as f64;
        }
        Self {
            across,
            up,
            ticks: named(chart, &across),
            up_name,
            uprights,
            across_name: (name_at, across_name),
            foot: (foot_at, sentences),
            bottom: (y + 0.3 * LETTERING + PAD).ceil(),
            heading,
            key,
        }
    }

    pub(super) fn heading(&self) -> Markup {
        html! { @if let Some(heading) = &self.heading { (heading.drawn()) } }
    }

    pub(super) fn key(&self) -> Markup {
        html! { @if let Some((key, top)) = &self.key { (key.drawn([PAD, *top])) } }
    }
}

/// Left end of the level axis: clear of the names of the upright one.
fn left(up: &Axis) -> f64 {
    let names = up.widest(LETTERING);
    let room = if names > 0.0 { names + OFF } else { 0.0 };
    (PAD + room).max(PAD + 12.0).ceil()
}

/// Right end of the level axis: clear of the names of curves and levels beyond it.
fn right(chart: &Chart) -> f64 {
    let named = end_names(chart);
    let widest = named
        .iter()
        .map(|n| width(n, LETTERING, Weight::Regular))
        .fold(0.0, f64::max)
        .min(WIDEST_NAMES);
    let names = if named.is_empty() {
        0.0
    } else {
        CLEAR + beside_marks(chart) + widest
    };
    (FIGURE_PX - PAD - names.max(12.0)).floor()
}

/// Room for the marks that stand before the names of curves at their ends.
pub(super) fn beside_marks(chart: &Chart) -> f64 {
    let marked = chart.key.is_empty() && chart.curves().any(|c| c.mark.is_some());
    if marked { 2.0 * MARK + APART } else { 0.0 }
}

/// Names that stand beyond the right end of the level axis.
pub(super) fn end_names(chart: &Chart) -> Vec<String> {
    let curves = chart.curves().filter(|_| chart.key.is_empty());
    let levels = chart.notes.iter().filter_map(|note| match note {
        Note::Level(_, name) => Some(name),
        Note::Upright(..) | Note::Ring(..) | Note::Words(..) | Note::Line(..) => None,
    });
    let all = curves.map(|c| &c.name).chain(levels);
    all.filter(|n| !n.is_empty()).cloned().collect()
}

/// What rings mark, a line each.
fn rings(chart: &Chart) -> impl Iterator<Item = String> {
    chart.notes.iter().filter_map(|note| match note {
        Note::Ring(_, name) => Some(format!("Ring: {name}.")),
        Note::Level(..) | Note::Upright(..) | Note::Words(..) | Note::Line(..) => None,
    })
}

/// The ticks of the level axis that have room for their names.
fn named(chart: &Chart, across: &Scale) -> Vec<Tick> {
    let all = &chart.across.ticks;
    if !chart.across.evenly {
        return roomy(all.iter(), across);
    }
    let every = |n: usize| all.iter().step_by(n);
    let fits = |n: &usize| roomy(every(*n), across).len() == every(*n).len();
    let n = (1..=all.len()).find(fits).unwrap_or(1);
    every(n).cloned().collect()
}

/// Those that meet none before them.
fn roomy<'t>(ticks: impl Iterator<Item = &'t Tick>, across: &Scale) -> Vec<Tick> {
    let mut placed: Vec<(f64, f64)> = Vec::new();
    let mut roomy = Vec::new();
    for tick in ticks {
        let names = tick.name.iter();
        let wide = names
            .map(|n| width(n, LETTERING, Weight::Regular))
            .fold(0.0, f64::max);
        let middle = kept(across.at(tick.at), wide, PAD / 2.0);
        let meets = |&(other, reach): &(f64, f64)| {
            (other - middle).abs() < f64::midpoint(reach, wide) + APART
        };
        if !placed.iter().any(meets) {
            placed.push((middle, wide));
            roomy.push(tick.clone());
        }
    }
    roomy
}

/// The middle of a line of lettering, moved as little as keeps it on paper.
fn kept(middle: f64, wide: f64, margin: f64) -> f64 {
    let reach = margin + wide / 2.0;
    middle.min(FIGURE_PX - reach).max(reach)
}

/// Names of uprights, each on the lowest line on which it meets no other.
fn uprights(chart: &Chart, across: &Scale) -> Vec<(f64, usize, String)> {
    let mut placed: Vec<(f64, usize, String)> = Vec::new();
    for note in &chart.notes {
        let Note::Upright(x, name, _) = note else {
            continue;
        };
        let name = cut(name, FIGURE_PX - 2.0 * PAD, LETTERING, Weight::Regular);
        let wide = width(&name, LETTERING, Weight::Regular);
        let middle = kept(across.at(*x), wide, PAD);
        let meets = |row: usize| {
            placed.iter().any(|(at, other, text)| {
                let both = f64::midpoint(wide, width(text, LETTERING, Weight::Regular));
                *other == row && (at - middle).abs() < both + LETTERING
            })
        };
        let row = (0..=placed.len()).find(|row| !meets(*row)).unwrap_or(0);
        placed.push((middle, row, name));
    }
    placed
}
