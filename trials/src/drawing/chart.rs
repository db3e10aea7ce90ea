//! One frame for every curve of the tool: axes, named curves, a title and a description in words.
//!
//! Colours are those of M. Okabe and K. Ito's palette for colour-blind readers; each curve also has its
//! own marker, and its name stands at its end, so that nothing hangs on colour.

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::Error;

/// What a chart shows.
#[derive(Debug, Clone)]
pub(crate) struct Frame {
    pub(crate) title: String,
    /// Told to those who cannot see it.
    pub(crate) description: String,
    pub(crate) across: &'static str,
    pub(crate) up: &'static str,
    /// Whether heights are shares, to be labelled in per cent.
    pub(crate) percent: bool,
    pub(crate) x: (f64, f64),
    pub(crate) y: (f64, f64),
}

/// A named curve.
#[derive(Debug, Clone)]
pub(crate) struct Curve {
    pub(crate) name: String,
    pub(crate) points: Vec<(f64, f64)>,
    pub(crate) markers: bool,
}

/// What else stands in the frame.
#[derive(Debug, Clone)]
pub(crate) enum Note {
    /// A dashed level with its name at the left.
    Level(f64, String),
    /// A dashed upright with its name at the top.
    Upright(f64, String),
    /// A ring round a point, with words.
    Ring((f64, f64), String),
    /// Words at a point.
    Words((f64, f64), String),
}

const COLOURS: [RGBColor; 4] = [
    RGBColor(0, 114, 178),
    RGBColor(213, 94, 0),
    RGBColor(0, 158, 115),
    RGBColor(0, 0, 0),
];
const INK: RGBColor = RGBColor(40, 40, 40);
const PALE: RGBColor = RGBColor(225, 225, 225);
/// Lettering with a white edge, so that it can be read where it crosses a line.
const HALO: &str =
    "<text paint-order=\"stroke\" stroke=\"#fff\" stroke-width=\"3\" stroke-linejoin=\"round\" ";
/// Radius of the ring round a point, pixels.
const RING: i32 = 9;
/// From a curve's last point to its name, pixels: clear of a ring round that point.
const CLEAR: i32 = RING + 6;
/// As wide as the figures of a report, so that its lettering can be read on a telephone held upright.
const SIZE: (u32, u32) = (480, 400);

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Chart<'a, 'b> = ChartContext<
    'a,
    SVGBackend<'b>,
    Cartesian2d<plotters::coord::types::RangedCoordf64, plotters::coord::types::RangedCoordf64>,
>;
type Fault = DrawingAreaErrorKind<<SVGBackend<'static> as DrawingBackend>::ErrorType>;

/// Draws the chart as a complete SVG document.
pub(crate) fn draw(frame: &Frame, curves: &[Curve], notes: &[Note]) -> Result<String, Error> {
    let mut svg = String::new();
    let area = SVGBackend::with_string(&mut svg, SIZE).into_drawing_area();
    paint(&area, frame, curves, notes).map_err(|fault| {
        Error::new(
            "picture",
            format!("it could not be drawn ({fault})"),
            "Report this as a fault.",
        )
    })?;
    drop(area);
    Ok(with_words(&svg, frame))
}

/// Puts title and description after the opening tag, and lets screen readers take it as one picture.
fn with_words(svg: &str, frame: &Frame) -> String {
    let words = maud::html! {
        title { (frame.title) }
        desc { (frame.description) }
    };
    match svg.split_once('>') {
        Some((tag, rest)) => {
            format!("{tag} role=\"img\">{}{rest}", words.into_string()).replace("<text ", HALO)
        }
        None => svg.to_owned(),
    }
}

fn paint(area: &Area<'_>, frame: &Frame, curves: &[Curve], notes: &[Note]) -> Result<(), Fault> {
    area.fill(&WHITE)?;
    let mut chart = ChartBuilder::on(area)
        .caption(&frame.title, ("sans-serif", 16).into_font().color(&INK))
        .margin(12)
        .margin_right(96)
        .x_label_area_size(48)
        .y_label_area_size(56)
        .build_cartesian_2d(frame.x.0..frame.x.1, frame.y.0..frame.y.1)?;
    let percent = |y: &f64| format!("{:.0} %", 100.0 * y);
    let plain = |y: &f64| {
        format!("{y:.6}")
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    };
    let label: &dyn Fn(&f64) -> String = if frame.percent { &percent } else { &plain };
    chart
        .configure_mesh()
        .x_desc(frame.across)
        .y_desc(frame.up)
        .x_label_formatter(&plain)
        .y_label_formatter(label)
        .x_labels(8)
        .y_labels(11)
        .light_line_style(TRANSPARENT)
        .bold_line_style(PALE)
        .axis_style(INK)
        .label_style(("sans-serif", 14).into_font().color(&INK))
        .draw()?;
    for note in notes {
        draw_note(&mut chart, frame, note)?;
    }
    for (i, curve) in curves.iter().enumerate() {
        draw_curve(&mut chart, i, curve)?;
    }
    draw_names(&mut chart, frame, curves)?;
    area.present()
}

fn draw_curve(chart: &mut Chart<'_, '_>, i: usize, curve: &Curve) -> Result<(), Fault> {
    let colour = COLOURS[i % COLOURS.len()];
    chart.draw_series(LineSeries::new(
        curve.points.iter().copied(),
        colour.stroke_width(2),
    ))?;
    if !curve.markers {
        return Ok(());
    }
    for &point in &curve.points {
        let at = EmptyElement::at(point);
        match i % 4 {
            0 => chart
                .plotting_area()
                .draw(&(at + Circle::new((0, 0), 4, colour.filled())))?,
            1 => chart
                .plotting_area()
                .draw(&(at + Rectangle::new([(-4, -4), (4, 4)], colour.filled())))?,
            2 => chart
                .plotting_area()
                .draw(&(at + TriangleMarker::new((0, 0), 5, colour.filled())))?,
            _ => chart
                .plotting_area()
                .draw(&(at + Cross::new((0, 0), 4, colour.stroke_width(2))))?,
        }
    }
    Ok(())
}

/// Names at the right end of the curves, moved apart where they would overlap.
fn draw_names(chart: &mut Chart<'_, '_>, frame: &Frame, curves: &[Curve]) -> Result<(), Fault> {
    let line = (frame.y.1 - frame.y.0) * 0.05;
    let mut ends: Vec<(usize, (f64, f64))> = curves
        .iter()
        .enumerate()
        .filter_map(|(i, c)| c.points.last().map(|p| (i, *p)))
        .collect();
    ends.sort_by(|a, b| b.1.1.total_cmp(&a.1.1));
    let mut above = f64::INFINITY;
    for (i, (x, y)) in ends {
        let y = y.min(above - line);
        above = y;
        let style = words(HPos::Left, VPos::Center);
        let text = Text::new(curves[i].name.clone(), (CLEAR, 0), style);
        chart
            .plotting_area()
            .draw(&(EmptyElement::at((x, y)) + text))?;
    }
    Ok(())
}

fn draw_note(chart: &mut Chart<'_, '_>, frame: &Frame, note: &Note) -> Result<(), Fault> {
    let dashed = |from, to| DashedLineSeries::new([from, to], 6, 4, INK.stroke_width(1));
    match note {
        Note::Level(y, name) => {
            chart.draw_series(dashed((frame.x.0, *y), (frame.x.1, *y)))?;
            let text = Text::new(name.clone(), (6, -3), words(HPos::Left, VPos::Bottom));
            chart
                .plotting_area()
                .draw(&(EmptyElement::at((frame.x.0, *y)) + text))?;
        }
        Note::Upright(x, name) => {
            chart.draw_series(dashed((*x, frame.y.0), (*x, frame.y.1)))?;
            let text = Text::new(name.clone(), (5, 4), words(HPos::Left, VPos::Top));
            chart
                .plotting_area()
                .draw(&(EmptyElement::at((*x, frame.y.1)) + text))?;
        }
        Note::Ring(at, name) => {
            let ring = Circle::new((0, 0), RING, INK.stroke_width(2));
            let text = Text::new(name.clone(), (12, 10), words(HPos::Left, VPos::Top));
            chart
                .plotting_area()
                .draw(&(EmptyElement::at(*at) + ring + text))?;
        }
        Note::Words(at, name) => {
            let text = Text::new(name.clone(), (0, 0), words(HPos::Center, VPos::Center));
            chart
                .plotting_area()
                .draw(&(EmptyElement::at(*at) + text))?;
        }
    }
    Ok(())
}

fn words(across: HPos, up: VPos) -> TextStyle<'static> {
    ("sans-serif", 14)
        .into_font()
        .color(&INK)
        .pos(Pos::new(across, up))
}
