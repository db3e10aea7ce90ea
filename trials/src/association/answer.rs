//! What pooling gives back, with the keys that programs read.

use halfgreen_analysis::comparison::{Better, Call, Relevance};
use halfgreen_analysis::distributions::{normal_quantile, t_quantile};
use halfgreen_analysis::meta_analysis::{BetweenVariance, IntervalMethod};
use serde::Serialize;

use super::LeftOut;
use super::empty_arms::EmptyArms;
use super::moderators::ModeratorRow;
use super::network::Network;
use super::next_club::NextClub;
use super::small_studies::SmallStudies;

/// What the trials of many clubs say together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Association {
    /// The method that was asked for, or else the one of most trials.
    #[serde(flatten)]
    pub answer: MethodAnswer,
    /// The other methods, those of most trials first.
    pub methods: Vec<MethodAnswer>,
    /// All methods in one consistent comparison; null with one method, or where no chain of trials links them.
    pub network: Option<Network>,
    /// Error rate over all methods together.
    pub alpha: f64,
    /// What would be worth having: change of the count in per cent.
    pub worthwhile_percent: f64,
    /// Whether clubs stand here by codes.
    pub anonymised: bool,
    /// How many trials, or lines, were left out.
    pub left_out_number: usize,
    /// What was left out, and why.
    pub left_out: Vec<LeftOut>,
}

impl Association {
    /// Every method, the one asked for first.
    pub fn all(&self) -> impl Iterator<Item = &MethodAnswer> {
        std::iter::once(&self.answer).chain(&self.methods)
    }
}

/// One method over all trials that tried it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MethodAnswer {
    /// Its code.
    pub treatment: String,
    /// Its name for people.
    pub name: String,
    /// Its sort, where it is known.
    pub kind: Option<String>,
    /// What was counted, where all trials call it the same.
    pub counted: String,
    /// Which direction is good.
    pub better: Better,
    /// Clubs that tried it and whose effect is pooled.
    pub clubs: usize,
    /// Average effect: natural logarithm of the ratio of means; null where no trial has one.
    pub effect: Option<f64>,
    /// Its standard error.
    pub se: Option<f64>,
    /// Lower limit of the effect.
    pub low: Option<f64>,
    /// Upper limit of the effect.
    pub high: Option<f64>,
    /// The effect as a ratio.
    pub ratio: Option<f64>,
    /// Its lower limit.
    pub ratio_low: Option<f64>,
    /// Its upper limit.
    pub ratio_high: Option<f64>,
    /// Confidence level of all limits of this method: of several, all hold together (Bonferroni).
    pub confidence_level: f64,
    /// Two-sided p of no effect on average, for this method alone.
    pub p: Option<f64>,
    /// The same for all methods together (Bonferroni): the verdict follows it.
    pub p_adjusted: Option<f64>,
    /// Degrees of freedom of interval and p; null for the normal law.
    pub df: Option<f64>,
    /// Variance of true effects between trials.
    pub tau2: Option<f64>,
    /// Its lower limit (Q-profile).
    pub tau2_low: Option<f64>,
    /// Its upper limit; null where it has none.
    pub tau2_high: Option<f64>,
    /// Share of the scatter that is not sampling error, per cent.
    pub i2: Option<f64>,
    /// Cochran's Q.
    pub q: Option<f64>,
    /// Its degrees of freedom.
    pub q_df: Option<usize>,
    /// Its p.
    pub q_p: Option<f64>,
    /// Lower limit of the effect that the next club may have; null with one trial.
    pub prediction_low: Option<f64>,
    /// Upper limit.
    pub prediction_high: Option<f64>,
    /// Every trial.
    pub trials: Vec<TrialRow>,
    /// How it was pooled.
    pub method: Pooling,
    /// The call.
    pub call: Call,
    /// Whether the average effect is worth having.
    pub relevance: Relevance,
    /// The verdict in plain words.
    pub sentence: String,
    /// What the next clubs may expect; null with fewer trials than can tell.
    pub next_club: Option<NextClub>,
    /// The answer without each club in turn, of very many those of the greatest weight; empty with fewer than three clubs.
    pub leave_one_out: Vec<WithoutClub>,
    /// The average by the likelihood of counts, where an arm of some trial is empty; null where none is.
    pub empty_arms: Option<EmptyArms>,
    /// Whether small trials find other effects; null where there are too few trials to ask.
    pub small_studies: Option<SmallStudies>,
    /// Whether the effect follows what trials differ in, for each thing asked.
    pub moderators: Vec<ModeratorRow>,
    /// What the reader should know of these figures.
    pub cautions: Vec<String>,
}

/// One trial in the pool.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrialRow {
    /// What it is called.
    pub trial: String,
    /// Whose it is.
    pub club: String,
    /// Year.
    pub season: Option<i16>,
    /// Its own effect; null where an arm is empty.
    pub effect: Option<f64>,
    /// Its standard error.
    pub se: Option<f64>,
    /// Degrees of freedom of that.
    pub df: Option<f64>,
    /// Its own lower limit, as a ratio.
    pub ratio_low: Option<f64>,
    /// Its own upper limit.
    pub ratio_high: Option<f64>,
    /// Share of the average that it makes; null where it is not in it.
    pub weight: Option<f64>,
    /// Animals found under the method.
    pub treated_count: Option<u64>,
    /// Animals found under the control.
    pub control_count: Option<u64>,
    /// Whether nothing was found under one of the two.
    pub zero_arm: bool,
    /// Its own verdict.
    pub call: Option<Call>,
    /// Where it comes from; empty where clubs stand by codes.
    pub source: String,
}

/// Level of the limits that are made for a trial that brought none.
const LEVEL: f64 = 0.95;

impl MethodAnswer {
    /// So many trials of the greatest weight, in the order in which they stand; all where there are no more.
    #[must_use]
    pub fn weightiest(&self, most: usize) -> Vec<&TrialRow> {
        let mut all: Vec<(usize, &TrialRow)> = self.trials.iter().enumerate().collect();
        // Stable, so that the first of equals comes first.
        all.sort_by(|a, b| {
            b.1.weight
                .unwrap_or(0.0)
                .total_cmp(&a.1.weight.unwrap_or(0.0))
        });
        all.truncate(most);
        all.sort_by_key(|(at, _)| *at);
        all.into_iter().map(|(_, trial)| trial).collect()
    }

    /// How many clubs were left out in turn where that was not each.
    #[must_use]
    pub fn clubs_of_most_weight(&self) -> Option<usize> {
        let tried = self.leave_one_out.len();
        (0 < tried && tried < self.clubs).then_some(tried)
    }
}

impl TrialRow {
    /// The ratio that the trial found: 0 where nothing was found under the method alone, none where it has no end or no meaning.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        let wiped_out = self.treated_count == Some(0) && self.control_count.is_some_and(|c| c > 0);
        self.effect.map(f64::exp).or(wiped_out.then_some(0.0))
    }

    /// Its own limits, as ratios; by its standard error where it brought none.
    #[must_use]
    pub fn likely(&self) -> (Option<f64>, Option<f64>) {
        if self.ratio_low.is_some() || self.ratio_high.is_some() {
            return (self.ratio_low, self.ratio_high);
        }
        let (Some(effect), Some(se)) = (self.effect, self.se) else {
            return (None, None);
        };
        let upper_tail = 0.5 + LEVEL / 2.0;
        let reach = se
            * match self.df {
                Some(df) => t_quantile(upper_tail, df),
                None => normal_quantile(upper_tail),
            };
        let limit = |log: f64| Some(log.exp()).filter(|x| x.is_finite());
        (limit(effect - reach), limit(effect + reach))
    }

    /// Club and trial where they differ, with the year.
    #[must_use]
    pub fn called(&self) -> String {
        let year = self.season.map_or(String::new(), |s| format!(" {s}"));
        let year = if self.trial.ends_with(&year) {
            String::new()
        } else {
            year
        };
        if self.club == self.trial || self.trial.starts_with(&self.club) {
            format!("{}{year}", self.trial)
        } else {
            format!("{}, {}{year}", self.club, self.trial)
        }
    }
}

/// How effects were pooled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pooling {
    /// Estimator of the variance between trials.
    pub between: BetweenVariance,
    /// How the interval is made.
    pub interval: IntervalMethod,
    /// What the variance of the average was multiplied by, before any bound (Hartung & Knapp); null where it is not used.
    pub hartung_knapp_factor: Option<f64>,
}

/// The answer without one club.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WithoutClub {
    /// The club left out.
    pub club: String,
    /// Average effect of the others.
    pub effect: f64,
    /// Its lower limit.
    pub low: f64,
    /// Its upper limit.
    pub high: f64,
    /// Variance between the others.
    pub tau2: f64,
    /// Share of their scatter that is not sampling error, per cent.
    pub i2: f64,
    /// What the call would be.
    pub call: Call,
}
