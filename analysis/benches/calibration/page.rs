//! The outcomes as a table of every cell and a page of summaries.

use std::fmt::Write;

use crate::cells::{Cell, Site};
use crate::practice::{NAMES, VARIANCE};
use crate::run::{EFFECTS, Outcome, RATIOS, SEED, TESTS};

/// Every cell, one line each, shares in per cent.
pub(crate) fn csv(outcomes: &[Outcome]) -> String {
    let mut text = String::from(
        "site,treatments,blocks,samples,k,mean,block_sd,trials,false_headline,false_randomisation",
    );
    for name in NAMES {
        write!(text, ",false_{}", slug(name)).unwrap();
    }
    for ratio in RATIOS {
        write!(
            text,
            ",coverage_{ratio},power_{ratio}_headline,power_{ratio}_randomisation"
        )
        .unwrap();
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
        c.site, c.treatments, c.blocks, c.samples, c.mean, c.sd
    )
}

/// The outcome that a line of `cells.csv` holds.
pub(crate) fn read(cell: &Cell, line: &str) -> Outcome {
    let cells: Vec<&str> = line.split(',').collect();
    let share = |at: usize| cells[at].parse::<f64>().unwrap() / 100.0;
    let shares = |from: usize| std::array::from_fn(|i| share(from + i));
    // Eight cells of the key, the false claims, then for each ratio a coverage and the powers.
    let (first, each) = (8 + TESTS, 1 + TESTS);
    Outcome {
        cell: *cell,
        trials: cells[7].parse().unwrap(),
        claims: shares(8),
        covered: [share(first), share(first + each)],
        power: [shares(first + 1), shares(first + each + 1)],
        failed: cells[first + 2 * each].parse().unwrap(),
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
         Counts are negative binomial with k per sample of 0.3, 0.8, 2, 10 or infinite (Poisson), means per sample of 0.5, 2, 10 \
         and 50 in the control, block effects normal on the log scale with standard deviation 0, 0.4 and 1. The standard error \
         of a rate of 5 % is {:.2} points; the largest of hundreds of cells lies some three of them above its own truth.\n",
        env!("CARGO_PKG_VERSION"),
        trials / EFFECTS,
        outcomes.len(),
        100.0 * (0.05_f64 * 0.95 / trials as f64).sqrt()
    );
    for (site, title) in [
        (Site::Blocks, "Blocks"),
        (Site::Losses, "One plot in ten lost"),
        (Site::Field, "A correlated field"),
    ] {
        section(
            &mut text,
            title,
            &outcomes
                .iter()
                .filter(|o| o.cell.site == site)
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

/// An analysis holds its level where its false claims stay below this share in every cell of a design: the
/// promised 5 % and more than four standard errors of a cell.
const HOLDS: f64 = 0.06;

/// Power lost that is no loss.
const SPARE: f64 = 0.02;

fn section(text: &mut String, title: &str, outcomes: &[&Outcome]) {
    let mut designs: Vec<(usize, usize, usize)> = outcomes
        .iter()
        .map(|o| (o.cell.treatments, o.cell.blocks, o.cell.samples))
        .collect();
    designs.dedup();
    let by_design: Vec<Vec<&Outcome>> = designs
        .iter()
        .map(|d| {
            let here = |o: &&&Outcome| (o.cell.treatments, o.cell.blocks, o.cell.samples) == *d;
            outcomes.iter().filter(here).copied().collect()
        })
        .collect();
    claims(text, title, &by_design);
    coverage(text, &by_design);
    power(text, &by_design);
}

fn named(here: &[&Outcome]) -> String {
    here.first().map_or_else(String::new, |o| {
        format!(
            "{} x {} x {}",
            o.cell.treatments, o.cell.blocks, o.cell.samples
        )
    })
}

fn claims(text: &mut String, title: &str, by_design: &[Vec<&Outcome>]) {
    write!(
        text,
        "\n## {title}\n\nFalse claims in per cent, worst cell (mean over cells):\n\n\
         | treatments x blocks x samples | headline | randomisation test |"
    )
    .unwrap();
    for name in NAMES {
        write!(text, " {name} |").unwrap();
    }
    text.push_str("\n|---|---|---|---|---|---|---|---|---|---|\n");
    for here in by_design {
        write!(text, "| {} |", named(here)).unwrap();
        for method in 0..TESTS {
            let (worst, mean) = summary(here.iter().map(|o| o.claims[method]), f64::max);
            if method == 1 && here[0].cell.treatments > 2 {
                text.push_str(" |");
            } else {
                write!(text, " {worst:.1} ({mean:.1}) |").unwrap();
            }
        }
        text.push('\n');
    }
}

/// Smallest total that a treatment must lead to expect, over all its plots, for its ratio to be called
/// defined: with five, an empty treatment turns up less than once in a hundred trials.
const DEFINED: f64 = 5.0;

fn coverage(text: &mut String, by_design: &[Vec<&Outcome>]) {
    text.push_str(
        "\nCoverage of the headline interval in per cent. Where the treatment leads to expect a total of five or more in all its \
         plots together: lowest, mean and highest cell, and how many of the cells lie outside 93.5 to 97. Where it \
         leads to expect fewer, most trials end with a total of one or two and the interval can hardly err: the lowest cell. Of several treatments all intervals together must hold.\n\n\
         | treatments x blocks x samples | ratio | lowest | mean | highest | outside | fewer than five: lowest |\n\
         |---|---|---|---|---|---|---|\n",
    );
    for here in by_design {
        for (at, ratio) in RATIOS.iter().enumerate() {
            let expected = |o: &Outcome| {
                let c = &o.cell;
                // Log-normal blocks lift the mean.
                let lift = (0.5 * c.sd * c.sd).exp();
                c.mean * ratio * lift * (c.blocks * c.samples) as f64
            };
            let defined = |o: &&&Outcome| expected(o) >= DEFINED;
            let of = |o: &&Outcome| o.covered[at];
            let (low, mean) = summary(here.iter().filter(defined).map(of), f64::min);
            let (high, _) = summary(here.iter().filter(defined).map(of), f64::max);
            let outside = here
                .iter()
                .filter(defined)
                .filter(|o| !(0.935..=0.97).contains(&o.covered[at]))
                .count();
            let (sparse, _) = summary(here.iter().filter(|o| !defined(o)).map(of), f64::min);
            let of_all = here.iter().filter(defined).count();
            writeln!(
                text,
                "| {} | {ratio} | {low:.1} | {mean:.1} | {high:.1} | {outside} of {of_all} | {} |",
                named(here),
                if of_all < here.len() {
                    format!("{sparse:.1}")
                } else {
                    String::new()
                }
            )
            .unwrap();
        }
    }
}

fn power(text: &mut String, by_design: &[Vec<&Outcome>]) {
    text.push_str(
        "\nPower to find the one treatment that works, in per cent. The rival is the best of the common analyses in each cell, of those \
         that make at most 6 % false claims in every cell of the design: whoever counts does not know in which cell his trial \
         lies. Of four treatments only the analyses of variance, with Dunnett's comparisons, ask the same. `picked` takes instead those that hold 5.5 % in that one cell, \
         a Poisson test among them where counts are Poisson; no test that holds its level for other counts too can follow there.\n\n\
         | treatments x blocks x samples | ratio | headline, mean | rival, mean | more than 2 behind | most behind | randomisation test, mean | picked, mean | more than 2 behind |\n\
         |---|---|---|---|---|---|---|---|---|\n",
    );
    for here in by_design {
        let two = here[0].cell.treatments == 2;
        let asked = 2..if two { TESTS } else { 2 + VARIANCE };
        let holds = |m: &usize| here.iter().all(|o| o.claims[*m] <= HOLDS);
        let fair: Vec<usize> = asked.clone().filter(holds).collect();
        for (at, ratio) in RATIOS.iter().enumerate() {
            let rival = |o: &Outcome| fair.iter().map(|&m| o.power[at][m]).fold(0.0, f64::max);
            let picked = |o: &Outcome| {
                asked
                    .clone()
                    .filter(|&m| o.claims[m] <= 0.055)
                    .map(|m| o.power[at][m])
                    .fold(0.0, f64::max)
            };
            let own = |o: &Outcome| o.power[at][0];
            let mean =
                |of: &dyn Fn(&Outcome) -> f64| summary(here.iter().map(|o| of(o)), f64::max).1;
            let behind = |of: &dyn Fn(&Outcome) -> f64| {
                here.iter().filter(|o| own(o) < of(o) - SPARE).count()
            };
            let (most, _) = summary(here.iter().map(|o| rival(o) - own(o)), f64::max);
            writeln!(
                text,
                "| {} | {ratio} | {:.1} | {:.1} | {} of {} | {most:.1} | {} | {:.1} | {} |",
                named(here),
                mean(&own),
                mean(&rival),
                behind(&rival),
                here.len(),
                if two {
                    format!("{:.1}", mean(&|o| o.power[at][1]))
                } else {
                    String::new()
                },
                mean(&picked),
                behind(&picked),
            )
            .unwrap();
        }
    }
}

/// Extreme and mean, in per cent.
fn summary(shares: impl Iterator<Item = f64>, extreme: fn(f64, f64) -> f64) -> (f64, f64) {
    let all: Vec<f64> = shares.map(|s| 100.0 * s).collect();
    let end = all.iter().copied().reduce(extreme).unwrap_or(0.0);
    (end, all.iter().sum::<f64>() / all.len() as f64)
}
