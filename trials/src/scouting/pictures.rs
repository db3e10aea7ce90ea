//! Stop-line chart, and what the lines do, as SVG.

use super::stop_line::{Kind, StopLine, StopLines};
use crate::Error;
use crate::drawing::FigureData;
use crate::drawing::chart::{Axis, Chart, Curve, Layer, Note, UPRIGHT};
use crate::drawing::paper::Words;

/// Most cores at which each is marked; beyond, marks would touch.
const MOST_MARKED: usize = 30;

/// The stop lines as the crew reads them: totals against cores.
///
/// # Errors
/// A fault of the drawing library.
pub fn stop_line_chart(answer: &StopLines) -> Result<String, Error> {
    lines(answer).draw()
}

/// The numbers behind [`stop_line_chart`].
#[must_use]
pub fn stop_line_data(answer: &StopLines) -> FigureData {
    lines(answer).data()
}

fn lines(answer: &StopLines) -> Chart {
    let precise = answer.request.kind == Kind::Green;
    let top = top(answer, precise);
    let side = |value: fn(&StopLine) -> Option<u64>| -> Vec<(f64, f64)> {
        let each = answer.lines.iter();
        each.filter_map(|l| value(l).map(|v| (l.n as f64, v as f64)))
            .filter(|p| p.1 <= top)
            .collect()
    };
    let upper = if precise {
        "stop: sure enough"
    } else {
        "stop: act"
    };
    let curves = [
        (upper, side(|l| l.stop_at_or_above)),
        ("stop: clean", side(|l| l.stop_at_or_below)),
    ];
    let told = format!(
        "Total count against cores. {}",
        super::card::sentences(answer).join(" ")
    );
    let mut chart = Chart::new(
        Words::new("stop-lines", "When to stop counting", &told, &[]),
        Axis::whole("cores counted", (0.0, answer.lines.len() as f64 + 1.0), 8),
        Axis::whole(
            if answer.request.tally.is_some() {
                "occupied cores"
            } else {
                "total counted"
            },
            (0.0, top),
            8,
        ),
    );
    chart.layers = curves
        .into_iter()
        .enumerate()
        .filter(|(_, c)| !c.1.is_empty())
        .map(|(i, (name, points))| {
            let curve = Curve::series(i, name, points);
            Layer::Curve(if answer.lines.len() <= MOST_MARKED {
                curve
            } else {
                curve.unmarked()
            })
        })
        .collect();
    chart.notes = vec![Note::Words(between(answer), "go on".to_owned())];
    if precise {
        let above = |l: &StopLine| (l.n as f64, f64::midpoint(height(l), top));
        let places = middle_first(answer).map(above).collect();
        chart.notes.push(Note::Words(places, "stop".to_owned()));
    }
    chart
}

/// Places between the lines, those in the middle of the chart first.
fn between(answer: &StopLines) -> Vec<(f64, f64)> {
    let middle = |l: &StopLine| {
        let low = l.stop_at_or_below.unwrap_or(0) as f64;
        (l.n as f64, f64::midpoint(low, height(l)))
    };
    middle_first(answer).map(middle).collect()
}

/// The upper line at so many cores.
fn height(line: &StopLine) -> f64 {
    line.stop_at_or_above.unwrap_or(0) as f64
}

/// The lines from five eighths of the cores on, then those before.
fn middle_first(answer: &StopLines) -> impl Iterator<Item = &StopLine> {
    let (before, after) = answer.lines.split_at(answer.lines.len() * 5 / 8);
    after.iter().chain(before.iter().rev())
}

/// Top of the chart: the highest line, or for a precision plan, whose line starts far above any total
/// that will be seen, a little above where it has come to after a sixth of the cores.
fn top(answer: &StopLines, precise: bool) -> f64 {
    let ends = || answer.lines.iter().filter_map(|l| l.stop_at_or_above);
    let height = if precise {
        ends().nth(answer.lines.len() / 6).or(ends().next_back())
    } else {
        ends().max()
    };
    1.1 * height.unwrap_or(1) as f64
}

/// Chance of each call against the true mean.
///
/// # Errors
/// A fault of the drawing library.
pub fn operating_characteristic(answer: &StopLines) -> Result<String, Error> {
    chances(answer).draw()
}

/// The numbers behind [`operating_characteristic`].
#[must_use]
pub fn operating_characteristic_data(answer: &StopLines) -> FigureData {
    chances(answer).data()
}

fn chances(answer: &StopLines) -> Chart {
    let precise = answer.request.kind == Kind::Green;
    let (title, name) = if precise {
        ("Chance of ending precise enough", "precise")
    } else {
        ("Chance of being called clean", "called clean")
    };
    let told = means_in_words(
        answer.oc.iter().map(|p| (p.mean, 100.0 * p.probability)),
        "%",
    );
    against_mean(
        answer,
        Words::new("stop-chances", title, &told, &[]),
        Axis::percent("chance", (0.0, 1.0), 10),
        name,
        answer.oc.iter().map(|p| (p.mean, p.probability)).collect(),
    )
}

/// Cores used on average against the true mean.
///
/// # Errors
/// A fault of the drawing library.
pub fn average_sample_number(answer: &StopLines) -> Result<String, Error> {
    sample_numbers(answer).draw()
}

/// The numbers behind [`average_sample_number`].
#[must_use]
pub fn average_sample_number_data(answer: &StopLines) -> FigureData {
    sample_numbers(answer).data()
}

fn sample_numbers(answer: &StopLines) -> Chart {
    let top = answer.asn.iter().map(|p| p.n).fold(1.0, f64::max);
    let told = means_in_words(answer.asn.iter().map(|p| (p.mean, p.n)), "cores");
    against_mean(
        answer,
        Words::new("stop-cores", "Cores used on average", &told, &[]),
        Axis::numbers("cores", (0.0, 1.15 * top), 6),
        "cores used",
        answer.asn.iter().map(|p| (p.mean, p.n)).collect(),
    )
}

/// One curve over the true mean, with the two levels.
fn against_mean(
    answer: &StopLines,
    words: Words,
    up: Axis,
    name: &str,
    points: Vec<(f64, f64)>,
) -> Chart {
    let end = points.last().map_or(1.0, |p| p.0);
    let across = Axis::numbers("true mean per core", (0.0, end), 8);
    let mut chart = Chart::new(words, across, up);
    chart.layers = vec![Layer::Curve(Curve::series(0, name, points).unmarked())];
    if answer.request.kind != Kind::Green {
        chart.notes = [
            (answer.request.low, "lower level"),
            (answer.request.high, "upper level"),
        ]
        .map(|(at, name)| Note::Upright(at, name.to_owned(), UPRIGHT))
        .into();
    }
    chart
}

fn means_in_words(points: impl Iterator<Item = (f64, f64)>, unit: &str) -> String {
    let words: Vec<String> = points
        .map(|(mean, value)| format!("mean {mean:.2}: {value:.1} {unit}"))
        .collect();
    words.join("; ")
}
