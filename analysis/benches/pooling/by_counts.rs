//! The likelihood of totals, which stands beside the average where an arm is empty: how often its interval holds the truth.
//!
//! A pool of them takes the work of a hundred others, so that fewer cells are asked and fewer pools, of the seed that chose nothing.

use std::fmt::Write as _;

use halfgreen_analysis::meta_analysis::{PoolOptions, TrialCounts, pool_counts};

use crate::clubs::{self, Cell};

/// Numbers of clubs in a pool, with the pools of each cell.
const POOLS: [(usize, usize); 3] = [(5, 200), (10, 200), (40, 100)];

/// Those clubs in which arms are empty most often, and clubs that differ; effects differ between them.
const PLOTS: [Option<(f64, f64)>; 2] = [Some((0.5, 2.0)), None];

/// What each line of `counts.csv` holds.
const HEAD: &str = "seed,k,mean,tau,ratio,clubs,pools,covered,width,bias,empty\n";

fn cells() -> impl Iterator<Item = (u64, Cell)> {
    let all = (0..).zip(clubs::cells());
    all.filter(|(_, cell)| PLOTS.contains(&cell.plots) && cell.tau > 0.0)
}

/// Simulates every cell; a line for each number of clubs. Of those that stand in `kept` already the lines are taken.
pub(crate) fn run(kept: &str, seed: u64, glimpse: bool, told: impl Fn(&str)) -> String {
    let pools = POOLS.map(|(clubs, pools)| (clubs, if glimpse { 1 } else { pools }));
    let mut text = HEAD.to_owned();
    for (place, cell) in cells().step_by(if glimpse { 6 } else { 1 }) {
        let start = format!("{seed},{},", cell.key());
        let before: Vec<&str> = kept.lines().filter(|l| l.starts_with(&start)).collect();
        if before.len() == POOLS.len() {
            for line in before {
                writeln!(text, "{line}").unwrap();
            }
            continue;
        }
        let most = pools.iter().map(|(clubs, pools)| clubs * pools).max();
        let drawn = clubs::draw(&cell, place, most.unwrap_or(0) as u64, seed);
        let totals: Vec<TrialCounts> = drawn.iter().map(|club| club.totals).collect();
        for (clubs, pools) in pools {
            text.push_str(&start);
            text.push_str(&line(&cell, &totals[..clubs * pools], clubs));
        }
        told(&text);
    }
    text
}

fn line(cell: &Cell, totals: &[TrialCounts], clubs: usize) -> String {
    let truth = cell.ratio.ln();
    let (mut covered, mut width, mut bias, mut ended) = (0_u32, 0.0, 0.0, 0_u32);
    for some in totals.chunks_exact(clubs) {
        let found = pool_counts(some, &PoolOptions::default()).unwrap();
        covered += u32::from(found.low <= truth && truth <= found.high);
        if let Some(effect) = found.effect.filter(|e| e.is_finite()) {
            bias += effect - truth;
            width += found.high - found.low;
            ended += 1;
        }
    }
    let empty = totals
        .iter()
        .filter(|t| t.treated.count == 0 || t.control.count == 0);
    let pools = totals.len() / clubs;
    let (share, ended) = (f64::from(covered) / pools as f64, f64::from(ended));
    format!(
        "{clubs},{pools},{share:.5},{:.4},{:.4},{:.4}\n",
        width / ended,
        bias / ended,
        empty.count() as f64 / totals.len() as f64
    )
}

/// The part of the page that tells of them.
pub(crate) fn markdown(csv: &str) -> String {
    let mut text = String::from(
        "\n## The likelihood of totals\n\nWhere an arm of some club is empty, `pool` gives beside its average the one by the likelihood of both arms' totals (`pool_counts`), \
         empty arms among them. k counts as known there, and blocks as alike. Simulated for the clubs in which arms are empty most often and for clubs \
         that differ, with every club in the pool, k as each club's headline model estimates it; the seed chose nothing. The lines stand in `counts.csv`. Coverage of the average log ratio \
         by 95 % intervals, in per cent.\n\n| clubs | lowest cell | mean | highest cell | pools of a cell | mean width |\n|---|---|---|---|---|---|\n",
    );
    let rows: Vec<Vec<&str>> = csv
        .lines()
        .skip(1)
        .map(|l| l.split(',').collect())
        .collect();
    let number = |cells: &[&str], at: usize| cells[at].parse::<f64>().unwrap();
    for (clubs, pools) in POOLS {
        let of: Vec<&Vec<&str>> = rows
            .iter()
            .filter(|cells| number(cells, 5) == clubs as f64)
            .collect();
        let covered: Vec<f64> = of.iter().map(|cells| 100.0 * number(cells, 7)).collect();
        let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
        let widths: Vec<f64> = of.iter().map(|cells| number(cells, 8)).collect();
        writeln!(
            text,
            "| {clubs} | {:.1} | {:.1} | {:.1} | {pools} | {:.2} |",
            covered.iter().copied().fold(f64::INFINITY, f64::min),
            mean(&covered),
            covered.iter().copied().fold(0.0, f64::max),
            mean(&widths)
        )
        .unwrap();
    }
    text.push_str("\n| k | mean | tau | ratio | clubs | covers | standard error | bias | clubs with an empty arm, % |\n|---|---|---|---|---|---|---|---|---|\n");
    for cells in &rows {
        let (pools, share) = (number(cells, 6), number(cells, 7));
        writeln!(
            text,
            "| {} | {} | {} | {} | {} | {:.1} | {:.1} | {} | {:.1} |",
            cells[1],
            cells[2],
            cells[3],
            cells[4],
            cells[5],
            100.0 * share,
            100.0 * (share * (1.0 - share) / pools).sqrt(),
            cells[9],
            100.0 * number(cells, 10)
        )
        .unwrap();
    }
    text
}
