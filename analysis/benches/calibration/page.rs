//! The outcomes as a table of every cell and a page of summaries.

use std::fmt::Write;

use crate::cells::{Cell, Ground};
use crate::practice::NAMES;
use crate::run::{EFFECTS, Outcome, RATIOS, SEED};

/// Every cell, one line each, shares in per cent.
pub(crate) fn csv(outcomes: &[Outcome]) -> String {
    let mut text =
        String::from("ground,treatments,blocks,cores,k,mean,block_sd,trials,false_headline");
    for name in NAMES {
        write!(text, ",false_{}", slug(name)).unwrap();
    }
    for ratio in RATIOS {
        write!(text, ",coverage_{ratio},power_{ratio}_headline").unwrap();
        for name in NAMES {
            write!(text, ",power_{ratio}_{}", slug(name)).unwrap();
        }
    }
    text.push_str(",unsettled\n");
    for o in outcomes {
        text.push_str(key(&o.cell, o.trials).trim_end_matches(','));
        for share in o.claims {
            write!(text, ",{:.2}", 100.0 * share).unwrap();
        }
        for at in 0..RATIOS.len() {
            write!(text, ",{:.2}", 100.0 * o.covered[at]).unwrap();
            for share in o.power[at] {
                write!(text, ",{:.2}", 100.0 * share).unwrap();
            }
        }
        writeln!(text, ",{}", o.failed).unwrap();
    }
    text
}

/// How the line of a cell begins.
pub(crate) fn key(c: &Cell, trials: u64) -> String {
    let k = if c.k.is_infinite() {
        "poisson".to_owned()
    } else {
        c.k.to_string()
    };
    format!(
        "{:?},{},{},{},{k},{},{},{trials},",
        c.ground, c.treatments, c.blocks, c.cores, c.mean, c.sd
    )
}

/// The outcome that a line of `cells.csv` holds.
pub(crate) fn read(cell: &Cell, line: &str) -> Outcome {
    let cells: Vec<&str> = line.split(',').collect();
    let share = |at: usize| cells[at].parse::<f64>().unwrap() / 100.0;
    let shares = |from: usize| std::array::from_fn(|i| share(from + i));
    // Eight cells of the key, eight false claims, then for each ratio a coverage and eight powers.
    Outcome {
        cell: *cell,
        trials: cells[7].parse().unwrap(),
        claims: shares(8),
        covered: [share(16), share(25)],
        power: [shares(17), shares(26)],
        failed: cells[34].parse().unwrap(),
    }
}

fn slug(name: &str) -> String {
    name.to_lowercase()
        .replace(|c: char| !c.is_ascii_alphanumeric(), "_")
}

/// The page: what was run, then worst and mean by design.
pub(crate) fn markdown(outcomes: &[Outcome], trials: u64) -> String {
    let mut text = format!(
        "# What 5 % and 95 % are worth\n\n\
         Written by `cargo bench -p halfgreen-analysis --bench calibration`, version {}, seed {SEED}, {trials} \
         trials without effect and {} at each effect in every one of {} cells. Every cell stands in `cells.csv`.\n\n\
         Counts are negative binomial with k per core of 0.3, 0.8, 2, 10 or infinite (Poisson), means per core of 0.5, 2, 10 \
         and 50 in the control, block effects normal on the log scale with standard deviation 0, 0.4 and 1. The standard error \
         of a rate of 5 % is {:.2} points; the largest of hundreds of cells lies some three of them above its own truth.\n",
        env!("CARGO_PKG_VERSION"),
        trials / EFFECTS,
        outcomes.len(),
        100.0 * (0.05_f64 * 0.95 / trials as f64).sqrt()
    );
    for (ground, title) in [
        (Ground::Blocks, "Blocks"),
        (Ground::Losses, "One plot in ten lost"),
        (Ground::Field, "A correlated field"),
    ] {
        section(
            &mut text,
            title,
            &outcomes
                .iter()
                .filter(|o| o.cell.ground == ground)
                .collect::<Vec<_>>(),
        );
    }
    let unsettled: u64 = outcomes.iter().map(|o| o.failed).sum();
    let total: u64 = outcomes
        .iter()
        .map(|o| o.trials + 2 * (o.trials / EFFECTS))
        .sum();
    write!(text, "\n## Searches\n\n{unsettled} of {total} simulated trials ended in a search that did not settle.\n").unwrap();
    text
}

fn section(text: &mut String, title: &str, outcomes: &[&Outcome]) {
    write!(
        text,
        "\n## {title}\n\nFalse claims in per cent, worst cell (mean over cells):\n\n"
    )
    .unwrap();
    write!(text, "| treatments x blocks x cores | headline |").unwrap();
    for name in NAMES {
        write!(text, " {name} |").unwrap();
    }
    text.push_str("\n|---|---|---|---|---|---|---|---|---|\n");
    let mut designs: Vec<(usize, usize, usize)> = outcomes
        .iter()
        .map(|o| (o.cell.treatments, o.cell.blocks, o.cell.cores))
        .collect();
    designs.dedup();
    let of = |d: &(usize, usize, usize)| {
        outcomes
            .iter()
            .filter(|o| (o.cell.treatments, o.cell.blocks, o.cell.cores) == *d)
            .copied()
            .collect::<Vec<_>>()
    };
    for d in &designs {
        let here = of(d);
        write!(text, "| {} x {} x {} |", d.0, d.1, d.2).unwrap();
        for method in 0..8 {
            let (worst, mean) = summary(here.iter().map(|o| o.claims[method]), f64::max);
            write!(text, " {worst:.1} ({mean:.1}) |").unwrap();
        }
        text.push('\n');
    }
    text.push_str(
        "\nThe headline interval and its power. Beside it the best of the common analyses among those that hold 5.5 % in \
         the same cell, and the share of cells in which the headline finds the effect more than 2 points less often than \
         that best (two treatments only; the common analyses of four look for any difference):\n\n\
         | treatments x blocks x cores | ratio | coverage, lowest - highest | power, mean | best calibrated, mean | cells more than 2 behind |\n\
         |---|---|---|---|---|---|\n",
    );
    for d in &designs {
        for (at, ratio) in RATIOS.iter().enumerate() {
            let here = of(d);
            let (low, _) = summary(here.iter().map(|o| o.covered[at]), f64::min);
            let (high, _) = summary(here.iter().map(|o| o.covered[at]), f64::max);
            let (_, power) = summary(here.iter().map(|o| o.power[at][0]), f64::max);
            let best = |o: &Outcome| {
                (1..8)
                    .filter(|&m| o.claims[m] <= 0.055)
                    .map(|m| o.power[at][m])
                    .fold(0.0, f64::max)
            };
            let (_, rival) = summary(here.iter().map(|o| best(o)), f64::max);
            let behind = here
                .iter()
                .filter(|o| o.power[at][0] < best(o) - 0.02)
                .count();
            write!(
                text,
                "| {} x {} x {} | {ratio} | {low:.1} - {high:.1} | {power:.1} |",
                d.0, d.1, d.2
            )
            .unwrap();
            if d.0 == 2 {
                writeln!(text, " {rival:.1} | {behind} of {} |", here.len()).unwrap();
            } else {
                text.push_str(" | |\n");
            }
        }
    }
}

/// Extreme and mean, in per cent.
fn summary(shares: impl Iterator<Item = f64>, extreme: fn(f64, f64) -> f64) -> (f64, f64) {
    let all: Vec<f64> = shares.map(|s| 100.0 * s).collect();
    let end = all.iter().copied().reduce(extreme).unwrap_or(0.0);
    (end, all.iter().sum::<f64>() / all.len() as f64)
}
