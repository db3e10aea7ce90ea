//! Counts as bars, with what two laws would have given.

use maud::Markup;

use crate::Error;
use crate::description::Bar;
use crate::drawing::FigureData;
use crate::drawing::chart::{Axis, Chart, Curve, Layer, Stroke, Tick, bar_sample, sample};
use crate::drawing::key::Entry;
use crate::drawing::mark::Mark;
use crate::drawing::palette::{BLUE, VERMILION, WHITE};
use crate::drawing::paper::Words;

/// Share of its step that a bar takes.
const BAR: f64 = 0.8;

/// Draws the bars as one SVG document; `animals` and `units` name the axes.
///
/// # Errors
/// A fault of the drawing library.
pub fn frequencies(bars: &[Bar], animals: &str, units: &str) -> Result<String, Error> {
    chart(bars, animals, units).draw()
}

/// The numbers behind [`frequencies`].
#[must_use]
pub fn frequency_data(bars: &[Bar], units: &str) -> FigureData {
    let mut data = FigureData::new(&["from", "to", units, "poisson", "negative_binomial"]);
    data.rows = bars
        .iter()
        .map(|b| {
            vec![
                (b.from as f64).into(),
                (b.to as f64).into(),
                (b.observed as f64).into(),
                b.poisson.into(),
                b.negative_binomial.into(),
            ]
        })
        .collect();
    data
}

fn chart(bars: &[Bar], animals: &str, units: &str) -> Chart {
    let chance = Curve {
        name: "by chance alone (Poisson)".to_owned(),
        points: points(bars, |b| Some(b.poisson)),
        stroke: Stroke::broken(VERMILION, 2),
        mark: Some(Mark::disc(WHITE)),
    };
    let clumped = Curve {
        name: "in clumps (negative binomial)".to_owned(),
        points: points(bars, |b| b.negative_binomial),
        stroke: Stroke::full(BLUE, 2),
        mark: Some(Mark::diamond(BLUE)),
    };
    let most = bars.iter().fold(1.0_f64, |most, b| {
        most.max(b.observed as f64)
            .max(b.poisson)
            .max(b.negative_binomial.unwrap_or(0.0))
    });
    // A name under every bar, or under as many as fit.
    let tick = |(at, b): (usize, &Bar)| Tick {
        at: at as f64,
        name: vec![if b.from == b.to {
            b.from.to_string()
        } else {
            format!("{}\u{2013}{}", b.from, b.to)
        }],
    };
    let ticks = bars.iter().enumerate().map(tick).collect();
    let words = Words::new(
        "frequencies",
        "Counts found, and expected by two laws",
        &told(bars),
        &[],
    );
    let mut chart = Chart::new(
        words,
        Axis::with_ticks(animals, (-0.5, bars.len().max(1) as f64 - 0.5), ticks),
        Axis::whole(units, Axis::rounded_out((0.0, most), 5), 5),
    );
    let half = BAR / 2.0;
    let bar = |(at, b): (usize, &Bar)| (at as f64 - half, at as f64 + half, b.observed as f64);
    chart.layers = vec![Layer::Bars(bars.iter().enumerate().map(bar).collect())];
    chart.key = vec![named(bar_sample(), "found")];
    for curve in [chance, clumped] {
        if !curve.points.is_empty() {
            chart.key.push(named(sample(&curve), &curve.name));
            chart.layers.push(Layer::Curve(curve));
        }
    }
    chart
}

fn named(sample: Markup, name: &str) -> Entry {
    Entry {
        sample,
        letter: String::new(),
        name: name.to_owned(),
    }
}

/// Expected units over the middle of each bar.
fn points(bars: &[Bar], expected: fn(&Bar) -> Option<f64>) -> Vec<(f64, f64)> {
    let each = bars.iter().enumerate();
    each.filter_map(|(at, b)| expected(b).map(|e| (at as f64, e)))
        .collect()
}

/// The same numbers in words.
fn told(bars: &[Bar]) -> String {
    let entries: Vec<String> = bars
        .iter()
        .map(|b| {
            let clumped = b
                .negative_binomial
                .map_or(String::new(), |e| format!(", in clumps {e:.1}"));
            format!(
                "{} to {}: found {}, by chance {:.1}{clumped}",
                b.from, b.to, b.observed, b.poisson
            )
        })
        .collect();
    entries.join("; ")
}
