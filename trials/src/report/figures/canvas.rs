//! A sheet to draw on: units are pixels from the upper left, text is left to the reader's own fonts.

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::Error;

pub(super) const INK: RGBColor = RGBColor(30, 30, 30);
pub(super) const PALE: RGBColor = RGBColor(218, 218, 218);
pub(super) const GREY: RGBColor = RGBColor(118, 118, 118);
/// Width of every figure.
pub(super) const WIDTH: i32 = 480;

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
pub(super) type Fault = DrawingAreaErrorKind<<SVGBackend<'static> as DrawingBackend>::ErrorType>;

/// What a figure is called and what it shows, for those who cannot see it.
#[derive(Debug, Clone)]
pub(super) struct Words {
    /// Unique on the page.
    pub(super) name: &'static str,
    pub(super) title: String,
    pub(super) description: String,
}

/// The sheet.
pub(super) struct Canvas<'a>(Area<'a>);

/// Draws a figure of the given height.
pub(super) fn drawing(
    words: &Words,
    height: i32,
    paint: impl FnOnce(&Canvas<'_>) -> Result<(), Fault>,
) -> Result<String, Error> {
    let mut svg = String::new();
    {
        let size = (WIDTH.unsigned_abs(), height.unsigned_abs());
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        let canvas = Canvas(area);
        canvas
            .0
            .fill(&WHITE)
            .and_then(|()| paint(&canvas))
            .and_then(|()| canvas.0.present())
            .map_err(|fault| {
                Error::new(
                    format!("figure {}", words.name),
                    format!("it could not be drawn ({fault})"),
                    "This is a fault of the program: please report the command and its input.",
                )
            })?;
    }
    Ok(with_words(&svg, words))
}

/// Puts title and description after the opening tag, and lets screen readers take it as one picture.
fn with_words(svg: &str, words: &Words) -> String {
    let (title, desc) = (
        format!("{}-title", words.name),
        format!("{}-desc", words.name),
    );
    let told = maud::html! {
        title id=(title) { (words.title) }
        desc id=(desc) { (words.description) }
    };
    match svg.split_once('>') {
        Some((tag, rest)) => format!(
            "{tag} role=\"img\" aria-labelledby=\"{title} {desc}\">{}{rest}",
            told.into_string()
        ),
        None => svg.to_owned(),
    }
}

impl Canvas<'_> {
    pub(super) fn line(
        &self,
        from: (i32, i32),
        to: (i32, i32),
        colour: RGBColor,
        width: u32,
    ) -> Result<(), Fault> {
        self.0
            .draw(&PathElement::new([from, to], colour.stroke_width(width)))
    }

    /// A broken upright.
    pub(super) fn dashed(&self, x: i32, (top, foot): (i32, i32)) -> Result<(), Fault> {
        for y in (top..foot).step_by(10) {
            self.line((x, y), (x, (y + 6).min(foot)), INK, 2)?;
        }
        Ok(())
    }

    pub(super) fn rectangle(&self, corners: [(i32, i32); 2], fill: RGBColor) -> Result<(), Fault> {
        self.0.draw(&Rectangle::new(corners, fill.filled()))
    }

    pub(super) fn polygon(&self, corners: &[(i32, i32)], fill: RGBColor) -> Result<(), Fault> {
        self.0
            .draw(&Polygon::new(corners.to_vec(), fill.filled()))?;
        let closed = corners.iter().chain(corners.first()).copied();
        let edge: Vec<(i32, i32)> = closed.collect();
        self.0.draw(&PathElement::new(edge, INK.stroke_width(1)))
    }

    pub(super) fn circle(&self, at: (i32, i32), radius: i32, fill: RGBColor) -> Result<(), Fault> {
        self.0.draw(&Circle::new(at, radius, fill.filled()))?;
        self.0.draw(&Circle::new(at, radius, INK.stroke_width(1)))
    }

    pub(super) fn text(
        &self,
        text: &str,
        at: (i32, i32),
        (across, up): (HPos, VPos),
        size: i32,
    ) -> Result<(), Fault> {
        let style = ("sans-serif", size)
            .into_font()
            .color(&INK)
            .pos(Pos::new(across, up));
        self.0.draw(&Text::new(text.to_owned(), at, style))
    }
}
