//! The trade's formulas beside the model's ratio.

use halfgreen_analysis::efficacy::{self, Pairing, Plot};
use halfgreen_analysis::results::Interval;
use serde::Serialize;

use crate::text::rounding::{Changes, NONE, change, figure, maybe};
use crate::trial_data::{PlotCount, TrialData};
use crate::{Error, Warning};

/// Efficacy of every treatment by each formula that the counts allow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Efficacy {
    /// Abbott: from the counts after treatment.
    pub abbott: Vec<EfficacyRow>,
    /// Henderson and Tilton: counts before and after; absent without counts before.
    pub henderson_tilton: Option<Vec<EfficacyRow>>,
    /// Sun and Shepard: fall under treatment and change in the control; absent without counts before.
    pub sun_shepard: Option<Vec<EfficacyRow>>,
    /// Schneider-Orelli: deaths among the animals exposed; absent without counts before, and without a value
    /// where more were found than were exposed.
    pub schneider_orelli: Option<Vec<EfficacyRow>>,
}

/// One formula's answers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Formula<'e> {
    /// Its name, and what it is worked out from.
    pub name: &'static str,
    /// The case in which it must not be used.
    pub not_where: &'static str,
    /// A row for each method.
    pub rows: &'e [EfficacyRow],
}

impl Efficacy {
    /// The formulas that the counts allow, in the order of what they ask for.
    pub fn formulas(&self) -> impl Iterator<Item = Formula<'_>> {
        let all = [
            (
                "Abbott (counts after treatment)",
                "plots did not start alike",
                Some(&self.abbott),
            ),
            (
                "Henderson and Tilton (counts before and after)",
                "an arm held nothing before, or so little that its own luck adds more noise than it takes away",
                self.henderson_tilton.as_ref(),
            ),
            (
                "Sun and Shepard (fall under treatment, change in the control)",
                "the control died out; from counts it is Henderson and Tilton's figure in other words",
                self.sun_shepard.as_ref(),
            ),
            (
                "Schneider-Orelli (deaths among the animals exposed)",
                "it was not the very same animals that were found again: larvae in turf move, are eaten and are not followed",
                self.schneider_orelli.as_ref(),
            ),
        ];
        all.into_iter().filter_map(|(name, not_where, rows)| {
            Some(Formula {
                name,
                not_where,
                rows: rows?,
            })
        })
    }
}

impl Efficacy {
    /// A warning for each figure or interval that does not exist.
    pub(super) fn without_value(&self) -> Vec<Warning> {
        let rows = self
            .formulas()
            .flat_map(|f| f.rows.iter().map(move |r| (f.name, r)));
        rows.filter(|(_, r)| r.percent.is_none() || r.low.is_none() || r.high.is_none())
            .map(|(name, r)| Warning {
                code: "efficacy-without-value",
                message: format!(
                    "{name} has no {} for {}{}",
                    if r.percent.is_none() {
                        "value"
                    } else {
                        "interval"
                    },
                    r.treatment,
                    r.cautions
                        .first()
                        .map_or(String::new(), |c| format!(": {c}"))
                ),
                place: None,
            })
            .collect()
    }
}

/// Efficacy of one treatment in per cent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EfficacyRow {
    /// Treatment.
    pub treatment: String,
    /// Per cent of the control.
    pub percent: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// When the figure must not be used, or not without care.
    pub cautions: Vec<String>,
}

/// What is said in the place of the formulas where they would call a gain a loss.
pub const NO_EFFICACY: &str = "These formulas tell how many fewer a treatment leaves. Here more is better, so that they say nothing.";

impl EfficacyRow {
    /// The figure for people; where a method leaves more than the control, how many times as many, for below nothing no share
    /// can fall.
    #[must_use]
    pub fn figure_in_words(&self) -> String {
        match self.percent {
            None => NONE.to_owned(),
            Some(percent) if percent < 0.0 => format!("none ({})", change(left(percent))),
            Some(percent) => format!("{} %", figure(percent)),
        }
    }

    /// Its limits for people, the lower one first.
    #[must_use]
    pub fn range_in_words(&self) -> String {
        match (self.low, self.high) {
            (None, None) => NONE.to_owned(),
            (low, high) if low.is_none_or(|l| l < 0.0) => {
                let (fewest, most) = (high.map(left), low.map(left));
                let told = Changes::of(None, fewest, most);
                told.ends(fewest, most).join(" to ")
            }
            (low, high) => format!("{} to {} %", maybe(low), maybe(high)),
        }
    }
}

/// What an efficacy leaves, of 1 in the control.
fn left(percent: f64) -> f64 {
    1.0 - percent / 100.0
}

/// A formula of the trade.
type Works =
    fn(&[Plot], &[Plot], Pairing, f64) -> Result<efficacy::Efficacy, halfgreen_analysis::Error>;

/// Works the formulas out, each plot's count per exposure.
///
/// # Errors
/// What Abbott's, Henderson and Tilton's and Sun and Shepard's formulas refuse.
pub(super) fn efficacy(data: &TrialData) -> Result<Efficacy, Error> {
    let before = data.plots.iter().all(|p| p.before.is_some());
    let rows = |formula: Works| -> Result<Vec<EfficacyRow>, Error> {
        let methods = data.treatments[1..].iter();
        methods.map(|t| row(data, t, formula)).collect()
    };
    let with_before = |formula: Works| before.then(|| rows(formula)).transpose();
    let orelli = |treatment: &String| {
        // Which animals were followed is not in the counts; a refusal shows that they were not.
        row(data, treatment, efficacy::schneider_orelli).unwrap_or_else(|_| EfficacyRow {
            treatment: treatment.clone(),
            percent: None,
            low: None,
            high: None,
            cautions: vec![
                "Schneider-Orelli's formula has no value here: a plot held more after than before, so that they were not the \
                 same animals."
                    .to_owned(),
            ],
        })
    };
    Ok(Efficacy {
        abbott: rows(efficacy::abbott)?,
        henderson_tilton: with_before(efficacy::henderson_tilton)?,
        sun_shepard: with_before(efficacy::sun_shepard)?,
        schneider_orelli: before.then(|| data.treatments[1..].iter().map(orelli).collect()),
    })
}

/// One formula for one method.
fn row(data: &TrialData, treatment: &str, formula: Works) -> Result<EfficacyRow, Error> {
    let (treated, control, pairing) = arms(data, treatment);
    let found = formula(&treated, &control, pairing, 1.0 - data.question.alpha)?;
    let limit =
        |of: fn(&Interval) -> f64| found.interval.as_ref().map(of).filter(|x| x.is_finite());
    Ok(EfficacyRow {
        treatment: treatment.to_owned(),
        percent: found.percent,
        low: limit(|i| i.low),
        high: limit(|i| i.high),
        cautions: found.cautions.into_iter().map(|c| c.message).collect(),
    })
}

/// What a plot held before, per exposure: of the count before where it is known with its own area,
/// else taken from the area of the main count.
fn start(data: &TrialData, plot: &PlotCount) -> Option<f64> {
    let visit = data.secondary.before.as_ref().and_then(|v| {
        let same = |p: &&PlotCount| p.plot == plot.plot;
        v.data.plots.iter().find(same)
    });
    match visit {
        Some(counted) => Some(counted.count as f64 / counted.exposure),
        None => plot.before.map(|b| b / plot.exposure),
    }
}

/// Plots of a treatment and of the control, paired by block where each block has one of each.
fn arms(data: &TrialData, treatment: &str) -> (Vec<Plot>, Vec<Plot>, Pairing) {
    let plot = |p: &PlotCount| Plot {
        before: start(data, p),
        after: p.count as f64 / p.exposure,
    };
    let of = |name: &str| {
        data.plots
            .iter()
            .filter(|p| p.treatment == name)
            .collect::<Vec<_>>()
    };
    let (treated, control) = (of(treatment), of(&data.treatments[0]));
    let partner = |p: &&PlotCount| {
        let mut same = control
            .iter()
            .filter(|c| c.block.is_some() && c.block == p.block);
        same.next().filter(|_| same.next().is_none())
    };
    let pairs: Option<Vec<&PlotCount>> = treated.iter().map(|p| partner(p).copied()).collect();
    match pairs {
        Some(partners) if partners.len() == control.len() => (
            treated.iter().map(|p| plot(p)).collect(),
            partners.iter().map(|p| plot(p)).collect(),
            Pairing::Blocks,
        ),
        _ => (
            treated.iter().map(|p| plot(p)).collect(),
            control.iter().map(|p| plot(p)).collect(),
            Pairing::None,
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(percent: f64, low: Option<f64>, high: Option<f64>) -> [String; 2] {
        let row = EfficacyRow {
            treatment: "S".to_owned(),
            percent: Some(percent),
            low,
            high,
            cautions: Vec::new(),
        };
        [row.figure_in_words(), row.range_in_words()]
    }

    #[test]
    fn no_efficacy_is_below_nothing() {
        assert_eq!(
            told(78.9, Some(59.7), Some(88.9)),
            ["78.9 %", "59.7 to 88.9 %"]
        );
        assert_eq!(
            told(20.7, Some(-66.7), Some(62.3)),
            ["20.7 %", "62 % fewer to 67 % more"]
        );
        assert_eq!(
            told(-1314.0, Some(-2000.0), Some(-800.0)),
            ["none (14 times as many)", "9 to 21 times as many"]
        );
        assert_eq!(
            told(40.0, None, Some(80.0))[1],
            "80 % fewer to any increase"
        );
    }
}
