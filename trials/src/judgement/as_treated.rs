//! The trial as treated: a second analysis by what happened to the plots, no longer protected by randomisation.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Call, PrimaryTest, Relevance, Settings, compare};
use halfgreen_analysis::randomisation::RandomisationSettings;
use jiff::civil::Date;
use serde::Serialize;

use super::factors;
use super::judge::{contrast_row, verdicts_of};
use super::result::{ContrastRow, Verdict};
use crate::design::{Protocol, TreatmentKind};
use crate::intake::Event;
use crate::text::spelling::number;
use crate::trial_data::plot_table::table;
use crate::trial_data::{AsTreatedData, Deviation, TrialData};
use crate::{Error, Warning};

/// A plot covered over less than half of its ground counts as uncovered (no source: the greater part of
/// the plot decides what its count is of).
pub const LEAST_COVERED: f64 = 0.5;

/// The comparison as treated.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AsTreated {
    /// The rule by which plots were counted anew.
    pub rule: String,
    /// Plots counted anew or left out.
    pub plots: Vec<Deviation>,
    /// Each method against the control; empty where nothing is left to compare.
    pub contrasts: Vec<ContrastRow>,
    /// Verdicts of this analysis.
    pub verdicts: Vec<Verdict>,
    /// How to read them.
    pub sentence: String,
}

/// The trial as treated; `None` where nothing changes.
///
/// The last event of a plot that tells a covered share decides, of those up to the day on which the plot was counted
/// (`counted_on`): what came after cannot have touched its count. A covering below `least_covered` is
/// counted as the control; a control plot covered that far or further is left out.
#[must_use]
pub fn as_treated(
    data: &TrialData,
    protocol: &Protocol,
    events: &[Event],
    least_covered: f64,
    counted_on: impl Fn(&str) -> Option<Date>,
) -> Option<AsTreatedData> {
    let last: BTreeMap<&str, (&Event, f64)> = events
        .iter()
        .filter(|e| !e.after(counted_on(&e.plot)))
        .filter_map(|e| Some((e.plot.as_str(), (e, e.covered_fraction?))))
        .collect();
    let covering = |code: &str| {
        protocol
            .treatments
            .iter()
            .any(|t| t.code == code && t.kind == TreatmentKind::Covering)
    };
    let control = &data.treatments[0];
    let mut deviations = Vec::new();
    let mut plots = Vec::with_capacity(data.plots.len());
    for plot in &data.plots {
        let mut plot = plot.clone();
        let Some((event, share)) = last.get(plot.plot.as_str()) else {
            plots.push(plot);
            continue;
        };
        let bare = covering(&plot.treatment) && *share < least_covered;
        let wrongly = plot.treatment == *control && !covering(control) && *share >= least_covered;
        if bare || wrongly {
            deviations.push(Deviation {
                plot: plot.plot.clone(),
                event: event.event.clone(),
                covered_fraction: *share,
                randomised_to: plot.treatment.clone(),
                analysed_as: bare.then(|| control.clone()),
            });
        }
        if bare {
            plot.treatment.clone_from(control);
        }
        if !wrongly {
            plots.push(plot);
        }
    }
    if deviations.is_empty() {
        return None;
    }
    let mut second = data.clone();
    second.secondary = crate::trial_data::Secondary::default();
    second.plots = plots;
    second.reference_set = None;
    second.primary_test = Some(PrimaryTest::Model);
    // A treatment that no plot kept has nothing to be compared.
    let kept: Vec<bool> = second
        .treatments
        .iter()
        .map(|t| second.plots.iter().any(|p| p.treatment == *t))
        .collect();
    let mut keep = kept.iter();
    second
        .treatments
        .retain(|_| keep.next().copied().unwrap_or(false));
    let mut keep = kept.iter();
    second
        .names
        .retain(|_| keep.next().copied().unwrap_or(false));
    Some(AsTreatedData {
        least_covered,
        deviations,
        data: second,
    })
}

/// Judges the second data by the model. It shows nothing by itself: a call stands only where the verdict `as_drawn` has the
/// same.
pub(super) fn judged(
    treated: &AsTreatedData,
    as_drawn: &[Verdict],
    warnings: &mut Vec<Warning>,
) -> AsTreated {
    let data = &treated.data;
    let settings = Settings {
        scheme: None,
        primary_test: Some(PrimaryTest::Model),
        randomisation: RandomisationSettings::default(),
    };
    let found = if data.treatments.len() < 2 {
        None
    } else {
        compare(&table(data), &data.question, &settings)
            .map_err(|refused| {
                let refused: Error = refused.into();
                warnings.push(Warning {
                    code: "as-treated-not-judged",
                    message: format!("{}; {}", refused.what, refused.cure),
                    place: None,
                });
            })
            .ok()
    };
    // A combination that no plot kept leaves the factors without their question.
    let complete = data
        .factors
        .iter()
        .all(|f| f.level_of.len() == data.treatments.len());
    let factors = if complete && found.is_some() {
        factors::judged(data, &table(data), PrimaryTest::Model, &settings)
            .ok()
            .flatten()
    } else {
        None
    };
    let least = treated.least_covered;
    let plots = number(treated.deviations.len(), "plot");
    let sentence = if found.is_some() {
        format!(
            "By what happened, {plots} changed sides. This second analysis is no longer protected by the draw: the \
             plots that the wind uncovered were not chosen by lot. The verdict stays that of the trial as laid out."
        )
    } else {
        format!(
            "By what happened, {plots} changed sides, and no plots are left to compare. The verdict stays that of \
             the trial as laid out."
        )
    };
    AsTreated {
        rule: format!(
            "A plot to be covered whose last recorded covered share is below {least} is counted as the control; a control \
             plot covered over {least} or more of its ground is left out."
        ),
        plots: treated.deviations.clone(),
        contrasts: found
            .iter()
            .flat_map(|f| {
                let family = (f.primary_test, f.contrasts.len());
                let rows = f.contrasts.iter();
                rows.map(move |c| contrast_row(data, family, c))
            })
            .collect(),
        verdicts: found
            .iter()
            .flat_map(|f| verdicts_of(data, f, factors.as_ref()))
            .map(|v| described(data, as_drawn, v))
            .collect(),
        sentence,
    }
}

/// A call that the verdict of the trial as drawn does not share becomes a description.
fn described(data: &TrialData, as_drawn: &[Verdict], verdict: Verdict) -> Verdict {
    let mut drawn = as_drawn.iter().filter(|v| v.treatment == verdict.treatment);
    if verdict.call == Call::CannotTell || drawn.any(|v| v.call == verdict.call) {
        return verdict;
    }
    let method = data.name_of(&verdict.treatment);
    Verdict {
        call: Call::CannotTell,
        relevance: Relevance::Undecided,
        sentence: format!(
            "{method} reads otherwise by what happened than as drawn: see the table. That is a description; only what is drawn by \
             lot can show it."
        ),
        ..verdict
    }
}
