//! Lines and marks, by `plotters`.

use plotters::coord::Shift;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;

use super::Chart;
use super::layer::{Layer, Note, Stroke, UPRIGHT};
use super::layout::Layout;
use crate::drawing::mark::Mark;
use crate::drawing::palette::{INK, PALE, WHITE};
use crate::drawing::paper::FIGURE_PX;

/// Radius of the mark of a curve's point, pixels.
pub(super) const MARK: f64 = 4.0;
/// Marks beyond which each is drawn lightly: they lie in a cloud, and the page must stay light too.
const MANY: usize = 800;
/// Radius of the ring round a point, pixels.
const RING: f64 = 9.0;
/// Length of the stroke at a tick, pixels.
const TICK: i32 = 4;
/// Strokes of a broken line and the gaps between, pixels.
const BROKEN: (i32, i32) = (6, 4);

type Plot<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Cartesian2d<RangedCoordf64, RangedCoordf64>>;
type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
pub(super) type Fault = DrawingAreaErrorKind<<SVGBackend<'static> as DrawingBackend>::ErrorType>;

/// Everything but lettering, as the inside of a document.
pub(super) fn lines(chart: &Chart, layout: &Layout) -> Result<String, Fault> {
    let mut svg = String::new();
    {
        let size = [FIGURE_PX, layout.bottom].map(|side| whole(side).unsigned_abs());
        let area = SVGBackend::with_string(&mut svg, size.into()).into_drawing_area();
        paint(&area, chart, layout)?;
        area.present()?;
    }
    // The document round it is ours.
    let inside = svg.split_once('>').map_or("", |(_, rest)| rest);
    Ok(inside.trim_end().trim_end_matches("</svg>").to_owned())
}

fn paint(area: &Area<'_>, chart: &Chart, layout: &Layout) -> Result<(), Fault> {
    let ((left, right), (foot, top)) = (layout.across.places, layout.up.places);
    let (x, y) = (chart.across.ends, chart.up.ends);
    let mut plot = ChartBuilder::on(area)
        .margin_left(whole(left))
        .margin_right(whole(FIGURE_PX - right))
        .margin_top(whole(top))
        .margin_bottom(whole(layout.bottom - foot))
        .build_cartesian_2d(x.0..x.1, y.0..y.1)?;
    for layer in &chart.layers {
        if let Layer::Area(corners, colour) = layer {
            let fill = colour.rgb().filled();
            plot.plotting_area()
                .draw(&Polygon::new(corners.clone(), fill))?;
        }
    }
    grid(&plot, chart, layout)?;
    let lightly = chart.layers.iter().map(marks).sum::<usize>() > MANY;
    for layer in &chart.layers {
        draw(&mut plot, layer, lightly)?;
    }
    axes(&plot, chart, layout)?;
    for note in &chart.notes {
        explain(&mut plot, chart, note)?;
    }
    Ok(())
}

/// Pale lines at the ticks.
fn grid(plot: &Plot<'_, '_>, chart: &Chart, layout: &Layout) -> Result<(), Fault> {
    let (x, y) = (chart.across.ends, chart.up.ends);
    let ticks = layout.ticks.iter().filter(|_| chart.across.grid);
    let upright = ticks.map(|t| [(t.at, y.0), (t.at, y.1)]);
    let ticks = chart.up.ticks.iter().filter(|_| chart.up.grid);
    let level = ticks.map(|t| [(x.0, t.at), (x.1, t.at)]);
    let pale = PALE.rgb().stroke_width(1);
    upright
        .chain(level)
        .try_for_each(|ends| plot.plotting_area().draw(&PathElement::new(ends, pale)))
}

/// The two axes, each where something is named on it, with a stroke at each tick.
fn axes(plot: &Plot<'_, '_>, chart: &Chart, layout: &Layout) -> Result<(), Fault> {
    let (x, y) = (chart.across.ends, chart.up.ends);
    let ink = INK.rgb().stroke_width(1);
    let axis = |from, to| {
        let line = PathElement::new([from, to], ink);
        plot.plotting_area().draw(&line)
    };
    axis((x.0, y.0), (x.1, y.0))?;
    if !chart.up.ticks.is_empty() {
        axis((x.0, y.0), (x.0, y.1))?;
    }
    for tick in &layout.ticks {
        let stroke = PathElement::new([(0, 0), (0, TICK)], ink);
        let tick = EmptyElement::at((tick.at, y.0)) + stroke;
        plot.plotting_area().draw(&tick)?;
    }
    Ok(())
}

/// Marks that a layer draws.
fn marks(layer: &Layer) -> usize {
    match layer {
        Layer::Marks(points, ..) => points.len(),
        Layer::Curve(curve) if curve.mark.is_some() => curve.points.len(),
        Layer::Area(..) | Layer::Bars(_) | Layer::Line(..) | Layer::Curve(_) => 0,
    }
}

fn draw(plot: &mut Plot<'_, '_>, layer: &Layer, lightly: bool) -> Result<(), Fault> {
    match layer {
        // Drawn before the grid, which they would hide.
        Layer::Area(..) => Ok(()),
        Layer::Bars(bars) => {
            let edge = INK.rgb().stroke_width(1);
            for &(from, to, height) in bars {
                let corners = [(from, height), (to, 0.0)];
                let area = plot.plotting_area();
                area.draw(&Rectangle::new(corners, PALE.rgb().filled()))?;
                area.draw(&Rectangle::new(corners, edge))?;
            }
            Ok(())
        }
        Layer::Line(points, stroke) => line(plot, points, *stroke),
        Layer::Marks(points, mark, radius) => {
            let each = points.iter();
            each.into_iter()
                .try_for_each(|p| draw_mark(plot, *p, *mark, *radius, lightly))
        }
        Layer::Curve(curve) => {
            line(plot, &curve.points, curve.stroke)?;
            let Some(mark) = curve.mark else {
                return Ok(());
            };
            let each = curve.points.iter();
            each.into_iter()
                .try_for_each(|p| draw_mark(plot, *p, mark, MARK, lightly))
        }
    }
}

fn line(plot: &mut Plot<'_, '_>, points: &[(f64, f64)], stroke: Stroke) -> Result<(), Fault> {
    let style = stroke.colour.rgb().stroke_width(stroke.width);
    let points = points.iter().copied();
    if stroke.broken {
        let (long, gap) = BROKEN;
        plot.draw_series(DashedLineSeries::new(points, long, gap, style))?;
    } else {
        plot.draw_series(LineSeries::new(points, style))?;
    }
    Ok(())
}

/// A mark with an edge in ink, so that marks that meet stay apart; lightly, its fill alone, or its edge where it is open.
fn draw_mark(
    plot: &Plot<'_, '_>,
    at: (f64, f64),
    mark: Mark,
    radius: f64,
    lightly: bool,
) -> Result<(), Fault> {
    let (fill, edge) = (mark.fill.rgb().filled(), INK.rgb().stroke_width(1));
    let area = plot.plotting_area();
    let open = mark.fill == WHITE;
    match mark.corners() {
        None => {
            let disc = |style| Circle::new((0, 0), whole(radius), style);
            if lightly {
                let style = if open { edge } else { fill };
                return area.draw(&(EmptyElement::at(at) + disc(style)));
            }
            area.draw(&(EmptyElement::at(at) + disc(fill) + disc(edge)))
        }
        Some(corners) => {
            let corner = |c: &[f64; 2]| (whole(c[0] * radius), whole(c[1] * radius));
            let mut corners: Vec<(i32, i32)> = corners.iter().map(corner).collect();
            let inside = Polygon::new(corners.clone(), fill);
            if lightly && !open {
                return area.draw(&(EmptyElement::at(at) + inside));
            }
            corners.extend(corners.first().copied());
            if lightly {
                return area.draw(&(EmptyElement::at(at) + PathElement::new(corners, edge)));
            }
            area.draw(&(EmptyElement::at(at) + inside + PathElement::new(corners, edge)))
        }
    }
}

fn explain(plot: &mut Plot<'_, '_>, chart: &Chart, note: &Note) -> Result<(), Fault> {
    let (x, y) = (chart.across.ends, chart.up.ends);
    match note {
        Note::Level(level, _) => line(plot, &[(x.0, *level), (x.1, *level)], UPRIGHT),
        Note::Upright(at, _, stroke) => line(plot, &[(*at, y.0), (*at, y.1)], *stroke),
        Note::Ring(at, _) => {
            let ring = Circle::new((0, 0), whole(RING), INK.rgb().stroke_width(2));
            plot.plotting_area().draw(&(EmptyElement::at(*at) + ring))
        }
        Note::Words(..) | Note::Line(..) => Ok(()),
    }
}

/// The nearest whole pixel.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a place on paper, far inside the range"
)]
fn whole(pixels: f64) -> i32 {
    pixels.round() as i32
}
