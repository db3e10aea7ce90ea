//! Counts and question to ratios, intervals, p-values and calls.

use std::cmp::Ordering;

use serde::Serialize;

use super::calibrated::{Calibration, Profile};
use super::lead::{Lead, lead};
use super::marginal::Marginal;
use super::plot_table::{Layout, PlotTable};
use super::verdict::{Call, Matters, Question};
use crate::Error;
use crate::answers::{Caution, Interval, PValue};
use crate::chance::laws;
use crate::counts::{self, ModelMatrix};
use crate::mixed::MarginalFit;
use crate::multiplicity::{Sided, dunnett, lambda_from_replication};
use crate::randomisation::{Randomisation, RandomisationSettings, Scheme, against_control};

/// How to carry the comparison out.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Draws that the design allowed; `None` if treatments were not drawn at random.
    pub scheme: Option<Scheme>,
    /// The test that leads, fixed by the design; `None` decides by [`lead`] from the scheme.
    pub lead: Option<Lead>,
    /// How much to re-allocate, and the seed.
    pub randomisation: RandomisationSettings,
}

/// A treatment against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contrast {
    /// Name of the treatment.
    pub treatment: String,
    /// Ratio of mean counts, treatment to control; 0 for an empty treatment, infinite for an empty
    /// control, `None` where both are empty.
    pub ratio: Option<f64>,
    /// Interval of the ratio, all treatments together at 1 - alpha, agreeing with the leading test.
    pub interval: Interval,
    /// Model test alone.
    pub p_model: f64,
    /// Model test, adjusted (Dunnett).
    pub p_model_adjusted: f64,
    /// Re-allocation alone.
    pub p_randomisation: Option<PValue>,
    /// Re-allocation, adjusted (closed testing).
    pub p_randomisation_adjusted: Option<f64>,
    /// Smallest p-value that re-allocation could have given.
    pub smallest_p: Option<f64>,
    /// The verdict.
    pub call: Call,
    /// Whether the interval reaches the worthwhile ratio.
    pub matters: Matters,
}

/// Mean count per unit of exposure under a treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreatmentMean {
    /// Name of the treatment, the control first.
    pub treatment: String,
    /// Total count over total exposure.
    pub mean: f64,
    /// Interval for this treatment alone, from the profile of its own mean.
    pub interval: Interval,
}

/// The whole comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Which test leads.
    pub lead: Lead,
    /// Every treatment against the control.
    pub contrasts: Vec<Contrast>,
    /// Mean counts.
    pub means: Vec<TreatmentMean>,
    /// Degrees of freedom of the model test; 0 where none is possible.
    pub df: usize,
    /// k of the model with random ground; `None` at the Poisson limit.
    pub k: Option<f64>,
    /// Standard deviation of each grouping's effects on the log scale.
    pub sigma: Vec<f64>,
    /// The re-allocation test in full.
    pub randomisation: Option<Randomisation>,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Compares every treatment with the control.
///
/// # Errors
/// What [`PlotTable::check`] refuses, columns that determine each other, a scheme that does not fit
/// the plots.
pub fn compare(
    table: &PlotTable,
    question: &Question,
    settings: &Settings,
) -> Result<Comparison, Error> {
    table.check()?;
    let offset = table.offset();
    let matrix = table.treatments()?;
    let model = Marginal::new(table, &offset, &matrix)?;
    let full = model.fit(None, None);
    let randomisation = match &settings.scheme {
        Some(scheme) => {
            let scores = scores(table, &offset)?;
            Some(against_control(
                &scores,
                &table.treatment.codes,
                scheme,
                &settings.randomisation,
            )?)
        }
        None => None,
    };
    let lead = settings.lead.unwrap_or_else(|| match &randomisation {
        Some(r) => lead(
            r.smallest_p.iter().copied().fold(0.0, f64::max),
            question.alpha,
        ),
        None => Lead::Model,
    });
    let lead = if randomisation.is_none() {
        Lead::Model
    } else {
        lead
    };
    let calibration = calibration(table)?;
    let judge = Judge {
        table,
        question,
        calibration,
        model: &model,
        full: &full,
    };
    let contrasts = judge.contrasts(lead, randomisation.as_ref())?;
    Ok(Comparison {
        lead,
        contrasts,
        means: judge.means(&offset)?,
        df: degrees(calibration.df),
        k: (full.inverse_k > LIMIT).then(|| 1.0 / full.inverse_k),
        sigma: full.sigma.clone(),
        randomisation,
        cautions: judge.cautions(),
    })
}

/// 1/k below this is the Poisson limit: at a thousand larvae a plot it adds a thousandth to the
/// variance, far below what any trial could tell.
const LIMIT: f64 = 1e-6;

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a whole number of plots, not negative"
)]
fn degrees(df: f64) -> usize {
    df.max(0.0) as usize
}

/// Plots, groups and treatments to what the t scale needs.
pub(super) fn calibration(table: &PlotTable) -> Result<Calibration, Error> {
    let plots = table.counts.len() as f64;
    let ground = if table.terms().is_empty() {
        0
    } else {
        table.ground().build()?.width()
    };
    let within = plots - ground as f64;
    let spent = table.treatment.levels.len() - usize::from(ground > 0)
        + usize::from(table.before.is_some());
    let mut df = within - spent as f64;
    if let Layout::WholePlots([block, whole]) = &table.layout {
        // Treatments that differ between whole plots have only those to be told from: the smaller
        // degrees of freedom serve for all.
        let (blocks, wholes) = (block.levels.len() as f64, whole.levels.len() as f64);
        df = df.min(wholes - blocks - (wholes / blocks - 1.0));
    }
    let total: u64 = table.counts.iter().sum();
    Ok(Calibration {
        within,
        df,
        mean: total as f64 / plots,
    })
}

/// Scores of each plot under no effect: (y - m) / (1 + m/k), with blocks and covariate as fixed
/// columns and k from the model with random ground.
pub(super) fn scores(table: &PlotTable, offset: &[f64]) -> Result<Vec<f64>, Error> {
    let untreated = table.fixed(false)?;
    let base = match &table.before {
        Some(before) => ModelMatrix::with_intercept(table.counts.len())
            .covariate("before", before)
            .build()?,
        None => ModelMatrix::with_intercept(table.counts.len()).build()?,
    };
    let inverse_k = Marginal::new(table, offset, &base)?
        .fit(None, None)
        .inverse_k;
    let means = counts::means_at(&table.counts, offset, &untreated, inverse_k)?;
    Ok(table
        .counts
        .iter()
        .zip(means)
        .map(|(&y, m)| (y as f64 - m) / (1.0 + inverse_k * m))
        .collect())
}

/// Correlation of the contrasts, from their replication.
pub(super) fn lambda(table: &PlotTable) -> Result<Vec<f64>, Error> {
    let plots: Vec<f64> = table.replication().iter().map(|&n| n as f64).collect();
    lambda_from_replication(&plots[1..], plots[0])
}

/// Estimated ratio, with its limits for empty arms.
pub(super) fn ratio(table: &PlotTable, full: &MarginalFit, column: usize) -> Option<f64> {
    let totals = table.totals();
    match (totals[column], totals[0]) {
        (0, 0) => None,
        (0, _) => Some(0.0),
        (_, 0) => Some(f64::INFINITY),
        _ => Some(full.beta[column].exp()),
    }
}

/// Everything the contrasts need.
struct Judge<'t, 'p, 'a> {
    table: &'t PlotTable,
    question: &'t Question,
    calibration: Calibration,
    model: &'p Marginal<'a>,
    full: &'p MarginalFit,
}

impl<'a> Judge<'_, '_, 'a> {
    fn profile(&self, column: usize) -> Profile<'_, Marginal<'a>> {
        Profile::new(self.model, self.full, column, self.calibration)
    }

    fn contrasts(
        &self,
        lead: Lead,
        randomisation: Option<&Randomisation>,
    ) -> Result<Vec<Contrast>, Error> {
        let testable = self.calibration.df >= 1.0;
        let treatments = self.table.treatment.levels.len() - 1;
        let lambda = lambda(self.table)?;
        let t: Vec<f64> = (1..=treatments)
            .map(|column| {
                if testable {
                    self.profile(column).t(0.0)
                } else {
                    0.0
                }
            })
            .collect();
        let df = self.calibration.df.max(1.0);
        let adjusted = if testable {
            dunnett::p_values(&t, &lambda, df, Sided::Two)?
        } else {
            vec![1.0; treatments]
        };
        let bound = dunnett::critical(self.question.alpha, &lambda, df, Sided::Two)?;
        let mut out = Vec::with_capacity(treatments);
        for j in 0..treatments {
            let p_model = if testable {
                2.0 * laws::t_upper(t[j], df)
            } else {
                1.0
            };
            let p_lead = match (lead, randomisation) {
                (Lead::Randomisation, Some(r)) => r.p_adjusted[j],
                _ => adjusted[j],
            };
            let ratio = ratio(self.table, self.full, j + 1);
            let plain = if testable {
                self.interval(j + 1, bound)
            } else {
                self.everything()
            };
            let interval = self.agree(plain, p_lead, ratio);
            let estimate = ratio.unwrap_or(1.0);
            let matters = self.question.matters(&interval);
            let found = p_lead <= self.question.alpha;
            out.push(Contrast {
                treatment: self.table.treatment.levels[j + 1].clone(),
                ratio,
                interval,
                p_model,
                p_model_adjusted: adjusted[j],
                p_randomisation: randomisation.map(|r| r.p[j]),
                p_randomisation_adjusted: randomisation.map(|r| r.p_adjusted[j]),
                smallest_p: randomisation.map(|r| r.smallest_p[j]),
                call: self.question.call(found, estimate, matters),
                matters,
            });
        }
        Ok(out)
    }

    fn everything(&self) -> Interval {
        Interval {
            low: 0.0,
            high: f64::INFINITY,
            level: 1.0 - self.question.alpha,
        }
    }

    /// Profile interval of a ratio at a bound on the t scale.
    fn interval(&self, column: usize, bound: f64) -> Interval {
        let totals = self.table.totals();
        let profile = self.profile(column);
        let from = self.full.beta[column];
        let level = 1.0 - self.question.alpha;
        match (totals[column], totals[0]) {
            (0, 0) => self.everything(),
            (0, _) => Interval {
                low: 0.0,
                high: profile.limit(from, 1.0, bound).exp(),
                level,
            },
            (_, 0) => {
                let low = profile.limit(from, -1.0, bound).exp();
                Interval {
                    low,
                    high: f64::INFINITY,
                    level,
                }
            }
            _ => Interval {
                low: profile.limit(from, -1.0, bound).exp(),
                high: profile.limit(from, 1.0, bound).exp(),
                level,
            },
        }
    }

    /// Puts the limit next to no effect at no effect where the leading test says otherwise than
    /// the interval.
    fn agree(&self, interval: Interval, p: f64, ratio: Option<f64>) -> Interval {
        let found = p <= self.question.alpha;
        let excludes = interval.low > 1.0 || interval.high < 1.0;
        let Some(ratio) = ratio.filter(|_| found != excludes) else {
            return interval;
        };
        if ratio < 1.0 {
            Interval {
                high: 1.0,
                low: interval.low.min(1.0),
                ..interval
            }
        } else {
            Interval {
                low: 1.0,
                high: interval.high.max(1.0),
                ..interval
            }
        }
    }

    /// Mean count under each treatment, with the profile of its own mean: the treatment takes its
    /// turn as the reference, so that its log mean is the intercept.
    fn means(&self, offset: &[f64]) -> Result<Vec<TreatmentMean>, Error> {
        let df = self.calibration.df;
        let level = 1.0 - self.question.alpha;
        let totals = self.table.totals();
        let mut out = Vec::with_capacity(totals.len());
        for (code, name) in self.table.treatment.levels.iter().enumerate() {
            let exposure: f64 = (0..self.table.counts.len())
                .filter(|&p| self.table.treatment.codes[p] == code)
                .map(|p| self.table.exposure[p])
                .sum();
            let mean = totals[code] as f64 / exposure;
            let mut interval = Interval {
                low: 0.0,
                high: f64::INFINITY,
                level,
            };
            if df >= 1.0 && totals.iter().any(|&t| t > 0) {
                let bound = laws::t_quantile(1.0 - self.question.alpha / 2.0, df);
                let turned = self.turned(code);
                let matrix = turned.treatments()?;
                let model = Marginal::new(&turned, offset, &matrix)?;
                let full = model.fit(None, None);
                let profile = Profile::new(&model, &full, 0, self.calibration);
                let from = full.beta[0];
                if totals[code] == 0 {
                    interval.high = profile.limit(from, 1.0, bound).exp();
                } else {
                    interval.low = mean * (profile.limit(from, -1.0, bound) - from).exp();
                    interval.high = mean * (profile.limit(from, 1.0, bound) - from).exp();
                }
            }
            out.push(TreatmentMean {
                treatment: name.clone(),
                mean,
                interval,
            });
        }
        Ok(out)
    }

    /// The same table with treatment `code` as the reference.
    fn turned(&self, code: usize) -> PlotTable {
        let mut table = self.table.clone();
        for c in &mut table.treatment.codes {
            *c = match (*c).cmp(&code) {
                Ordering::Equal => 0,
                Ordering::Less => *c + 1,
                Ordering::Greater => *c,
            };
        }
        let name = table.treatment.levels.remove(code);
        table.treatment.levels.insert(0, name);
        table
    }

    fn cautions(&self) -> Vec<Caution> {
        let mut out = Vec::new();
        if self.calibration.df < 1.0 {
            out.push(Caution::new(
                "no-test-possible",
                "there are too few plots to tell a treatment from the ground it lies on: no test of \
                 the method is possible from these counts",
            ));
        }
        let totals = self.table.totals();
        if totals.iter().all(|&t| t == 0) {
            out.push(Caution::new(
                "all-zero",
                "nothing was found in any plot: the trial says nothing about the method",
            ));
        } else {
            for (name, _) in self
                .table
                .treatment
                .levels
                .iter()
                .zip(&totals)
                .filter(|(_, t)| **t == 0)
            {
                out.push(Caution::new(
                    "empty-treatment",
                    format!("nothing was found in any plot of {name}: its ratio is bounded on one side only"),
                ));
            }
        }
        if self.full.inverse_k <= LIMIT {
            out.push(Caution::new(
                "k-at-poisson-limit",
                "the counts scatter no more than random (Poisson) counts would: k is infinite",
            ));
        }
        if !self.full.convergence.reached() {
            out.push(Caution::new(
                "not-settled",
                "the count model did not settle; its figures are rough",
            ));
        }
        out
    }
}
