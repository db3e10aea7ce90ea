//! Stop-line chart, and what the lines do, as SVG.

use super::stop_line::{Kind, StopLines};
use crate::Error;
use crate::drawing::chart::{Curve, Frame, Note, draw};

/// The stop lines as the crew reads them: totals against cores.
///
/// # Errors
/// A fault of the drawing library.
pub fn stop_line_chart(answer: &StopLines) -> Result<String, Error> {
    let side = |name: &str, value: &dyn Fn(&super::stop_line::StopLine) -> Option<u64>| Curve {
        name: name.to_owned(),
        points: answer
            .lines
            .iter()
            .filter_map(|l| value(l).map(|v| (l.n as f64, v as f64)))
            .collect(),
        markers: answer.lines.len() <= 40,
    };
    let precise = answer.wish.kind == Kind::Green;
    let upper = side(
        if precise {
            "stop: sure enough"
        } else {
            "stop: act"
        },
        &|l| l.stop_at_or_above,
    );
    let lower = side("stop: clean", &|l| l.stop_at_or_below);
    let top = top(answer, precise);
    let place = (answer.lines.len() * 5 / 8).max(1);
    let there = answer.lines.get(place - 1);
    let low = there.and_then(|l| l.stop_at_or_below).unwrap_or(0) as f64;
    let high = there.and_then(|l| l.stop_at_or_above).unwrap_or(0) as f64;
    let middle = place as f64;
    let mut notes = vec![Note::Words(
        (middle, 0.5 * (low + high)),
        "go on".to_owned(),
    )];
    if precise {
        notes.push(Note::Words((middle, 0.5 * (high + top)), "stop".to_owned()));
    }
    let curves: Vec<Curve> = [upper, lower]
        .into_iter()
        .map(|mut c| {
            c.points.retain(|p| p.1 <= top);
            c
        })
        .filter(|c| !c.points.is_empty())
        .collect();
    let frame = Frame {
        title: "When to stop counting".to_owned(),
        description: format!(
            "Total count against cores. {}",
            super::card::sentences(answer).join(" ")
        ),
        across: "cores counted",
        up: if answer.wish.tally.is_some() {
            "occupied cores"
        } else {
            "total counted"
        },
        percent: false,
        x: (0.0, answer.lines.len() as f64 + 1.0),
        y: (0.0, top),
    };
    draw(&frame, &curves, &notes)
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
    let precise = answer.wish.kind == Kind::Green;
    let name = if precise { "precise" } else { "called clean" };
    let curve = Curve {
        name: name.to_owned(),
        points: answer.oc.iter().map(|p| (p.mean, p.probability)).collect(),
        markers: false,
    };
    let frame = Frame {
        title: if precise {
            "Chance of ending precise enough"
        } else {
            "Chance of being called clean"
        }
        .to_owned(),
        description: means_in_words(
            answer.oc.iter().map(|p| (p.mean, 100.0 * p.probability)),
            "%",
        ),
        across: "true mean per core",
        up: "chance",
        percent: true,
        x: (0.0, answer.oc.last().map_or(1.0, |p| p.mean)),
        y: (0.0, 1.0),
    };
    draw(&frame, &[curve], &levels(answer))
}

/// Cores used on average against the true mean.
///
/// # Errors
/// A fault of the drawing library.
pub fn average_sample_number(answer: &StopLines) -> Result<String, Error> {
    let top = answer.asn.iter().map(|p| p.n).fold(1.0, f64::max);
    let curve = Curve {
        name: "cores used".to_owned(),
        points: answer.asn.iter().map(|p| (p.mean, p.n)).collect(),
        markers: false,
    };
    let frame = Frame {
        title: "Cores used on average".to_owned(),
        description: means_in_words(answer.asn.iter().map(|p| (p.mean, p.n)), "cores"),
        across: "true mean per core",
        up: "cores",
        percent: false,
        x: (0.0, answer.asn.last().map_or(1.0, |p| p.mean)),
        y: (0.0, 1.15 * top),
    };
    draw(&frame, &[curve], &levels(answer))
}

fn levels(answer: &StopLines) -> Vec<Note> {
    if answer.wish.kind == Kind::Green {
        return Vec::new();
    }
    vec![
        Note::Upright(answer.wish.low, "lower level".to_owned()),
        Note::Upright(answer.wish.high, "upper level".to_owned()),
    ]
}

fn means_in_words(points: impl Iterator<Item = (f64, f64)>, unit: &str) -> String {
    let words: Vec<String> = points
        .map(|(mean, value)| format!("mean {mean:.2}: {value:.1} {unit}"))
        .collect();
    words.join("; ")
}
