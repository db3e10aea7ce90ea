//! Power curves as SVG.

use super::next_trial::{Cell, NextTrial};
use crate::Error;
use crate::drawing::chart::{Curve, Frame, Note, draw};

/// Power against blocks, one curve for each number of cores, the chosen plan ringed.
///
/// # Errors
/// A fault of the drawing library.
pub fn power_curves(answer: &NextTrial) -> Result<String, Error> {
    let wish = &answer.assumptions.wish;
    let mut cores: Vec<usize> = answer.table.iter().map(|c| c.cores_per_plot).collect();
    cores.sort_unstable();
    cores.dedup();
    let curves: Vec<Curve> = cores
        .iter()
        .map(|&n| Curve {
            name: format!("{n} {}", if n == 1 { "core" } else { "cores" }),
            points: answer
                .table
                .iter()
                .filter(|c| c.cores_per_plot == n)
                .map(|c| (c.blocks as f64, c.power))
                .collect(),
            markers: true,
        })
        .collect();
    let plan = &answer.suggestion.plan;
    let blocks = || answer.table.iter().map(|c| c.blocks as f64);
    let (low, high) = (
        blocks().fold(f64::INFINITY, f64::min),
        blocks().fold(0.0, f64::max),
    );
    let frame = Frame {
        title: format!(
            "Chance of finding a reduction of {:.0} %",
            100.0 * wish.reduction
        ),
        description: format!(
            "Power against number of blocks for {} cores in each plot. {}",
            list(&cores),
            answer.suggestion.sentence
        ),
        across: "blocks",
        up: "power",
        percent: true,
        x: (low - 0.5, high + 0.5),
        y: (0.0, 1.0),
    };
    // On the curve, although the plan's own power was worked out anew.
    let here = |c: &&Cell| (c.blocks, c.cores_per_plot) == (plan.blocks, plan.cores_per_plot);
    let height = answer
        .table
        .iter()
        .find(here)
        .map_or(plan.power, |c| c.power);
    let ring = format!("{} blocks, {} cores", plan.blocks, plan.cores_per_plot);
    let notes = [
        Note::Level(wish.power, format!("wished: {:.0} %", 100.0 * wish.power)),
        Note::Ring((plan.blocks as f64, height), ring),
    ];
    draw(&frame, &curves, &notes)
}

fn list(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    words.join(", ")
}
