//! Maps of places: counts as discs, hot and cold ones.

use halfgreen_analysis::spatial::hot_spots::Class;
use maud::{Markup, html};

use super::PictureFile;
use super::ground::{Ground, SAMPLE, Told, cross};
use crate::drawing::key::Entry;
use crate::drawing::palette::{BLUE, GREY, INK, SKY, VERMILION};
use crate::drawing::paper::mm;
use crate::drawing::{Cell, FigureData};
use crate::mapping::findings::{Hotspots, Local};

/// Radius of the largest disc, millimetres.
const LARGEST: f64 = 5.5;

/// Counts as discs whose areas are in proportion.
pub(super) fn bubbles(found: &Hotspots, ground: &Ground<'_>) -> PictureFile {
    let most = found.local.iter().map(|l| l.count).max().unwrap_or(0);
    let room = spacing(&found.local) * ground.scale() * 0.48;
    let radius = |count: u32| {
        let share = f64::from(count) / f64::from(most.max(1));
        room.min(LARGEST) * share.sqrt()
    };
    let disc = |[x, y]: [f64; 2], count: u32, title: bool| {
        html! {
            circle cx=(mm(x)) cy=(mm(y)) r=(mm(radius(count))) fill=(BLUE) fill-opacity="0.75"
                stroke=(INK) stroke-width="0.2" { @if title { title { (count) } } }
        }
    };
    let half = most.div_ceil(2).max(1);
    let mut sizes = vec![most.max(1), half];
    sizes.dedup();
    let across = 2.0 * radius(most.max(1)).max(2.0) + 1.0;
    let middle = [across / 2.0, 0.0];
    let mut key: Vec<Entry> = sizes
        .into_iter()
        .map(|count| named(disc(middle, count, false), format!("{count} larvae")))
        .collect();
    key.insert(0, named(cross(middle), "none".to_owned()));
    let total: u64 = found.local.iter().map(|l| u64::from(l.count)).sum();
    let told = Told {
        name: "counts",
        title: "Larvae counted".to_owned(),
        description: format!(
            "Map of {} places with {total} larvae, at most {most} at one place; discs grow with the count. {}",
            found.local.len(),
            found.meaning.join(" ")
        ),
        key,
        sample: [across; 2],
        foot: Vec::new(),
        data: places(found),
    };
    ground.page(told, |plane, _| {
        html! {
            @for l in &found.local {
                @let at = plane.paper(l.x_m, l.y_m);
                @if l.count == 0 { (cross(at)) } @else { (disc(at, l.count, true)) }
            }
        }
    })
}

pub(super) fn named(sample: Markup, name: String) -> Entry {
    Entry {
        sample,
        letter: String::new(),
        name,
    }
}

/// What was found at each place.
fn places(found: &Hotspots) -> FigureData {
    let mut data = FigureData::new(&["x_m", "y_m", "count", "gi_star", "q"]);
    data.rows = found
        .local
        .iter()
        .map(|l| {
            let numbers = [
                Some(l.x_m),
                Some(l.y_m),
                Some(f64::from(l.count)),
                l.gi_star,
                l.q,
            ];
            numbers.map(Cell::from).to_vec()
        })
        .collect();
    data
}

/// Distance from a place to its nearest neighbour at another place, the smallest of all, metres.
fn spacing(places: &[Local]) -> f64 {
    let mut least = f64::INFINITY;
    for (i, a) in places.iter().enumerate() {
        for b in &places[..i] {
            let d = (a.x_m - b.x_m).hypot(a.y_m - b.y_m);
            if d > 0.0 {
                least = least.min(d);
            }
        }
    }
    if least.is_finite() { least } else { 1.0 }
}

/// Hot, cold and other places, each with its own mark.
pub(super) fn spots(found: &Hotspots, ground: &Ground<'_>) -> PictureFile {
    let size = (spacing(&found.local) * ground.scale() * 0.42).clamp(0.8, 4.0);
    let names = [
        (Class::Hot, "hot: more around here than chance puts"),
        (Class::Cold, "cold: fewer"),
        (Class::NotSignificant, "neither"),
    ];
    let told = Told {
        name: "hot-spots",
        title: "Hot and cold places".to_owned(),
        description: found.meaning.join(" "),
        key: names
            .map(|(class, name)| named(spot(class, [SAMPLE[0] / 2.0, 0.0], 2.0), name.to_owned()))
            .into(),
        sample: SAMPLE,
        foot: Vec::new(),
        data: places(found),
    };
    ground.page(told, |plane, _| {
        html! {
            @for l in &found.local {
                g {
                    title {
                        (l.count) " larvae"
                        @if let Some(z) = l.gi_star { ", Gi* " (format!("{z:.2}")) }
                        @if let Some(q) = l.q { ", q " (format!("{q:.3}")) }
                    }
                    (spot(l.class, plane.paper(l.x_m, l.y_m), size))
                }
            }
        }
    })
}

/// A square with a plus for hot, a disc with a minus for cold, a dot for neither.
fn spot(class: Class, [x, y]: [f64; 2], size: f64) -> Markup {
    let level = format!("M{} {}h{}", mm(x - size * 0.6), mm(y), mm(size * 1.2));
    let upright = format!("M{} {}v{}", mm(x), mm(y - size * 0.6), mm(size * 1.2));
    match class {
        Class::Hot => html! {
            rect x=(mm(x - size)) y=(mm(y - size)) width=(mm(2.0 * size)) height=(mm(2.0 * size))
                fill=(VERMILION) stroke=(INK) stroke-width="0.2" {}
            path d={ (level) (upright) } stroke="white" stroke-width=(mm(size * 0.3)) {}
        },
        Class::Cold => html! {
            circle cx=(mm(x)) cy=(mm(y)) r=(mm(size)) fill=(SKY) stroke=(INK) stroke-width="0.3" {}
            path d=(level) stroke=(INK) stroke-width=(mm(size * 0.25)) {}
        },
        Class::NotSignificant => {
            html! { circle cx=(mm(x)) cy=(mm(y)) r=(mm(size * 0.3)) fill=(GREY) {} }
        }
    }
}
