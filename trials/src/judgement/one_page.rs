//! One page, one error rate: what beside the verdicts is a finding.
//!
//! The verdicts come first, at the error rate of the trial over all methods. A second answer (a method on a later
//! occasion, its change since before, whether the effect stayed the same) is a finding only where every method was shown
//! to differ from the control, and then by Holm's method (1979) over all second answers. Where a reference is named, the
//! methods beside it come between the two: only where every one of them is shown to come close enough are the others
//! tested. All else is told as description.
//!
//! The seal states the rule ([`FINDINGS`](crate::design::FINDINGS)).
//!
//! So a page has a false finding no oftener than the error rate says. If some method does not differ, a second answer is
//! a finding only after a false verdict, and that one is counted already; if all differ, no verdict is false and Holm's
//! method keeps the rate (serial gatekeeping: Westfall & Krishen 2001, J. Stat. Plan. Inference 99:25-40).

use halfgreen_analysis::comparison::{Comparison, Contrast, PrimaryTest};
use halfgreen_analysis::multiplicity::holm;

use super::factors::Factors;
use super::non_inferiority::NonInferiority;
use super::occasions::OccasionRow;
use super::over_time::{ChangeRow, TreatmentByOccasionRow};
use super::tested_ratio::{TestedRatio, primary_p};

/// How a page tells its rule.
pub const RULE_IN_WORDS: &str = "What this page calls a finding is wrong on no more pages than the accepted error rate says: second answers \
                                 are tested only where every method was shown to differ from the control, all of them together \
                                 (Holm's method). What is not tested so is told as a description.";

/// What must be passed before a second answer can be a finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gate {
    /// Smallest error rate at which it opens.
    p: f64,
    /// Error rate of the page.
    alpha: f64,
}

impl Gate {
    /// That of the verdicts: the largest of their p-values. Where the treatments are levels of factors, the verdicts are
    /// those of the factors.
    pub(super) fn of_verdicts(found: &Comparison, factors: Option<&Factors>, alpha: f64) -> Self {
        let p = |c: &Contrast| {
            primary_p(
                found.primary_test,
                c.p_model_adjusted,
                c.p_randomisation_adjusted,
            )
        };
        let largest = match factors {
            Some(factors) => factors.contrasts().map(p).fold(0.0, f64::max),
            None => found.contrasts.iter().map(p).fold(0.0, f64::max),
        };
        Self { p: largest, alpha }
    }

    /// Whether it is open.
    pub(super) fn open(self) -> bool {
        self.p <= self.alpha
    }

    /// Shut where a method beside the reference was not shown to come close enough.
    pub(super) fn after(self, reference: Option<&NonInferiority>) -> Self {
        let shown = reference.is_none_or(|r| r.rows.iter().all(|row| row.non_inferior));
        Self {
            p: if shown { self.p } else { 1.0 },
            ..self
        }
    }
}

/// The second answers that are tested together.
pub(super) struct SecondAnswers<'a> {
    pub(super) later: Vec<&'a mut OccasionRow>,
    pub(super) since_before: Vec<&'a mut ChangeRow>,
    pub(super) lasted: Option<&'a mut TreatmentByOccasionRow>,
}

impl SecondAnswers<'_> {
    /// Gives each its p-value on the page and whether it is a finding. `primary_test` decides whose p-values count, each
    /// method's alone: Holm's method allows for methods and occasions alike.
    pub(super) fn settle(&mut self, gate: Gate, primary_test: PrimaryTest) {
        let alone = |t: &TestedRatio| primary_p(primary_test, t.p_model, t.p_randomisation);
        let mut p: Vec<f64> = self.later.iter().map(|o| alone(&o.tested)).collect();
        p.extend(self.since_before.iter().map(|c| alone(&c.tested)));
        p.extend(self.lasted.iter().map(|l| l.p));
        let mut settled = holm(&p).into_iter().map(|p| p.max(gate.p));
        let mut next = || settled.next().unwrap_or(1.0);
        for row in &mut self.later {
            row.tested.on_page(next(), gate.alpha);
        }
        for row in &mut self.since_before {
            row.tested.on_page(next(), gate.alpha);
        }
        if let Some(row) = &mut self.lasted {
            let p = next();
            row.p_on_page = p;
            row.finding = p <= gate.alpha;
        }
    }
}
