//! Is a method no worse than a reference, within a margin stated beforehand?
//!
//! A ratio to the reference with its interval, as EPPO PP 1/152 and Hothorn & Bleiholder (2006) ask for ratios.

use halfgreen_analysis::comparison::{Better, Settings, compare};
use serde::Serialize;

use super::one_page::Gate;
use super::tested_ratio::finite;
use super::wording::{high_is_markov_bound, low_is_markov_bound, stated_high, stated_low};
use crate::Error;
use crate::trial_data::TrialData;
use crate::trial_data::plot_table::table;

/// Methods beside a reference.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NonInferiority {
    /// The reference.
    pub reference: String,
    /// How much worse would still do, per cent of the reference's mean.
    pub margin_percent: f64,
    /// Each other method.
    pub rows: Vec<NonInferiorityRow>,
}

/// One method beside the reference.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NonInferiorityRow {
    /// Method.
    pub treatment: String,
    /// Ratio of mean counts, method to reference.
    pub ratio: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// Whether the lower limit is only what holds for any scatter whatever (Markov's inequality).
    pub low_is_markov_bound: bool,
    /// Whether the upper limit is.
    pub high_is_markov_bound: bool,
    /// Whether the bad end of the interval is inside the margin, and every method was shown to differ from the control.
    pub non_inferior: bool,
    /// In plain words.
    pub sentence: String,
}

/// Compares every method with the reference, which takes the control's place in the same model. A method is shown to be
/// no worse only where the page's gate is open: every method, the reference among them, differs from the control.
///
/// # Errors
/// A reference that is not a treatment, or is the control; a margin that is not above 0 (and below 100 where
/// more is better).
pub(super) fn non_inferiority(
    data: &TrialData,
    gate: Gate,
) -> Result<Option<NonInferiority>, Error> {
    let Some(asked) = &data.secondary.reference else {
        return Ok(None);
    };
    let at = data.treatments.iter().position(|t| *t == asked.treatment);
    let Some(at) = at.filter(|&i| i > 0) else {
        return Err(Error::in_field(
            "reference",
            format!(
                "\"{}\" is not one of the methods ({})",
                asked.treatment,
                data.treatments[1..].join(", ")
            ),
            "Name a method other than the control.",
        ));
    };
    let better = data.question.better;
    let margin = asked.margin_percent / 100.0;
    let usable = margin > 0.0 && margin.is_finite() && (better == Better::Fewer || margin < 1.0);
    if !usable {
        return Err(Error::in_field(
            "margin",
            format!("{} per cent is no margin", asked.margin_percent),
            "Give how much worse than the reference would still do, for example 20.",
        ));
    }
    let mut turned = data.clone();
    let (reference, name) = (turned.treatments.remove(at), turned.names.remove(at));
    turned.treatments.insert(0, reference.clone());
    turned.names.insert(0, name.clone());
    let settings = Settings {
        scheme: None,
        primary_test: None,
        randomisation: halfgreen_analysis::randomisation::RandomisationSettings::default(),
    };
    let found = compare(&table(&turned), &data.question, &settings)?.contrasts;
    let rows = found
        .iter()
        .zip(&turned.names[1..])
        .filter(|(c, _)| c.treatment != data.treatments[0])
        .map(|(c, method)| {
            let inside = match better {
                Better::Fewer => c.interval.high < 1.0 + margin,
                Better::More => c.interval.low > 1.0 - margin,
            };
            let shown = inside && gate.open();
            let alpha = data.question.alpha;
            let end = match better {
                Better::Fewer => stated_high(c, alpha),
                Better::More => Some(stated_low(c, alpha)).filter(|low| *low > 0.0),
            };
            NonInferiorityRow {
                treatment: c.treatment.clone(),
                ratio: c.ratio.and_then(finite),
                low: finite(c.interval.low),
                high: finite(c.interval.high),
                low_is_markov_bound: low_is_markov_bound(c, alpha),
                high_is_markov_bound: high_is_markov_bound(c, alpha),
                non_inferior: shown,
                sentence: meaning(
                    (method, &name),
                    end,
                    asked.margin_percent,
                    (inside, shown),
                    better,
                ),
            }
        })
        .collect();
    Ok(Some(NonInferiority {
        reference,
        margin_percent: asked.margin_percent,
        rows,
    }))
}

/// `end` is the bad end of the interval; absent where the counts set none.
fn meaning(
    (method, reference): (&str, &str),
    end: Option<f64>,
    margin: f64,
    (inside, shown): (bool, bool),
    better: Better,
) -> String {
    let end = match (end, better) {
        (Some(end), _) => format!("{end:.2} times the count under {reference}"),
        (None, Better::Fewer) => format!("any multiple of the count under {reference}"),
        (None, Better::More) => format!("any fraction of the count under {reference}"),
    };
    if shown {
        format!(
            "{method} is no worse than {reference} by {margin} % or more: at worst its count is {end}."
        )
    } else if inside {
        format!(
            "Beside {reference}, the count of {method} is likely at worst {end}; that is a description, for not every method was \
             shown to differ from the control."
        )
    } else {
        format!(
            "It is not shown that {method} is as good as {reference} within {margin} %: its count may be {end}."
        )
    }
}
