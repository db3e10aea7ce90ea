//! What is drawn between the axes, in the numbers of the axes.

use crate::drawing::mark::Mark;
use crate::drawing::palette::{Colour, INK, series};

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stroke {
    pub(crate) colour: Colour,
    /// Pixels.
    pub(crate) width: u32,
    pub(crate) broken: bool,
}

impl Stroke {
    pub(crate) const fn full(colour: Colour, width: u32) -> Self {
        Self {
            colour,
            width,
            broken: false,
        }
    }

    pub(crate) const fn broken(colour: Colour, width: u32) -> Self {
        Self {
            colour,
            width,
            broken: true,
        }
    }
}

/// A curve with a name.
#[derive(Debug, Clone)]
pub(crate) struct Curve {
    pub(crate) name: String,
    pub(crate) points: Vec<(f64, f64)>,
    pub(crate) stroke: Stroke,
    /// The mark at each point, if points are marked.
    pub(crate) mark: Option<Mark>,
}

impl Curve {
    /// The i-th of several curves, in a colour of its own, each point marked by a shape of its own.
    pub(crate) fn series(i: usize, name: impl Into<String>, points: Vec<(f64, f64)>) -> Self {
        Self {
            name: name.into(),
            points,
            stroke: Stroke::full(series(i), 2),
            mark: Some(Mark::series(i)),
        }
    }

    /// The same without marks.
    pub(crate) fn unmarked(self) -> Self {
        Self { mark: None, ..self }
    }
}

/// One thing between the axes; later ones lie over earlier ones.
#[derive(Debug, Clone)]
pub(crate) enum Layer {
    /// Ground between corners.
    Area(Vec<(f64, f64)>, Colour),
    /// Bars from 0: from, to, height.
    Bars(Vec<(f64, f64, f64)>),
    /// A line without a name.
    Line(Vec<(f64, f64)>, Stroke),
    /// Marks of a radius in pixels.
    Marks(Vec<(f64, f64)>, Mark, f64),
    /// A curve with a name.
    Curve(Curve),
}

/// Words and lines that explain.
#[derive(Debug, Clone)]
pub(crate) enum Note {
    /// A broken level, named at its right end.
    Level(f64, String),
    /// A line upwards, named above the figure.
    Upright(f64, String, Stroke),
    /// A ring round a point, named under the figure: beside it the name would lie on a curve.
    Ring((f64, f64), String),
    /// Words at the first of these points where they cover nothing.
    Words(Vec<(f64, f64)>, String),
    /// A line that starts at a point, cut where the paper ends.
    Line((f64, f64), String),
}

/// The stroke of an upright.
pub(crate) const UPRIGHT: Stroke = Stroke::broken(INK, 1);
