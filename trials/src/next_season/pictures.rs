//! Power curves as SVG.

use super::next_trial::NextTrial;
use super::sample_size_request::PlanSize;
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
    let plan = &answer.suggestion.plan;
    let terms = request.terms;
    let drawn = drawn(answer);
    let mut cores: Vec<usize> = drawn.powers.iter().map(|p| p.0.cores_per_plot).collect();
    cores.sort_unstable();
    cores.dedup();
    let blocks = || drawn.powers.iter().map(|p| p.0.blocks as f64);
    let (low, high) = (
        blocks().fold(f64::INFINITY, f64::min),
        blocks().fold(0.0, f64::max),
    );
    let title = format!(
        "Chance of finding a reduction of {:.0} %{}",
        100.0 * request.reduction,
        drawn.how
    );
    let told = format!(
        "Power{} against number of {} for {} {} in each plot. {}",
        drawn.how,
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
    let curve = |n: usize| {
        let of = drawn.powers.iter().filter(|p| p.0.cores_per_plot == n);
        of.map(|p| (p.0.blocks as f64, p.1)).collect()
    };
    chart.layers = cores
        .iter()
        .enumerate()
        .map(|(i, &n)| Layer::Curve(Curve::series(i, terms.samples(n), curve(n))))
        .collect();
    let ring = format!(
        "{}, {}{}",
        terms.counted(terms.design_blocks(plan.blocks)),
        terms.samples(plan.cores_per_plot),
        drawn.ring
    );
    chart.notes = vec![
        Note::Level(
            request.power,
            format!("wished: {:.0} %", 100.0 * request.power),
        ),
        Note::Ring((plan.blocks as f64, drawn.height), ring),
    ];
    chart
}

/// What the curves are drawn from.
struct Drawn {
    powers: Vec<(PlanSize, f64)>,
    /// Height of the ring about the chosen plan.
    height: f64,
    /// How the powers were worked out, where they were not simulated.
    how: &'static str,
    /// The same of the ring.
    ring: &'static str,
}

/// The simulated powers of all plans, or those by formula where only some were simulated.
fn drawn(answer: &NextTrial) -> Drawn {
    let plan = &answer.suggestion.plan;
    if answer.table.len() < answer.by_formula.len() {
        return Drawn {
            powers: answer.by_formula.clone(),
            height: plan.power,
            how: ", by formula",
            ring: " (simulated)",
        };
    }
    let powers = answer.table.iter().map(|c| (c.size(), c.power));
    // On the curve, although the plan's own power was worked out anew.
    let here = answer.table.iter().find(|c| c.size() == plan.size());
    Drawn {
        powers: powers.collect(),
        height: here.map_or(plan.power, |c| c.power),
        how: "",
        ring: "",
    }
}

fn list(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    words.join(", ")
}
