//! Lines of `cells.csv`, and the page.

use std::fmt::Write as _;

use crate::SEEDS;
use crate::clubs::Cell;
use crate::ways::{CLUBS, Row, WAYS};

const HEAD: &str = "seed,k,mean,tau,ratio,clubs,way,pools,covered,covered_se,width,bias,left_out\n";

impl Row {
    /// Monte Carlo standard error of the coverage: that of one turn, which several turns only make smaller.
    fn se(&self) -> f64 {
        (self.covered * (1.0 - self.covered) / self.pools as f64).sqrt()
    }

    fn line(&self) -> String {
        format!(
            "{},{},{},{},{},{:.5},{:.5},{:.4},{:.4},{:.4}\n",
            self.seed,
            self.cell,
            self.clubs,
            self.way,
            self.pools,
            self.covered,
            self.se(),
            self.width,
            self.bias,
            self.left_out
        )
    }
}

pub(crate) fn csv(rows: &[Row]) -> String {
    rows.iter()
        .fold(HEAD.to_owned(), |text, row| text + &row.line())
}

/// Lines of a cell that stand already, if they are all there and of as many clubs.
pub(crate) fn read(kept: &str, cell: &Cell, seed: u64, clubs: u64) -> Vec<Row> {
    let start = format!("{seed},{},", cell.key());
    let rows: Vec<Row> = kept
        .lines()
        .filter_map(|line| line.strip_prefix(&start))
        .map(|rest| {
            let cells: Vec<&str> = rest.split(',').collect();
            let number = |at: usize| cells[at].parse::<f64>().unwrap();
            Row {
                seed,
                cell: cell.key(),
                clubs: cells[0].parse().unwrap(),
                way: cells[1].to_owned(),
                pools: cells[2].parse().unwrap(),
                covered: number(3),
                width: number(5),
                bias: number(6),
                left_out: number(7),
            }
        })
        .collect();
    let whole = rows.len() == CLUBS.len() * WAYS.len();
    let as_many = rows
        .iter()
        .any(|row| row.pools as u64 == clubs / row.clubs as u64);
    if whole && as_many { rows } else { Vec::new() }
}

/// Promised coverage.
const PROMISED: (f64, f64) = (0.94, 0.96);

pub(crate) fn markdown(rows: &[Row], clubs: u64) -> String {
    let stand =
        |seed: u64| rows.iter().filter(|r| r.seed == seed).count() / (CLUBS.len() * WAYS.len());
    let standing = format!(
        "Of the first seed {}, of the second {}",
        stand(SEEDS[0]),
        stand(SEEDS[1])
    );
    let mut text = format!(
        "# Which error of a club covers?\n\n\
         Written by `cargo bench -p halfgreen-analysis --bench pooling`, version {}, {clubs} clubs for each of {} cells and each of two \
         seeds; seed {} chose, seed {} confirms. Every line stands in `cells.csv`. Clubs are put together anew five times; the Monte Carlo standard errors are those of one \
         time, and so too large rather than too small.\n\n\
         A club has 4 to 8 pairs of plots, counts are negative binomial (k of a plot 0.5 or 2, mean of a control plot 2 or 20, blocks normal \
         on the log scale with standard deviation 0.5; or clubs that differ: k 0.5 to 2, mean 2 to 20, blocks 0 to 1). Log ratios are normal about \
         log 1 or log 0.5 with a standard deviation of 0 or 0.3 between clubs. Each club is judged by the headline test from its raw counts; its \
         standard error is the width of the headline's 95 % interval over twice t. A club with an empty arm has no log ratio and is left \
         out. {standing} cells stand. Coverage of the average log ratio by 95 % intervals, in per cent: lowest, mean and highest cell.\n\n\
         - *plain*: `DerSimonian`-Laird and the normal law on Wald errors of a negative binomial model of each club (common practice)\n\
         - *as if known; bounded*: REML and Hartung-Knapp on the headline's errors as if they were known, the factor never below 1\n\
         - *as if known*: the same, the factor as it comes\n\
         - *equal weights*: every club alike, Student's t\n\
         - *default*: the headline's errors with their degrees of freedom: variances moderated over clubs, REML, the factor as it comes\n\n",
        env!("CARGO_PKG_VERSION"),
        crate::clubs::cells().len(),
        SEEDS[0],
        SEEDS[1]
    );
    text.push_str("| seed | clubs | way | lowest | mean | highest | cells beyond 94 to 96 | clearly | mean width |\n|---|---|---|---|---|---|---|---|---|\n");
    for seed in SEEDS {
        for number in CLUBS {
            for way in WAYS {
                let of = |r: &&Row| r.seed == seed && r.clubs == number && r.way == way.name();
                summary(&mut text, &rows.iter().filter(of).collect::<Vec<_>>());
            }
        }
    }
    text.push_str("\n\"Clearly\": by more than two Monte Carlo standard errors.\n\n## The default, cell by cell\n\nBoth seeds together.\n\n");
    text.push_str("| k | mean | tau | ratio | clubs | covers | standard error | bias | clubs left out | clearly outside |\n|---|---|---|---|---|---|---|---|---|---|\n");
    for cell in crate::clubs::cells() {
        for number in CLUBS {
            let of = |r: &&Row| r.cell == cell.key() && r.clubs == number && r.way == "default";
            if let Some(row) = together(&rows.iter().filter(of).collect::<Vec<_>>()) {
                let outside = if clearly(&row) { "yes" } else { "" };
                writeln!(
                    text,
                    "| {} | {number} | {:.1} | {:.1} | {:.3} | {:.1} | {outside} |",
                    row.cell.replace(',', " | "),
                    100.0 * row.covered,
                    100.0 * row.se(),
                    row.bias,
                    100.0 * row.left_out
                )
                .unwrap();
            }
        }
    }
    text
}

/// Whether the coverage lies beyond what is promised by more than chance.
fn clearly(row: &Row) -> bool {
    row.covered + 2.0 * row.se() < PROMISED.0 || row.covered - 2.0 * row.se() > PROMISED.1
}

/// The same cell of several seeds as one.
fn together(rows: &[&Row]) -> Option<Row> {
    let pools: usize = rows.iter().map(|r| r.pools).sum();
    let mean = |of: fn(&Row) -> f64| {
        rows.iter().map(|r| of(r) * r.pools as f64).sum::<f64>() / pools as f64
    };
    Some(Row {
        pools,
        covered: mean(|r| r.covered),
        width: mean(|r| r.width),
        bias: mean(|r| r.bias),
        left_out: mean(|r| r.left_out),
        ..(*rows.first()?).clone()
    })
}

fn summary(text: &mut String, rows: &[&Row]) {
    let Some(first) = rows.first() else { return };
    let covered: Vec<f64> = rows.iter().map(|r| 100.0 * r.covered).collect();
    let mean =
        |of: &dyn Fn(&Row) -> f64| rows.iter().map(|r| of(r)).sum::<f64>() / rows.len() as f64;
    let beyond = rows
        .iter()
        .filter(|r| !(PROMISED.0..=PROMISED.1).contains(&r.covered))
        .count();
    writeln!(
        text,
        "| {} | {} | {} | {:.1} | {:.1} | {:.1} | {beyond} of {} | {} | {:.2} |",
        first.seed,
        first.clubs,
        first.way,
        covered.iter().copied().fold(f64::INFINITY, f64::min),
        mean(&|r| 100.0 * r.covered),
        covered.iter().copied().fold(0.0, f64::max),
        rows.len(),
        rows.iter().filter(|r| clearly(r)).count(),
        mean(&|r| r.width)
    )
    .unwrap();
}
