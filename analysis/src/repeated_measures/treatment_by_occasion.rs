//! Treatment by occasion: is there any, and how large is it?

use std::collections::BTreeSet;

use rayon::prelude::*;
use serde::Serialize;

use super::counts::RepeatedCounts;
use super::split_plot::{f_ratio, plots_and_occasions, residuals};
use crate::Error;
use crate::counts::ModelMatrix;
use crate::distributions;
use crate::mixed::MarginalFit;
use crate::mixed::block::RandomBlock;
use crate::multiplicity::dunnett;
use crate::multiplicity::{Alternative, lambda_from_replication};
use crate::numerics::projection::Projection;
use crate::numerics::roots;
use crate::results::Interval;

/// Test of the interaction of treatment by occasion.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TreatmentByOccasion {
    /// Twice the log-likelihood gained by treatment by occasion, k estimated anew.
    pub statistic: f64,
    /// Its degrees of freedom: (treatments - 1) (occasions - 1).
    pub df: usize,
    /// Chance of a larger one by chi-squared.
    pub p_likelihood_ratio: f64,
    /// Chance by F of stabilised counts, and no smaller than `p_likelihood_ratio`; 1 where plots are too few for a test.
    pub p: f64,
}

/// Before-after-control-impact (BACI) ratio of a treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BaciRatio {
    /// Treatment.
    pub treatment: String,
    /// Later over earlier, treated over control; `None` where one of the four is empty.
    pub ratio: Option<f64>,
    /// Every ratio that the test does not rule out, k and plots' scatter estimated anew at each; all
    /// treatments together at the level asked for.
    pub interval: Interval,
    /// Two-sided p of no difference in change, for this treatment alone.
    pub p: f64,
    /// The same, adjusted for the number of treatments (Dunnett): below 1 - level exactly where the
    /// interval leaves 1 out.
    pub p_adjusted: f64,
}

fn model<'a>(
    data: &RepeatedCounts,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
) -> Result<RandomBlock<'a>, Error> {
    RandomBlock::new(&data.counts, offset, matrix, &data.plot.codes)
}

fn offset(data: &RepeatedCounts) -> Vec<f64> {
    data.exposure.iter().map(|e| e.ln()).collect()
}

/// Level of the preliminary test of block by occasion, without which both are pooled: every block costs a degree of freedom. Whoever takes it
/// out because it looked large has picked a small error to test against, so that a lenient level claims too much: at the 25 % that
/// Bozivich, Bancroft & Hartley (1956, Annals of Mathematical Statistics 27:1017-1043) advise against the opposite mistake, up to
/// 7.3 % where blocks do nothing of their own; at 5 % it is half a point on average (4.4 to 4.9 %).
const PRELIMINARY: f64 = 0.05;

/// Whether blocks changed from one occasion to the next each in their own way, so that only plots of one block
/// tell of a treatment by their changes.
fn blocks_change_apart(data: &RepeatedCounts, offset: &[f64]) -> Result<bool, Error> {
    let matrix = data.matrix(true, false)?;
    let fit = model(data, offset, &matrix)?.fit(None, None, false);
    let left = residuals(data, offset, &matrix, &fit);
    let [mut part, mut full] = [false, true].map(|by_block| plots_and_occasions(data, by_block));
    for column in data.crossed() {
        part.add(column.clone());
        full.add(column);
    }
    // A model that the blocks would leave nothing to estimate from is done without them.
    let estimable = data.matrix(true, true).is_ok();
    Ok(estimable
        && f_ratio(&part, &full, &left)
            .is_some_and(|(f, more, rest)| distributions::f_sf(f, more, rest) <= PRELIMINARY))
}

/// Tests treatment by occasion: whether the ratio to the control was the same on all occasions.
///
/// # Errors
/// Rows that do not fit together, fewer than two occasions or treatments, blocks tied to treatments.
pub fn treatment_by_occasion(data: &RepeatedCounts) -> Result<TreatmentByOccasion, Error> {
    data.check()?;
    let offset = offset(data);
    let by_block = blocks_change_apart(data, &offset)?;
    let (full, null) = (data.matrix(true, by_block)?, data.matrix(false, by_block)?);
    let with = model(data, &offset, &full)?.fit(None, None, false);
    let without = model(data, &offset, &null)?.fit(None, None, false);
    let statistic = (2.0 * (with.log_likelihood - without.log_likelihood)).max(0.0);
    let df = full.width() - null.width();
    let part = plots_and_occasions(data, by_block);
    let mut crossed = part.clone();
    for column in data.crossed() {
        crossed.add(column);
    }
    let left = residuals(data, &offset, &null, &without);
    let p_likelihood_ratio = distributions::chi_squared_sf(statistic, df as f64);
    let found = data.counts.iter().any(|&y| y > 0);
    let p = f_ratio(&part, &crossed, &left)
        .filter(|_| found)
        .map_or(1.0, |(f, more, rest)| {
            distributions::f_sf(f, more, rest).max(p_likelihood_ratio)
        });
    Ok(TreatmentByOccasion {
        statistic,
        df,
        p_likelihood_ratio,
        p,
    })
}

/// Ratio of changes of every treatment between two occasions, with intervals that hold together at `level`.
///
/// Several treatments share one control, so that both statistics are referred to the largest of them all:
/// that of stabilised counts to Dunnett's law with its degrees of freedom, the root of the
/// likelihood ratio to the same with none estimated (Dunnett 1955, J. Am. Stat. Assoc. 50:1096-1121).
///
/// # Errors
/// As [`treatment_by_occasion`]; more than two occasions.
pub fn baci_ratios(data: &RepeatedCounts, level: f64) -> Result<Vec<BaciRatio>, Error> {
    data.check()?;
    if data.occasion.levels.len() != 2 {
        return Err(Error::new(
            "occasions",
            format!("{}", data.occasion.levels.len()),
            "a ratio of changes compares two occasions",
            "name the earlier and the later one",
        ));
    }
    let offset = offset(data);
    let by_block = blocks_change_apart(data, &offset)?;
    let matrix = data.matrix(true, by_block)?;
    let model = model(data, &offset, &matrix)?;
    let full = model.fit(None, None, false);
    let along = Along {
        data,
        offset: &offset,
        matrix: &matrix,
        model: &model,
        full: &full,
        by_block,
        lambda: &lambda(data)?,
    };
    // Each change is searched for by itself, and they are gathered in order: the same on any number of threads.
    (1..data.treatment.levels.len())
        .into_par_iter()
        .map(|treatment| along.change(treatment, level))
        .collect()
}

/// Correlation of the contrasts, from the plots of each treatment.
fn lambda(data: &RepeatedCounts) -> Result<Vec<f64>, Error> {
    let mut plots = vec![BTreeSet::new(); data.treatment.levels.len()];
    for (&treatment, &plot) in data.treatment.codes.iter().zip(&data.plot.codes) {
        plots[treatment].insert(plot);
    }
    let plots: Vec<f64> = plots.iter().map(|p| p.len() as f64).collect();
    lambda_from_replication(&plots[1..], plots[0])
}

/// The part and the full model whose difference is one treatment's change less the control's, and the degrees
/// of freedom left.
struct NestedModels {
    part: Projection,
    full: Projection,
    rest: f64,
}

/// The model with one change held at a value.
struct Along<'a> {
    data: &'a RepeatedCounts,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
    model: &'a RandomBlock<'a>,
    full: &'a MarginalFit,
    /// Whether block by occasion is taken out.
    by_block: bool,
    lambda: &'a [f64],
}

impl Along<'_> {
    /// The change of treatment `treatment`, 1 for the first after the control, over that of the control.
    fn change(&self, treatment: usize, level: f64) -> Result<BaciRatio, Error> {
        let Self { data, full, .. } = self;
        let column = data.treatment.levels.len() + treatment - 1;
        // Up: treated after and control before; down: treated before and control after.
        let up = self.total(treatment, 1).min(self.total(0, 0)) > 0;
        let down = self.total(treatment, 0).min(self.total(0, 1)) > 0;
        let mut change = BaciRatio {
            treatment: data.treatment.levels[treatment].clone(),
            ratio: (up && down).then(|| full.beta[column].exp()),
            interval: Interval {
                low: 0.0,
                high: f64::INFINITY,
                level,
            },
            p: 1.0,
            p_adjusted: 1.0,
        };
        let found = data.counts.iter().any(|&y| y > 0);
        if let (true, Some(models)) = (found, self.nested_models(treatment)) {
            let none = self.test(&models, column, 0.0);
            change.p = none.p();
            change.p_adjusted = none.p_adjusted(self.lambda)?;
            let critical =
                |df| dunnett::critical_value(1.0 - level, self.lambda, df, Alternative::TwoSided);
            let bound = Bound {
                t: critical(models.rest)?,
                z: critical(f64::INFINITY)?,
            };
            let beyond = |value: f64| bound.beyond(&self.test(&models, column, value));
            // At the estimate it is below 0, the likelihood ratio being 0.
            let from = (full.beta[column], beyond(full.beta[column]));
            let limit = |side| roots::outward(beyond, from, side, 1e-7).exp();
            if up {
                change.interval.low = limit(-1.0);
            }
            if down {
                change.interval.high = limit(1.0);
            }
        }
        Ok(change)
    }

    /// All that was counted under a treatment on an occasion.
    fn total(&self, treatment: usize, occasion: usize) -> u64 {
        let data = self.data;
        (0..data.counts.len())
            .filter(|&r| data.treatment.codes[r] == treatment && data.occasion.codes[r] == occasion)
            .map(|r| data.counts[r])
            .sum()
    }

    /// For treatment `treatment`, 1 for the first after the control; `None` where plots are too few.
    fn nested_models(&self, treatment: usize) -> Option<NestedModels> {
        let mut part = plots_and_occasions(self.data, self.by_block);
        let columns = self.data.crossed();
        for (at, column) in columns.iter().enumerate() {
            if at + 1 != treatment {
                part.add(column.clone());
            }
        }
        let mut full = part.clone();
        full.add(columns.get(treatment - 1)?.clone());
        let rest = self.data.counts.len().saturating_sub(full.rank());
        let testable = full.rank() > part.rank() && rest > 0;
        testable.then_some(NestedModels {
            part,
            full,
            rest: rest as f64,
        })
    }

    /// How far a change of `value`, a log ratio, lies from the counts.
    fn test(&self, models: &NestedModels, column: usize, value: f64) -> ChangeStatistics {
        let restricted = self
            .model
            .fit(Some((column, value)), Some(self.full), false);
        let left = residuals(self.data, self.offset, self.matrix, &restricted);
        let ratio = (2.0 * (self.full.log_likelihood - restricted.log_likelihood)).max(0.0);
        // The models differ and something is left, so that there always is an F.
        let f = f_ratio(&models.part, &models.full, &left).map_or(0.0, |(f, _, _)| f);
        ChangeStatistics {
            t: f.sqrt(),
            z: ratio.sqrt(),
            rest: models.rest,
        }
    }
}

/// A change against the counts by both statistics, without their signs; the larger p decides: the
/// likelihood ratio is all there is where counts do not scatter.
struct ChangeStatistics {
    /// Student's t of stabilised counts.
    t: f64,
    /// Root of the likelihood ratio.
    z: f64,
    /// Degrees of freedom of t.
    rest: f64,
}

impl ChangeStatistics {
    fn p(&self) -> f64 {
        let model = distributions::f_sf(self.t * self.t, 1.0, self.rest);
        model.max(distributions::chi_squared_sf(self.z * self.z, 1.0))
    }

    fn p_adjusted(&self, lambda: &[f64]) -> Result<f64, Error> {
        if lambda.len() == 1 {
            return Ok(self.p());
        }
        // The law is that of the largest of all: the others' statistics do not enter it.
        let of = |statistic: f64, df: f64| {
            let p = dunnett::p_values(
                &vec![statistic; lambda.len()],
                lambda,
                df,
                Alternative::TwoSided,
            )?;
            Ok::<f64, Error>(p.first().copied().unwrap_or(1.0))
        };
        Ok(of(self.t, self.rest)?.max(of(self.z, f64::INFINITY)?))
    }
}

/// The statistics from which a change is ruled out.
struct Bound {
    t: f64,
    z: f64,
}

impl Bound {
    /// Above 0 where both statistics lie beyond.
    fn beyond(&self, found: &ChangeStatistics) -> f64 {
        // Infinite where nothing scatters: held to what a search can work with.
        (found.t.min(1e9) - self.t).min(found.z.min(1e9) - self.z)
    }
}
