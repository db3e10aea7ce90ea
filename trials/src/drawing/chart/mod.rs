//! One frame for every figure with axes: what lies between them, names that keep clear of each other, the numbers.
//!
//! | file | what it holds |
//! |---|---|
//! | [`axis`] | what runs along an axis, round ticks |
//! | [`layer`] | curves, bars, marks, notes: in the numbers of the axes |
//! | [`layout`] | how much room names take, and so where the axes lie |
//! | [`names`], [`obstacles`] | every piece of lettering, placed; what it keeps off |
//! | [`paint`] | lines and marks, drawn by `plotters` |
//!
//! `plotters` scales and draws; lettering is ours, because it cannot know how wide letters are without a font at hand.

mod axis;
mod layer;
mod layout;
mod names;
mod obstacles;
mod paint;

use maud::{Markup, html};

pub(crate) use axis::{Axis, Tick};
pub(crate) use layer::{Curve, Layer, Note, Stroke, UPRIGHT};

use super::data::{Cell, FigureData};
use super::key::{Entry, Key};
use super::paper::{FIGURE_PX, Paper, Words};
use crate::Error;
use layout::Layout;

/// Size of lettering, pixels.
pub(crate) const LETTERING: f64 = 14.0;
/// Length of a sample in the key, pixels.
const SAMPLE: f64 = 34.0;
/// Height of a sample in the key, pixels.
const SAMPLE_HEIGHT: f64 = 14.0;

/// A figure with axes.
#[derive(Debug, Clone)]
pub(crate) struct Chart {
    pub(crate) words: Words,
    /// Whether the title stands above the figure; a page that heads it itself needs none.
    pub(crate) headed: bool,
    /// From the upper end of the upright axis to its foot, pixels.
    pub(crate) height: f64,
    pub(crate) across: Axis,
    pub(crate) up: Axis,
    pub(crate) layers: Vec<Layer>,
    pub(crate) notes: Vec<Note>,
    /// What samples stand for, above the figure; where there are none, curves are named at their ends.
    pub(crate) key: Vec<Entry>,
    /// Sentences below the figure.
    pub(crate) foot: Vec<String>,
}

impl Chart {
    /// A chart with nothing between its axes yet.
    pub(crate) fn new(words: Words, across: Axis, up: Axis) -> Self {
        Self {
            words,
            headed: true,
            height: 280.0,
            across,
            up,
            layers: Vec::new(),
            notes: Vec::new(),
            key: Vec::new(),
            foot: Vec::new(),
        }
    }

    /// Pixels for one step of each axis. What is drawn between the axes does not change them, but its names do.
    pub(crate) fn pixels(&self) -> (f64, f64) {
        let layout = Layout::of(self);
        (layout.across.pixels().abs(), layout.up.pixels().abs())
    }

    /// The complete document.
    pub(crate) fn draw(&self) -> Result<String, Error> {
        let layout = Layout::of(self);
        let lines = paint::lines(self, &layout).map_err(|fault| {
            Error::new(
                format!("figure {}", self.words.id),
                format!("it could not be drawn ({fault})"),
                "This is a fault of the program: please report the command and its input.",
            )
        })?;
        let names = names::names(self, &layout);
        let drawn = html! {
            (maud::PreEscaped(lines))
            (layout.heading())
            (layout.key())
            (names::end_marks(self, &layout))
            @for label in &names { (label.drawn()) }
        };
        Ok(Paper::Figure([FIGURE_PX, layout.bottom]).document(&self.words, &drawn))
    }

    /// Its curves as a table: a row for every place across, a column for every curve.
    pub(crate) fn data(&self) -> FigureData {
        let curves: Vec<&Curve> = self.curves().collect();
        let mut data = FigureData::new(&[&self.across.name]);
        data.headings.extend(curves.iter().map(|c| c.name.clone()));
        let mut across: Vec<f64> = curves
            .iter()
            .flat_map(|c| c.points.iter().map(|p| p.0))
            .collect();
        across.sort_by(f64::total_cmp);
        across.dedup();
        for x in across {
            let height = |c: &&Curve| c.points.iter().find(|p| p.0 == x).map(|p| p.1);
            let mut row = vec![Cell::from(x)];
            row.extend(curves.iter().map(|c| Cell::from(height(c))));
            data.rows.push(row);
        }
        data
    }

    fn curves(&self) -> impl Iterator<Item = &Curve> {
        self.layers.iter().filter_map(|layer| match layer {
            Layer::Curve(curve) => Some(curve),
            Layer::Area(..) | Layer::Bars(_) | Layer::Line(..) | Layer::Marks(..) => None,
        })
    }

    fn set_key(&self) -> Option<Key> {
        let room = FIGURE_PX - 2.0 * layout::PAD;
        (!self.key.is_empty())
            .then(|| Key::new(self.key.clone(), room, LETTERING, [SAMPLE, SAMPLE_HEIGHT]))
    }
}

/// A sample of a line for the key, with the mark of its points.
pub(crate) fn sample(curve: &Curve) -> Markup {
    html! {
        path d={ "M0 0H" (SAMPLE) } stroke=(curve.stroke.colour) stroke-width=(curve.stroke.width)
            stroke-dasharray=[curve.stroke.broken.then_some("6 4")] fill="none" {}
        @if let Some(mark) = curve.mark { (mark.drawn([SAMPLE / 2.0, 0.0], paint::MARK)) }
    }
}

/// A sample of bars for the key.
pub(crate) fn bar_sample() -> Markup {
    html! {
        rect x=(SAMPLE - SAMPLE_HEIGHT) y=(-SAMPLE_HEIGHT / 2.0) width=(SAMPLE_HEIGHT) height=(SAMPLE_HEIGHT) fill=(super::palette::PALE) stroke=(super::palette::INK) {}
    }
}
