//! Pegging out: the corners of the plots by tape.
//!
//! *Question.* A plot is known by its centre and direction; where do its four pegs go, with tapes and a string?
//!
//! *In.* A checked outline and the layout of one green. *Out.* [`Pegging`]: two marks P and Q with a string between them,
//! the base line, and for every corner, in walking order, two ways to find it, to the centimetre:
//!
//! - two tapes from the marks, which cross where the peg goes;
//! - along the string, then square to it, the square being set out with a triangle of 3, 4 and 5.
//!
//! `choice` takes the one by which the worst peg is off by less, and says why. Pegs are checked by the plot's diagonals
//! and by the distance from the plot before.
//!
//! *Assumes* tapes held level and taut, on ground as flat as the outline takes it to be.
//!
//! *Source.* First-order propagation of errors (JCGM 100:2008, section 5.1.2); the formulas are derived where they stand.

mod base_line;
mod choice;
mod corners;
mod map_files;
mod squares;
mod straddling;
mod tables;
mod two_tapes;
mod words;

use serde::Serialize;

use crate::Error;
use crate::area::Outline;
use crate::design::Layout;
use crate::text::names::NAME;

use base_line::BaseLine;
use choice::Choice;
use corners::corners;

pub use choice::Method;
pub(crate) use corners::corner_places;
pub use map_files::{corners_geojson, corners_gpx};
pub use straddling::straddling;
pub use tables::pegging_csv;

/// How the plots of one green are pegged out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pegging {
    /// The green, in a trial on several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub green: Option<String>,
    /// The better conditioned of the two ways.
    pub method: Method,
    /// Why it is, in a sentence.
    pub because: String,
    /// The marks P and Q, at the left and right end of the base line for whoever looks at the plots.
    pub marks: [Mark; 2],
    /// Distance between the marks, metres.
    pub base_m: f64,
    /// Sides of the triangle by which a square is set out, metres.
    pub triangle_m: [f64; 3],
    /// How far the worst peg is off where every tape is read with a standard error of 1 cm, millimetres.
    pub worst_mm: Worst,
    /// How far rounding to the centimetre takes a peg at most, millimetres.
    pub rounding_mm: Worst,
    /// Longest distance from a mark to a peg, metres.
    pub longest_tape_m: f64,
    /// How the base line lies to the green: places of the edge that it is found again by.
    pub edge: Vec<EdgePlace>,
    /// The plots in walking order.
    pub plots: Vec<PeggedPlot>,
}

/// A number for each of the two ways.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Worst {
    /// By two tapes.
    pub two_tapes: f64,
    /// By squares.
    pub squares: f64,
}

/// A fixed mark.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mark {
    /// `P` or `Q`.
    pub name: &'static str,
    /// Where it is.
    #[serde(flatten)]
    pub place: Place,
}

/// A place on the outline's own axes and, where known, in WGS 84.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Place {
    /// East of the origin, metres.
    pub x_m: f64,
    /// North of the origin, metres.
    pub y_m: f64,
    /// Longitude, degrees east.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lon: Option<f64>,
    /// Latitude, degrees north.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lat: Option<f64>,
}

/// A place of the green's edge as seen from the base line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EdgePlace {
    /// Which: `nearest`, `leftmost` or `rightmost`.
    pub which: &'static str,
    /// From P along the base line, metres; below 0 before P.
    pub along_m: f64,
    /// From the base line towards the plots, metres; below 0 behind it.
    pub offset_m: f64,
}

/// A plot with its pegs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PeggedPlot {
    /// Its name.
    pub plot: String,
    /// Its pegs, anticlockwise from the near left one.
    pub pegs: Vec<Peg>,
    /// Each of its two diagonals, metres.
    pub diagonal_m: f64,
    /// From its near left peg to that of the plot before, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_last_m: Option<f64>,
}

/// A peg at a corner of a plot. Distances are rounded to the centimetre.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Peg {
    /// Which corner, as seen from the base line: `near left`, `near right`, `far right`, `far left`.
    pub corner: &'static str,
    /// From mark P, metres.
    pub from_p_m: f64,
    /// From mark Q, metres.
    pub from_q_m: f64,
    /// From P along the base line, metres.
    pub along_m: f64,
    /// From there square to it, metres.
    pub offset_m: f64,
    /// Where it is.
    #[serde(flatten)]
    pub place: Place,
}

/// How the plots of one green are pegged out; `green` is its name in a trial on several, `guard_m` the strip round a plot.
///
/// # Errors
/// A layout without plots.
pub fn pegging(
    outline: &Outline,
    layout: &Layout,
    guard_m: f64,
    green: Option<&str>,
) -> Result<Pegging, Error> {
    let plots = corners(layout);
    let Some(first) = layout.plots.first() else {
        let place = green.unwrap_or("layout.csv");
        let place: String = place.chars().take(NAME).collect();
        return Err(Error::new(
            place,
            "there are no plots to peg out",
            "Lay the trial out: `halfgreen layout`.",
        ));
    };
    let all: Vec<[f64; 2]> = plots.iter().flat_map(|(_, four)| *four).collect();
    let choice = Choice::of(&all, first.angle_deg, guard_m, outline);
    let line = &choice.line;
    let mut pegged: Vec<PeggedPlot> = Vec::with_capacity(plots.len());
    let mut last: Option<[f64; 2]> = None;
    for (plot, four) in &plots {
        let four = line.turned(four);
        let pegs = CORNERS.into_iter().zip(four);
        pegged.push(PeggedPlot {
            plot: (*plot).to_owned(),
            pegs: pegs
                .map(|(name, at)| peg(name, at, line, outline))
                .collect(),
            diagonal_m: centimetres(apart(four[0], four[2])),
            from_last_m: last.map(|from| centimetres(apart(from, four[0]))),
        });
        last = Some(four[0]);
    }
    Ok(Pegging {
        green: green.map(str::to_owned),
        because: words::because(&choice),
        method: choice.method,
        marks: [("P", line.p), ("Q", line.q)].map(|(name, at)| Mark {
            name,
            place: place(at, outline),
        }),
        base_m: millimetres(line.length()),
        triangle_m: choice.triangle_m(),
        worst_mm: choice.worst_mm,
        rounding_mm: choice.rounding_mm,
        longest_tape_m: centimetres(choice.longest_tape_m),
        edge: line.edge(outline),
        plots: pegged,
    })
}

/// The corners of a plot as they are called, anticlockwise.
const CORNERS: [&str; 4] = ["near left", "near right", "far right", "far left"];

fn peg(corner: &'static str, at: [f64; 2], line: &BaseLine, outline: &Outline) -> Peg {
    let [along, offset] = line.seen(at);
    Peg {
        corner,
        from_p_m: centimetres(apart(line.p, at)),
        from_q_m: centimetres(apart(line.q, at)),
        along_m: centimetres(along),
        offset_m: centimetres(offset),
        place: place(at, outline),
    }
}

fn place([x_m, y_m]: [f64; 2], outline: &Outline) -> Place {
    let degrees = outline.frame.map(|frame| frame.to_degrees(x_m, y_m));
    Place {
        x_m: millimetres(x_m),
        y_m: millimetres(y_m),
        lon: degrees.map(|[lon, _]| lon),
        lat: degrees.map(|[_, lat]| lat),
    }
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn centimetres(metres: f64) -> f64 {
    (metres * 100.0).round() / 100.0 + 0.0
}

fn millimetres(metres: f64) -> f64 {
    (metres * 1000.0).round() / 1000.0 + 0.0
}
