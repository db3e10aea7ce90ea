//! What a method leaves: a ratio with its interval, the verdict on it, and the chance that it does nothing.

use halfgreen_analysis::comparison::{Better, Call};
use halfgreen_analysis::distributions::{normal_quantile, normal_sf};
use halfgreen_analysis::efficacy::Bounded;

use crate::Error;
use crate::judgement::Judgement;

/// What a method leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// Name of the method for people.
    pub method: String,
    /// Ratio of means, method to control, with its limits; the upper one may be infinite.
    pub ratio: Bounded,
    /// Confidence level of the limits.
    pub level: f64,
    /// The verdict.
    pub call: Call,
    /// The verdict in a sentence; empty where the ratio was typed.
    pub sentence: String,
    /// Confidence that the method removes nothing; `None` where it cannot be had.
    pub chance_of_nothing: Option<f64>,
    /// What that rests on.
    pub chance_basis: &'static str,
    /// Where the ratio comes from.
    pub basis: String,
}

/// Basis of a chance from a trial.
const OF_TEST: &str = "half the two-sided p of the model test, read as a confidence distribution: not a probability that anybody \
                       could check, and it knows nothing beyond this trial";
/// Basis of a chance from a typed interval.
const OF_LIMITS: &str = "the two limits taken as those of a normal law of the log ratio, read as a confidence distribution: not a \
                         probability that anybody could check";

/// The control's mean per square metre in a judged trial, with its limits.
///
/// # Errors
/// A trial whose means are not per square metre, or that has no control mean.
pub fn control_of(found: &Judgement, place: &str) -> Result<Bounded, Error> {
    let refused = |what: &str| Error::new(place, what, "Write the counts of the green instead.");
    if found.per != "m2" {
        return Err(refused("the means of the trial are not per square metre"));
    }
    let mean = found.means.first();
    let mean = mean.ok_or_else(|| refused("the trial has no mean of a control"))?;
    Ok(Bounded {
        estimate: mean.marginal_mean,
        low: mean.low.unwrap_or(0.0).min(mean.marginal_mean),
        high: mean.high.unwrap_or(f64::INFINITY).max(mean.marginal_mean),
    })
}

impl Effect {
    /// The effect of a treatment of a judged trial; the only method where none is named. `names` gives treatments their names
    /// for people.
    ///
    /// # Errors
    /// A trial in which more is better, a treatment that it does not have or several to choose from, a ratio that does not exist.
    pub fn of_trial(
        found: &Judgement,
        treatment: Option<&str>,
        names: impl Fn(&str) -> String,
        place: &str,
    ) -> Result<Self, Error> {
        if found.better == Better::More {
            let what =
                "the trial counts what came up, where more is better, not what is left in the turf";
            return Err(Error::new(
                place,
                what,
                "Name a trial of larvae left, or write a ratio with its limits.",
            ));
        }
        let codes: Vec<&str> = found
            .contrasts
            .iter()
            .map(|c| c.treatment.as_str())
            .collect();
        let row = match (treatment, found.contrasts.as_slice()) {
            (None, [only]) => Some(only),
            (None, _) => {
                let what = format!("the trial has several methods: {}", codes.join(", "));
                return Err(Error::new(
                    place,
                    what,
                    "Name the one that the sheet is, as treatment = \"...\".",
                ));
            }
            (Some(code), rows) => rows.iter().find(|c| c.treatment == code),
        };
        let Some(row) = row else {
            let what = format!("the trial has no method {}", treatment.unwrap_or_default());
            return Err(Error::new(
                place,
                what,
                format!("Its methods are {}.", codes.join(", ")),
            ));
        };
        let Some(estimate) = row.ratio else {
            let what = format!(
                "the trial has no ratio for {}: too little was found",
                row.treatment
            );
            return Err(Error::new(
                place,
                what,
                "Write a ratio with its limits, or count again.",
            ));
        };
        let ratio = Bounded {
            estimate,
            low: row.low.unwrap_or(0.0).min(estimate),
            high: row.high.unwrap_or(f64::INFINITY).max(estimate),
        };
        let verdict = found.verdicts.iter().find(|v| v.treatment == row.treatment);
        let verdict = verdict.filter(|_| found.factors.is_empty());
        let half = 0.5 * row.p_model;
        Ok(Self {
            method: names(&row.treatment),
            ratio,
            level: row.confidence_level,
            call: verdict.map_or_else(|| call_of(ratio, None), |v| v.call),
            sentence: verdict.map_or_else(String::new, |v| v.sentence.clone()),
            chance_of_nothing: Some(if estimate < 1.0 { half } else { 1.0 - half }),
            chance_basis: OF_TEST,
            basis: format!("the trial in {place}"),
        })
    }

    /// A typed ratio with the limits of a 95 % interval.
    #[must_use]
    pub fn typed(method: &str, ratio: Bounded, worthwhile_percent: Option<f64>) -> Self {
        Self {
            method: method.to_owned(),
            ratio,
            level: LEVEL,
            call: call_of(ratio, worthwhile_percent),
            sentence: String::new(),
            chance_of_nothing: above_one(ratio),
            chance_basis: OF_LIMITS,
            basis: "the ratio as typed".to_owned(),
        }
    }
}

/// Level of what is typed, and of intervals of counts.
pub const LEVEL: f64 = 0.95;

/// The verdict that an interval gives.
fn call_of(ratio: Bounded, worthwhile_percent: Option<f64>) -> Call {
    let worthwhile = worthwhile_percent.map(|p| 1.0 - p / 100.0);
    if ratio.low > 1.0 {
        Call::DidWorse
    } else if worthwhile.is_some_and(|w| ratio.low > w) {
        Call::TooSmallToMatter
    } else if ratio.high < 1.0 {
        Call::BeatTheControl
    } else {
        Call::CannotTell
    }
}

/// Confidence that a ratio is 1 or more, by a normal law of its logarithm on each side of the estimate.
fn above_one(ratio: Bounded) -> Option<f64> {
    let Bounded {
        estimate,
        low,
        high,
    } = ratio;
    let reach = normal_quantile(0.5 + 0.5 * LEVEL);
    let (limit, distance) = if estimate < 1.0 {
        (high, -estimate.ln())
    } else {
        (low, estimate.ln())
    };
    let side = (limit / estimate).ln().abs();
    if !(estimate > 0.0 && side > 0.0 && side.is_finite()) {
        return None;
    }
    let beyond = normal_sf(reach * distance / side);
    Some(if estimate < 1.0 { beyond } else { 1.0 - beyond })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(estimate: f64, low: f64, high: f64) -> Bounded {
        Bounded {
            estimate,
            low,
            high,
        }
    }

    #[test]
    fn a_typed_interval_gives_its_verdict() {
        let call = |r, w| Effect::typed("sheet", r, w).call;
        assert_eq!(call(ratio(0.4, 0.2, 0.8), None), Call::BeatTheControl);
        assert_eq!(
            call(ratio(0.9, 0.8, 0.99), Some(40.0)),
            Call::TooSmallToMatter
        );
        assert_eq!(call(ratio(0.7, 0.4, 1.2), Some(40.0)), Call::CannotTell);
        assert_eq!(call(ratio(1.6, 1.1, 2.0), Some(40.0)), Call::DidWorse);
    }

    /// A limit at 1 leaves 2.5 % beyond; the estimate at 1 leaves half.
    #[test]
    fn the_chance_of_nothing_is_the_tail_beyond_one() {
        let chance = |r| Effect::typed("sheet", r, None).chance_of_nothing;
        assert!((chance(ratio(0.5, 0.25, 1.0)).unwrap() - 0.025).abs() < 1e-9);
        assert!((chance(ratio(1.0, 0.5, 2.0)).unwrap() - 0.5).abs() < 1e-9);
        assert!((chance(ratio(2.0, 1.0, 4.0)).unwrap() - 0.975).abs() < 1e-9);
        assert_eq!(chance(ratio(0.0, 0.0, 0.5)), None);
    }
}
