//! The funnel: the surer a trial, the higher it stands; where nothing but chance parts trials, they lie evenly about the average.

use halfgreen_analysis::distributions::normal_quantile;

use super::super::figures::Figure;
use super::super::figures::ratio_axis::{per_cent, ticks_of};
use crate::Error;
use crate::association::MethodAnswer;
use crate::drawing::FigureData;
use crate::drawing::chart::{Axis, Chart, Layer, Note, Stroke, Tick};
use crate::drawing::mark::Mark;
use crate::drawing::palette::{BAND, BLUE, INK};
use crate::drawing::paper::Words;

/// Share of trials that would lie between the sides of the funnel, were they parted by chance alone.
const LEVEL: f64 = 0.95;

/// Radius of a mark, and the number of marks up to which they have it.
const RADIUS: f64 = 4.5;
const MARKS: f64 = 200.0;

/// The funnel of a method; nothing where fewer than two trials have a standard error.
pub(super) fn figure_of(answer: &MethodAnswer) -> Result<Option<Figure>, Error> {
    let points: Vec<(f64, f64)> = (answer.trials.iter())
        .filter_map(|t| Some((t.effect?, t.se?)))
        .collect();
    let (Some(centre), true) = (answer.effect, points.len() > 1) else {
        return Ok(None);
    };
    let z = normal_quantile(0.5 + LEVEL / 2.0);
    let deepest = points.iter().fold(0.0_f64, |most, p| most.max(p.1)) * 1.08;
    let sides = (centre - z * deepest, centre + z * deepest);
    let ends = points
        .iter()
        .fold(sides, |(a, b), p| (a.min(p.0), b.max(p.0)));
    let margin = 0.04 * (ends.1 - ends.0);
    let ends = (ends.0 - margin, ends.1 + margin);
    let ticks = ticks_of(ends).map(|ratio| Tick {
        at: ratio.ln(),
        name: vec![per_cent(ratio)],
    });
    let mut across = Axis::with_ticks(
        "change against the control (log scale)",
        ends,
        ticks.collect(),
    );
    across.evenly = false;
    let words = Words::new(
        "funnel",
        &format!("{}: funnel of trials", answer.name),
        &format!(
            "{} trials by their effect and their standard error, the surest at the top, with the lines between which 95 per cent would lie \
             were they parted by chance alone.",
            points.len()
        ),
        &[],
    );
    let depth = Axis::numbers("standard error of the log ratio", (0.0, deepest), 4);
    let up = Axis {
        ends: (deepest, 0.0),
        ..depth
    };
    // Many marks are smaller, so that together they cover no more.
    let radius = RADIUS * (MARKS / points.len() as f64).sqrt().clamp(0.25, 1.0);
    let mut chart = Chart::new(words, across, up);
    chart.headed = false;
    chart.layers = vec![
        Layer::Area(
            vec![(centre, 0.0), (sides.0, deepest), (sides.1, deepest)],
            BAND,
        ),
        Layer::Line(
            vec![(centre, 0.0), (centre, deepest)],
            Stroke::broken(INK, 1),
        ),
        Layer::Marks(points, Mark::disc(BLUE), radius),
    ];
    chart.notes = vec![Note::Upright(
        centre,
        "average".to_owned(),
        Stroke::broken(INK, 1),
    )];
    let mut data = FigureData::new(&["trial", "effect", "se", "low", "high"]);
    data.rows = (answer.trials.iter())
        .filter_map(|t| {
            let (effect, se) = (t.effect?, t.se?);
            let reach = z * se;
            Some(vec![
                t.trial.as_str().into(),
                effect.into(),
                se.into(),
                (centre - reach).into(),
                (centre + reach).into(),
            ])
        })
        .collect();
    Ok(Some(Figure {
        name: "funnel".to_owned(),
        caption: "Each mark is one trial; the surer it is, the higher it stands. If chance alone parted them, 95 of 100 would lie in \
                  the tinted part, evenly to both sides. A funnel that lacks a side has many possible causes, of which untold trials are one."
            .to_owned(),
        svg: chart.draw()?,
        data,
    }))
}
