//! Leverage and case deletion: does one plot carry the verdict?

use std::sync::Arc;

use rayon::prelude::*;
use serde::Serialize;

use crate::Error;
use crate::comparison::{
    BlockStructure, EvaluatedContrast, InferenceSpace, PlotTable, PreparedTest, Question, Settings,
    evaluate_main_effects,
};
use crate::counts::{Factor, Fit, ModelMatrix};
use crate::random::Generator;
use crate::randomisation::{Allocations, Scheme};

/// Most allocations enumerated or drawn for each plot left out: enough to place a p-value within half a
/// per cent of 0.05.
const MOST_ALLOCATIONS: u64 = 2_000;

/// Plots compared again, all comparisons without one plot together, for each two contrasts: the fit that all share costs as much as
/// some of them.
const MOST_COMPARED: usize = 20_000;

/// Plots that are left out however large the table is: among thousands no other one can carry a verdict.
const FEWEST_LEFT_OUT: usize = 5;

/// The comparison without one plot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CaseDeletion {
    /// The plot, by its place in the table.
    pub plot: usize,
    /// Every plot that had to go with it: its partner where a pair was left with one plot.
    pub without: Vec<usize>,
    /// The primary test of each treatment without them; `None` where one of them has no plot left.
    pub contrasts: Option<Vec<EvaluatedContrast>>,
}

/// Share of each plot's own count in its fitted mean, on the scale of the linear predictor, between 0
/// and 1: diagonal of the weighted hat matrix (McCullagh & Nelder 1989, "Generalized Linear Models",
/// 2nd ed., section 12.7.1) at the fitted k. They add up to the number of coefficients, less those
/// that run to infinity.
#[must_use]
pub fn leverage(matrix: &ModelMatrix, fit: &Fit) -> Vec<f64> {
    let a = fit.inverse_k();
    (0..matrix.rows())
        .map(|row| {
            let mean = fit.means.get(row).copied().unwrap_or(0.0);
            let weight = mean / (1.0 + a * mean);
            let mut form = 0.0;
            for (i, x) in matrix.row(row) {
                for (j, y) in matrix.row(row) {
                    form += x * y * fit.covariance.between(i, j);
                }
            }
            let share = weight * form;
            if share.is_finite() {
                share.clamp(0.0, 1.0)
            } else {
                0.0
            }
        })
        .collect()
}

/// Plots worth leaving out: all of them, or in large tables those that lie farthest from their fitted means, in
/// standard deviations. No more than twenty thousand plots are compared again in all, each once for every two
/// of the `contrasts`, and five plots are always left out.
#[must_use]
pub fn deletion_candidates(counts: &[u64], fit: &Fit, contrasts: usize) -> Vec<usize> {
    let plots = counts.len();
    let tried = (MOST_COMPARED / (plots * contrasts.div_ceil(2)).max(1)).max(FEWEST_LEFT_OUT);
    let a = fit.inverse_k();
    let off = |p: usize| {
        let mean = fit.means[p];
        let spread = (mean + a * mean * mean).sqrt();
        // A mean of zero is met exactly.
        if spread > 0.0 {
            ((counts[p] as f64 - mean) / spread).abs()
        } else {
            0.0
        }
    };
    let mut order: Vec<usize> = (0..plots).collect();
    if tried < plots {
        order.sort_by(|&p, &q| off(q).total_cmp(&off(p)));
        order.truncate(tried);
        order.sort_unstable();
    }
    order
}

/// Repeats the comparison (of the main effects of `factors`, where there are any) without each of `plots` in turn, with the primary test that `settings` states; a block in
/// which a single plot is left is left out whole. At most 2 000 allocations are enumerated or drawn.
///
/// # Errors
/// As [`compare`](crate::comparison::compare), except that a treatment without plots gives `None`.
pub fn leave_one_out(
    table: &PlotTable,
    factors: &[Factor],
    question: &Question,
    settings: &Settings,
    plots: &[usize],
) -> Result<Vec<CaseDeletion>, Error> {
    plots
        .par_iter()
        .map(|&plot| {
            let kept = kept(table, plot);
            let rest = subset(table, &kept);
            let mut stays = vec![false; table.counts.len()];
            for &p in &kept {
                stays[p] = true;
            }
            let without = (0..stays.len()).filter(|&p| !stays[p]).collect();
            let enough = rest.replication().iter().all(|&n| n > 0) && rest.counts.len() > 2;
            let contrasts = if enough {
                // Too few plots left to separate blocks from treatments is no failure of the trial.
                let settings = reduced(settings, &kept);
                if factors.is_empty() {
                    PreparedTest::new(rest, *question, settings).and_then(|test| test.evaluate())
                } else {
                    let factors = factors
                        .iter()
                        .map(|f| of_plots(f, &kept))
                        .collect::<Vec<_>>();
                    evaluate_main_effects(&rest, &factors, question, &settings)
                }
                .ok()
            } else {
                None
            };
            Ok(CaseDeletion {
                plot,
                without,
                contrasts,
            })
        })
        .collect()
}

/// Plots that stay when one goes.
fn kept(table: &PlotTable, plot: usize) -> Vec<usize> {
    let pair = match &table.block_structure {
        BlockStructure::Blocks(block) => {
            let code = block.codes[plot];
            let mates = block.codes.iter().filter(|&&c| c == code).count();
            (mates == 2).then_some((block, code))
        }
        BlockStructure::Unblocked | BlockStructure::RowColumn(_) | BlockStructure::SplitPlot(_) => {
            None
        }
    };
    let alone = |p: usize| pair.is_some_and(|(block, code)| block.codes[p] == code);
    (0..table.counts.len())
        .filter(|&p| p != plot && !alone(p))
        .collect()
}

/// The rows that are kept. Levels without plots are taken out of the groupings, never of treatment.
fn subset(table: &PlotTable, kept: &[usize]) -> PlotTable {
    let pick = |f: &Factor| {
        let labels: Vec<&str> = kept
            .iter()
            .map(|&p| f.levels[f.codes[p]].as_str())
            .collect();
        Factor::from_labels(&f.name, &labels, None)
    };
    PlotTable {
        counts: kept.iter().map(|&p| table.counts[p]).collect(),
        exposure: kept.iter().map(|&p| table.exposure[p]).collect(),
        treatment: of_plots(&table.treatment, kept),
        block_structure: match &table.block_structure {
            BlockStructure::Unblocked => BlockStructure::Unblocked,
            BlockStructure::Blocks(block) => BlockStructure::Blocks(pick(block)),
            BlockStructure::RowColumn([r, c]) => BlockStructure::RowColumn([pick(r), pick(c)]),
            BlockStructure::SplitPlot([b, w]) => BlockStructure::SplitPlot([pick(b), pick(w)]),
        },
        inference: match &table.inference {
            InferenceSpace::Narrow => InferenceSpace::Narrow,
            InferenceSpace::Broad(groups) => InferenceSpace::Broad(pick(groups)),
        },
        before: table.before.as_ref().map(|before| {
            let picked: Vec<f64> = kept.iter().map(|&p| before[p]).collect();
            let mean = picked.iter().sum::<f64>() / picked.len() as f64;
            picked.iter().map(|b| b - mean).collect()
        }),
    }
}

/// A factor in some plots, with all its levels.
fn of_plots(factor: &Factor, kept: &[usize]) -> Factor {
    Factor {
        codes: kept.iter().map(|&p| factor.codes[p]).collect(),
        ..factor.clone()
    }
}

/// The same settings for fewer plots.
fn reduced(settings: &Settings, kept: &[usize]) -> Settings {
    let mut out = settings.clone();
    let few = usize::try_from(MOST_ALLOCATIONS).unwrap_or(usize::MAX);
    let pick = |all: &Allocations| Arc::new(all.picked(0..few.min(all.len()), kept));
    // A list has an order; a sample of it is drawn by lot.
    let drawn_from = |all: &Allocations| {
        let mut generator = Generator::new(settings.randomisation.seed, 0);
        let mut one = || usize::try_from(generator.below(all.len() as u64)).unwrap_or(0);
        Arc::new(all.picked((0..few).map(|_| one()), kept))
    };
    out.randomisation.draws = out.randomisation.draws.min(MOST_ALLOCATIONS - 1);
    out.randomisation.limit = out.randomisation.limit.min(MOST_ALLOCATIONS);
    let mut place = vec![None; kept.last().map_or(0, |last| last + 1)];
    for (at, &plot) in kept.iter().enumerate() {
        place[plot] = Some(at);
    }
    out.scheme = match &settings.scheme {
        Some(Scheme::Within(groups)) => Some(Scheme::Within(
            groups
                .iter()
                .map(|g| {
                    g.iter()
                        .filter_map(|&p| place.get(p).copied().flatten())
                        .collect::<Vec<_>>()
                })
                .filter(|g| !g.is_empty())
                .collect(),
        )),
        Some(Scheme::Listed(all)) if all.len() > few => Some(Scheme::Sampled {
            drawn: drawn_from(all),
            total: all.len() as f64,
            smallest_p: Vec::new(),
        }),
        Some(Scheme::Listed(all)) => Some(Scheme::Listed(pick(all))),
        Some(Scheme::Sampled {
            drawn,
            total,
            smallest_p,
        }) => Some(Scheme::Sampled {
            drawn: pick(drawn),
            total: *total,
            smallest_p: smallest_p.clone(),
        }),
        None => None,
    };
    out
}
