//! The headline test alone, prepared once for a design and run on many sets of counts.
//!
//! Trials are sized, and the test itself is calibrated, by simulating thousands of them: what does
//! not depend on the counts is worked out once, and nothing but the call is asked for.

use super::calibrated::{Calibration, Profile};
use super::compare::{Settings, calibration, scores};
use super::lead::{Lead, lead};
use super::marginal::Marginal;
use super::plot_table::PlotTable;
use super::verdict::{Better, Call, Matters, Question};
use crate::Error;
use crate::chance::laws;
use crate::counts::ModelMatrix;
use crate::mixed::MarginalFit;
use crate::multiplicity::{Sided, dunnett, lambda_from_replication};
use crate::randomisation::{Scheme, against_control};

/// A design ready to be called on counts.
#[derive(Debug, Clone)]
pub struct Screen {
    table: PlotTable,
    offset: Vec<f64>,
    matrix: ModelMatrix,
    question: Question,
    settings: Settings,
    lead: Lead,
    calibration: Calibration,
    bound: f64,
}

/// What the headline test says of one set of counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screened {
    /// The call for each treatment, the same that [`compare`](super::compare) gives.
    pub calls: Vec<Call>,
    /// Whether every search behind it settled.
    pub settled: bool,
}

impl Screen {
    /// Prepares a design. The counts of `table` do not matter.
    ///
    /// # Errors
    /// As [`compare`](super::compare).
    pub fn new(table: PlotTable, question: Question, settings: Settings) -> Result<Self, Error> {
        table.check()?;
        let plots: Vec<f64> = table.replication().iter().map(|&n| n as f64).collect();
        let lambda = lambda_from_replication(&plots[1..], plots[0])?;
        let calibration = calibration(&table)?;
        let leading = match (&settings.scheme, settings.lead) {
            (None, _) => Lead::Model,
            (Some(_), Some(lead)) => lead,
            (Some(scheme), None) => lead(smallest_p(&table, scheme)?, question.alpha),
        };
        Ok(Self {
            offset: table.offset(),
            matrix: table.treatments()?,
            bound: bound(question.alpha, &lambda, calibration.df.max(1.0))?,
            lead: leading,
            calibration,
            question,
            settings,
            table,
        })
    }

    /// Which test leads.
    #[must_use]
    pub fn lead(&self) -> Lead {
        self.lead
    }

    /// The calls on these counts, one for each plot of the design.
    ///
    /// # Errors
    /// A number of counts that differs from the design's plots.
    pub fn call(&self, counts: &[u64]) -> Result<Screened, Error> {
        let table = self.with(counts);
        let model = Marginal::new(&table, &self.offset, &self.matrix)?;
        let full = model.fit(None, None);
        let p = match (self.lead, &self.settings.scheme) {
            (Lead::Randomisation, Some(scheme)) => {
                let scores = scores(&table, &self.offset)?;
                let codes = &table.treatment.codes;
                Some(
                    against_control(&scores, codes, scheme, &self.settings.randomisation)?
                        .p_adjusted,
                )
            }
            _ => None,
        };
        let totals = table.totals();
        let calls = (1..totals.len())
            .map(|j| {
                let profile = self.profile(&model, &full, j, counts);
                let ratio = ratio(&totals, j, &full);
                let found = match &p {
                    Some(p) => p[j - 1] <= self.question.alpha,
                    None => self.testable() && profile.t(0.0) > self.bound,
                };
                let matters = if found {
                    Matters::Perhaps
                } else {
                    self.reach(&profile, &totals, j, ratio)
                };
                self.question.call(found, ratio, matters)
            })
            .collect();
        Ok(Screened {
            calls,
            settled: full.convergence.reached(),
        })
    }

    /// Whether the interval of each treatment holds its ratio; where a ratio is 1 the leading test
    /// decides. Fewer ratios than treatments ask only for the first ones.
    ///
    /// # Errors
    /// As [`Screen::call`].
    pub fn covers(&self, counts: &[u64], ratios: &[f64]) -> Result<Vec<bool>, Error> {
        let none = ratios.contains(&1.0);
        let calls = if none {
            self.call(counts)?.calls
        } else {
            Vec::new()
        };
        let table = self.with(counts);
        let model = Marginal::new(&table, &self.offset, &self.matrix)?;
        let full = model.fit(None, None);
        let covered = ratios.iter().enumerate().map(|(j, &ratio)| {
            if ratio == 1.0 {
                return !matches!(calls.get(j), Some(Call::BeatTheControl | Call::DidWorse));
            }
            let profile = self.profile(&model, &full, j + 1, counts);
            !self.testable() || profile.t(ratio.ln()) <= self.bound
        });
        Ok(covered.collect())
    }

    fn with(&self, counts: &[u64]) -> PlotTable {
        PlotTable {
            counts: counts.to_vec(),
            ..self.table.clone()
        }
    }

    fn testable(&self) -> bool {
        self.calibration.df >= 1.0
    }

    fn profile<'p, 'a>(
        &self,
        model: &'p Marginal<'a>,
        full: &'p MarginalFit,
        column: usize,
        counts: &[u64],
    ) -> Profile<'p, Marginal<'a>> {
        let total: u64 = counts.iter().sum();
        let mean = total as f64 / counts.len() as f64;
        let calibration = Calibration {
            mean,
            ..self.calibration
        };
        Profile::new(model, full, column, calibration)
    }

    /// Whether the interval reaches the worthwhile ratio, from the distance of that ratio alone.
    fn reach(
        &self,
        profile: &Profile<'_, Marginal<'_>>,
        totals: &[u64],
        j: usize,
        ratio: f64,
    ) -> Matters {
        if !self.testable() || (totals[j] == 0 && totals[0] == 0) {
            return Matters::Perhaps;
        }
        let worthwhile = self.question.worthwhile_ratio;
        let short = match self.question.better {
            Better::Fewer => ratio > worthwhile,
            Better::More => ratio < worthwhile,
        };
        if short && profile.t(worthwhile.ln()) > self.bound {
            Matters::No
        } else {
            Matters::Perhaps
        }
    }
}

/// Bound on the t scale for all treatments together.
fn bound(alpha: f64, lambda: &[f64], df: f64) -> Result<f64, Error> {
    match lambda {
        [_] => Ok(laws::t_quantile(1.0 - alpha / 2.0, df)),
        _ => dunnett::critical(alpha, lambda, df, Sided::Two),
    }
}

/// Estimated ratio of treatment `j` to the control, 1 where both are empty.
fn ratio(totals: &[u64], j: usize, full: &MarginalFit) -> f64 {
    match (totals[j], totals[0]) {
        (0, 0) => 1.0,
        (0, _) => 0.0,
        (_, 0) => f64::INFINITY,
        _ => full.beta[j].exp(),
    }
}

/// Smallest p-value that re-allocation could give any treatment of this design.
fn smallest_p(table: &PlotTable, scheme: &Scheme) -> Result<f64, Error> {
    let none = crate::randomisation::RandomisationSettings {
        limit: 0,
        draws: 0,
        seed: 0,
    };
    let flat = vec![0.0; table.counts.len()];
    let test = against_control(&flat, &table.treatment.codes, scheme, &none)?;
    Ok(test.smallest_p.iter().copied().fold(0.0, f64::max))
}
