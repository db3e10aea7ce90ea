//! Whether the count model holds: residuals against what normal ones would be, and against the counts that the model expects.

use super::{Figure, treatment_mark};
use crate::Error;
use crate::drawing::FigureData;
use crate::drawing::chart::{Axis, Chart, Curve, Layer, Note, Stroke, sample};
use crate::drawing::key::Entry;
use crate::drawing::palette::{GREY, INK};
use crate::drawing::paper::Words;
use crate::judgement::Residuals;
use crate::report::Findings;

/// Radius of a mark, pixels.
const MARK: f64 = 4.0;
/// Between minus this and this lie 19 of 20 standard normal residuals.
const MOST: f64 = 1.96;
/// The axis of residuals reaches so far at least.
const REACH: f64 = 2.5;

/// Both figures; none where too few plots were counted to have residuals.
pub(super) fn figures(findings: &Findings<'_>) -> Result<Vec<Figure>, Error> {
    let Some(found) = &findings.judgement.diagnostics.residuals else {
        return Ok(Vec::new());
    };
    Ok(vec![quantiles(findings, found)?, scatter(findings, found)?])
}

/// Residuals in their order against what standard normal ones would be there.
fn quantiles(findings: &Findings<'_>, found: &Residuals) -> Result<Figure, Error> {
    let words = Words::new(
        "quantiles",
        "Residuals against normal ones",
        "Marks near the slanting line are residuals as the count model expects them. The text beside it says how near they lie.",
        &[],
    );
    let mut chart = chart(findings, found, (words, &found.normal_scores), |scores| {
        let reach = scores.iter().fold(REACH, |most, s| most.max(s.abs()));
        Axis::numbers("normal scores", (-reach, reach), 5)
    });
    let reach = found
        .normal_scores
        .iter()
        .fold(REACH, |most, s| most.max(s.abs()));
    let line = vec![(-reach, -reach), (reach, reach)];
    chart
        .layers
        .insert(0, Layer::Line(line, Stroke::full(GREY, 1)));
    Ok(Figure {
        name: "quantiles".to_owned(),
        caption: "Quantile residuals of every plot against normal scores. Where the count model holds they lie near the line."
            .to_owned(),
        svg: chart.draw()?,
        data: data(findings, found),
    })
}

/// Residuals against the counts that the model expects.
fn scatter(findings: &Findings<'_>, found: &Residuals) -> Result<Figure, Error> {
    let words = Words::new(
        "residuals",
        "Residuals against expected counts",
        "Marks scatter alike from left to right where the model has the overdispersion right; 19 of 20 lie between the broken lines.",
        &[],
    );
    let mut chart = chart(findings, found, (words, &found.fitted), |fitted| {
        let largest = fitted.iter().fold(1.0_f64, |most, f| most.max(*f));
        let ends = Axis::rounded_out((0.0, largest), 5);
        Axis::numbers("count that the model expects in a plot", ends, 5)
    });
    chart.notes.push(Note::Level(MOST, format!("{MOST}")));
    chart
        .notes
        .push(Note::Level(-MOST, format!("\u{2212}{MOST}")));
    Ok(Figure {
        name: "residuals".to_owned(),
        caption: "Quantile residuals of every plot against the count that the model expects there. Where the overdispersion is right they \
                  scatter alike from left to right, and 19 of 20 lie between the broken lines."
            .to_owned(),
        svg: chart.draw()?,
        data: data(findings, found),
    })
}

/// Marks by treatment, residuals upwards.
fn chart(
    findings: &Findings<'_>,
    found: &Residuals,
    (words, across): (Words, &[f64]),
    axis: impl Fn(&[f64]) -> Axis,
) -> Chart {
    let reach = found.values.iter().fold(REACH, |most, r| most.max(r.abs()));
    let up = Axis::numbers(
        "quantile residual",
        Axis::rounded_out((-reach, reach), 5),
        5,
    );
    let mut chart = Chart::new(words, axis(across), up);
    chart.headed = false;
    for (at, (treatment, name)) in findings
        .data
        .treatments
        .iter()
        .zip(&findings.data.names)
        .enumerate()
    {
        let plots = findings
            .data
            .plots
            .iter()
            .zip(across.iter().zip(&found.values));
        let own = plots.filter(|(p, _)| p.treatment == *treatment);
        let points = own.map(|(_, (x, y))| (*x, *y)).collect();
        let mark = treatment_mark(at);
        chart.layers.push(Layer::Marks(points, mark, MARK));
        chart.key.push(Entry {
            sample: sample(&Curve {
                name: String::new(),
                points: Vec::new(),
                stroke: Stroke::full(INK, 0),
                mark: Some(mark),
            }),
            letter: String::new(),
            name: name.clone(),
        });
    }
    chart
}

/// The numbers of both.
fn data(findings: &Findings<'_>, found: &Residuals) -> FigureData {
    let headings = [
        "plot",
        "treatment",
        "residual",
        "normal score",
        "expected count",
    ];
    let mut data = FigureData::new(&headings);
    let numbers = found
        .values
        .iter()
        .zip(found.normal_scores.iter().zip(&found.fitted));
    for (plot, (residual, (score, fitted))) in findings.data.plots.iter().zip(numbers) {
        data.rows.push(vec![
            plot.plot.as_str().into(),
            findings.name(&plot.treatment).into(),
            (*residual).into(),
            (*score).into(),
            (*fitted).into(),
        ]);
    }
    data
}
