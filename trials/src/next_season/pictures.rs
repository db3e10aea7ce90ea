//! Power curves as SVG.

use super::next_trial::{Cell, NextTrial};
use crate::Error;
use crate::drawing::FigureData;
use crate::drawing::chart::{Axis, Chart, Curve, Layer, Note};
use crate::drawing::paper::Words;

/// Power against blocks, one curve for each number of cores, the chosen plan ringed.
///
/// # Errors
/// A fault of the drawing library.
pub fn power_curves(answer: &NextTrial) -> Result<String, Error> {
    chart(answer).draw()
}

/// The numbers behind [`power_curves`]: a row for each number of blocks, a column for each number of cores.
#[must_use]
pub fn power_data(answer: &NextTrial) -> FigureData {
    chart(answer).data()
}

fn chart(answer: &NextTrial) -> Chart {
    let request = &answer.assumptions.request;
    let mut cores: Vec<usize> = answer.table.iter().map(|c| c.cores_per_plot).collect();
    cores.sort_unstable();
    cores.dedup();
    let plan = &answer.suggestion.plan;
    let terms = request.terms;
    let blocks = || answer.table.iter().map(|c| c.blocks as f64);
    let (low, high) = (
        blocks().fold(f64::INFINITY, f64::min),
        blocks().fold(0.0, f64::max),
    );
    let title = format!(
        "Chance of finding a reduction of {:.0} %",
        100.0 * request.reduction
    );
    let told = format!(
        "Power against number of {} for {} {} in each plot. {}",
        terms.blocks[1],
        list(&cores),
        terms.sample.words()[1],
        answer.suggestion.sentence
    );
    let mut chart = Chart::new(
        Words::new("power", &title, &told, &[]),
        Axis::whole(terms.plots_axis(), (low - 0.5, high + 0.5), 8),
        Axis::percent("power", (0.0, 1.0), 10),
    );
    chart.layers = cores
        .iter()
        .enumerate()
        .map(|(i, &n)| Layer::Curve(Curve::series(i, terms.samples(n), power(answer, n))))
        .collect();
    // On the curve, although the plan's own power was worked out anew.
    let here = |c: &&Cell| (c.blocks, c.cores_per_plot) == (plan.blocks, plan.cores_per_plot);
    let height = answer
        .table
        .iter()
        .find(here)
        .map_or(plan.power, |c| c.power);
    let ring = format!(
        "{}, {}",
        terms.counted(terms.design_blocks(plan.blocks)),
        terms.samples(plan.cores_per_plot)
    );
    chart.notes = vec![
        Note::Level(
            request.power,
            format!("wished: {:.0} %", 100.0 * request.power),
        ),
        Note::Ring((plan.blocks as f64, height), ring),
    ];
    chart
}

/// Power at each number of blocks with so many cores in a plot.
fn power(answer: &NextTrial, cores: usize) -> Vec<(f64, f64)> {
    answer
        .table
        .iter()
        .filter(|c| c.cores_per_plot == cores)
        .map(|c| (c.blocks as f64, c.power))
        .collect()
}

fn list(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    words.join(", ")
}
