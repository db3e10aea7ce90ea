//! Strips of sheet on a green, numbered in laying order, at true scale.

use maud::{Markup, html};

use super::ground::ground;
use super::sheet::{Frame, PAGES, Sheet};
use super::zone_names::zone_names;
use crate::Error;
use crate::area::Outline;
use crate::drawing::label::{Anchor, CAPITAL, Label};
use crate::drawing::lettering::{Weight, fitting};
use crate::drawing::palette::{BAND, INK};
use crate::drawing::paper::{Words, mm};
use crate::drawing::plane::Plane;

/// Largest and least size of a strip's number, millimetres; one that would be smaller is left out: the list has it.
const NUMBER: [f64; 2] = [5.0, 1.4];
/// Length of the wind's arrow, millimetres.
const ARROW: f64 = 13.0;

/// A strip as it is drawn. Whatever is laid later is drawn later, and so lies over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnStrip {
    /// Order of laying.
    pub number: usize,
    /// Centre, east and north, metres.
    pub centre: [f64; 2],
    /// Length and width, metres.
    pub sides: [f64; 2],
    /// Direction of the length, degrees anticlockwise from east.
    pub angle_deg: f64,
}

/// What the picture is called, and what it says of the strips.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// Its title.
    pub title: &'a str,
    /// What is drawn, for those who cannot see it.
    pub description: &'a str,
    /// Where the wind comes from, degrees clockwise from north.
    pub wind_from_deg: Option<f64>,
}

/// A page of A4 with the strips at the largest round scale at which green and strips fit.
///
/// # Errors
/// Ground too wide for a sheet at 1 : 5000.
pub fn strips_map(
    outline: &Outline,
    strips: &[DrawnStrip],
    told: Told<'_>,
) -> Result<String, Error> {
    let [low, high] = corners(outline, strips);
    let mut pages = PAGES;
    if high[0] - low[0] > high[1] - low[1] {
        pages.reverse();
    }
    let sheet = Sheet::for_ground([low, high], &pages, |_| None)?;
    let words = words(told);
    Ok(sheet.document(
        &words,
        &line(sheet.n, told),
        &map(outline, strips, told, &sheet, &words),
    ))
}

/// The same as a piece of somebody else's page, `room_mm` wide and high.
///
/// # Errors
/// As [`strips_map`].
pub fn strips_inset(
    outline: &Outline,
    strips: &[DrawnStrip],
    told: Told<'_>,
    room_mm: [f64; 2],
) -> Result<String, Error> {
    let frames = [Frame::inset(room_mm)];
    let sheet = Sheet::for_ground(corners(outline, strips), &frames, |_| None)?;
    let words = words(told);
    Ok(sheet.inset(
        &words,
        &line(sheet.n, told),
        &map(outline, strips, told, &sheet, &words),
    ))
}

fn words(told: Told<'_>) -> Words {
    Words::new("strips", told.title, told.description, &[])
}

fn line(n: f64, told: Told<'_>) -> String {
    let wind = match told.wind_from_deg {
        Some(_) => " Arrow: the wind.",
        None => "",
    };
    format!(
        "1 : {n}. Numbers: the order of laying. Broken line: edge under the sheet laid over it.{wind}"
    )
}

fn map(
    outline: &Outline,
    strips: &[DrawnStrip],
    told: Told<'_>,
    sheet: &Sheet,
    words: &Words,
) -> Markup {
    let plane = &sheet.plane;
    let path = |s: &DrawnStrip| plane.rectangle(s.centre, s.sides, s.angle_deg);
    let edge = plane.ring(outline.ground.exterior());
    html! {
        (ground(outline, plane, &words.id))
        @for s in strips {
            path d=(path(s)) fill=(BAND) fill-opacity="0.85" stroke=(INK) stroke-width="0.3" {
                title { "Strip " (s.number) }
            }
        }
        // The edge that a later strip hides shows through as a broken line.
        @for s in strips { path d=(path(s)) fill="none" stroke=(INK) stroke-width="0.15" stroke-dasharray="0.8 0.8" {} }
        path d=(edge) fill="none" stroke=(INK) stroke-width="0.7" stroke-linejoin="round" {}
        @for hole in outline.ground.interiors() {
            path d=(plane.ring(hole)) fill="none" stroke=(INK) stroke-width="0.5" stroke-dasharray="2 1" {}
        }
        (zone_names(outline, plane, &marks(strips)))
        @for s in strips { (number(s, plane)) }
        @if let Some(from) = told.wind_from_deg { (wind(from, sheet.below_right())) }
    }
}

fn number(s: &DrawnStrip, plane: &Plane) -> Markup {
    let text = s.number.to_string();
    let room = 0.85 * s.sides[0].min(s.sides[1]) * plane.scale;
    let size = fitting(&text, room, NUMBER[0].min(room), Weight::Bold);
    let [x, y] = plane.paper(s.centre[0], s.centre[1]);
    html! {
        @if size >= NUMBER[1] {
            (Label::new(text, [x, y + CAPITAL * size / 2.0], size).bold().middle().haloed().drawn())
        }
    }
}

/// The numbers, for names to keep off them.
fn marks(strips: &[DrawnStrip]) -> Vec<[f64; 3]> {
    let each = strips.iter();
    each.map(|s| [s.centre[0], s.centre[1], 0.3 * s.sides[0].min(s.sides[1])])
        .collect()
}

/// An arrow that flies with the wind, about a place on paper.
fn wind(from_deg: f64, [x, y]: [f64; 2]) -> Markup {
    let half = ARROW / 2.0;
    html! {
        g {
            title { "Wind from " (from_deg) " degrees" }
            g transform={ "translate(" (mm(x)) " " (mm(y)) ") rotate(" (mm(from_deg + 180.0)) ")" } {
                path d={ "M0 " (mm(half)) "V" (mm(3.0 - half)) } stroke=(INK) stroke-width="0.8" fill="none" {}
                path d={ "M0 " (mm(-half)) "l2.2 4.6h-4.4Z" } fill=(INK) {}
            }
            (Label::new("wind", [x - half - 2.0, y + 1.3], 3.6).anchored(Anchor::End).drawn())
        }
    }
}

/// Corners of the ground that green and strips take together.
fn corners(outline: &Outline, strips: &[DrawnStrip]) -> [[f64; 2]; 2] {
    let (mut low, mut high) = outline.bounds();
    for s in strips {
        let (sin, cos) = s.angle_deg.to_radians().sin_cos();
        let half = [
            f64::midpoint(s.sides[0] * cos.abs(), s.sides[1] * sin.abs()),
            f64::midpoint(s.sides[0] * sin.abs(), s.sides[1] * cos.abs()),
        ];
        for axis in 0..2 {
            low[axis] = low[axis].min(s.centre[axis] - half[axis]);
            high[axis] = high[axis].max(s.centre[axis] + half[axis]);
        }
    }
    [low, high]
}
