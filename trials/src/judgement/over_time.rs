//! Later occasions: each judged like the main one, and whether the effect lasted.

use halfgreen_analysis::comparison::{Call, Contrast, Lead, compare};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::occasions::{Change, Visits, change_scores, changes, lasted};
use halfgreen_analysis::randomisation::{RandomisationSettings, against_control};
use serde::Serialize;

use super::case::{Case, Ground, PlotCount, Visit};
use super::diagnostics::leading_p;
use super::doubts::chance;
use super::judge::{settings, table};
use super::wording::{Words, sentence};
use crate::{Error, Warning};

/// A method on one occasion.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OccasionRow {
    /// Occasion.
    pub occasion: String,
    /// Method.
    pub treatment: String,
    /// Ratio to the control; null where it is infinite or not defined.
    pub ratio: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// p of the leading test, adjusted for several methods (not for several occasions).
    pub p: f64,
    /// Adjusted p of the model.
    pub p_model: f64,
    /// Adjusted p of re-allocation.
    pub p_randomisation: Option<f64>,
    /// The call.
    pub call: Call,
    /// In plain words.
    pub sentence: String,
}

/// Change of a method's ratio between two occasions: later over earlier, treated over control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChangeRow {
    /// Method.
    pub treatment: String,
    /// Earlier occasion.
    pub from: String,
    /// Later occasion.
    pub to: String,
    /// Ratio of changes; null where a cell is empty.
    pub ratio: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
    /// p of the leading test for this method alone.
    pub p: f64,
    /// p of the model with plots as random units.
    pub p_model: f64,
    /// p of re-allocating treatments over plots, scored by the change of each plot's log count.
    pub p_randomisation: Option<f64>,
    /// In plain words.
    pub sentence: String,
}

/// Did it last?
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LastedRow {
    /// Likelihood ratio of treatment by occasion, over all occasions from the main one.
    pub statistic: f64,
    /// Its degrees of freedom.
    pub df: usize,
    /// p of the model: F of stabilised counts, and no smaller than that of the likelihood ratio.
    pub p_model: f64,
    /// Smallest adjusted p of re-allocation, of the change from the main to the last occasion.
    pub p_randomisation: Option<f64>,
    /// p of the test that leads.
    pub p: f64,
    /// Changes from the main occasion to every later one.
    pub changes: Vec<ChangeRow>,
    /// In plain words.
    pub sentence: String,
}

/// Every occasion from the main one, judged alike.
pub(super) fn occasions(
    case: &Case,
    lead: Lead,
    whole: &[Contrast],
    seed: u64,
    warnings: &mut Vec<Warning>,
) -> Vec<OccasionRow> {
    if case.beside.follow_ups.is_empty() {
        return Vec::new();
    }
    let mut rows = rows(case, main_name(case), lead, whole);
    for visit in &case.beside.follow_ups {
        let settings = halfgreen_analysis::comparison::Settings {
            lead: Some(lead),
            ..settings(&visit.case, seed)
        };
        match compare(&table(&visit.case), &case.question, &settings) {
            Ok(found) => rows.extend(self::rows(
                &visit.case,
                &visit.occasion,
                found.lead,
                &found.contrasts,
            )),
            Err(refused) => warnings.push(not_judged(&visit.occasion, &refused.into())),
        }
    }
    rows
}

fn not_judged(occasion: &str, refused: &Error) -> Warning {
    Warning::at(
        "occasion-not-judged",
        format!("{}; {}", refused.what, refused.cure),
        format!("occasion {occasion}"),
    )
}

fn main_name(case: &Case) -> &str {
    case.beside.main.as_deref().unwrap_or("main")
}

fn finite(x: f64) -> Option<f64> {
    x.is_finite().then_some(x)
}

fn rows(case: &Case, occasion: &str, lead: Lead, contrasts: &[Contrast]) -> Vec<OccasionRow> {
    contrasts
        .iter()
        .zip(&case.names[1..])
        .map(|(c, name)| OccasionRow {
            occasion: occasion.to_owned(),
            treatment: c.treatment.clone(),
            ratio: c.ratio.and_then(finite),
            low: finite(c.interval.low),
            high: finite(c.interval.high),
            p: leading_p(lead, c),
            p_model: c.p_model_adjusted,
            p_randomisation: c.p_randomisation_adjusted,
            call: c.call,
            sentence: sentence(
                Words {
                    method: name,
                    control: &case.names[0],
                    counted: &case.counted,
                    lead,
                },
                &case.question,
                c,
            ),
        })
        .collect()
}

/// Before-after-control-impact ratios of every method.
///
/// # Errors
/// What the model refuses.
pub(super) fn change(case: &Case, lead: Lead, seed: u64) -> Result<Option<Vec<ChangeRow>>, Error> {
    let Some(before) = &case.beside.before else {
        return Ok(None);
    };
    let visit = Visit {
        occasion: main_name(case).to_owned(),
        case: case.clone(),
    };
    change_rows(&before.occasion, &before.case, &visit, lead, seed).map(Some)
}

/// Whether the ratio to the control stayed what it was on the main occasion.
///
/// # Errors
/// What the model refuses.
pub(super) fn did_it_last(case: &Case, lead: Lead, seed: u64) -> Result<Option<LastedRow>, Error> {
    let Some(last) = case.beside.follow_ups.last() else {
        return Ok(None);
    };
    let mut on = vec![(main_name(case), case)];
    on.extend(
        case.beside
            .follow_ups
            .iter()
            .map(|v| (v.occasion.as_str(), &v.case)),
    );
    let tested = lasted(&visits(&on))?;
    let mut found = Vec::new();
    for visit in &case.beside.follow_ups {
        found.extend(change_rows(main_name(case), case, visit, lead, seed)?);
    }
    let p_randomisation = reallocated(case, &last.case, seed)
        .map(|r| r.p_adjusted.iter().copied().fold(1.0, f64::min));
    let p = match (lead, p_randomisation) {
        (Lead::Randomisation, Some(p)) => p,
        _ => tested.p,
    };
    Ok(Some(LastedRow {
        statistic: tested.statistic,
        df: tested.df,
        p_model: tested.p,
        p_randomisation,
        p,
        sentence: lasted_sentence(case, p, &last.occasion, &found),
        changes: found,
    }))
}

fn lasted_sentence(case: &Case, p: f64, last: &str, found: &[ChangeRow]) -> String {
    let main = main_name(case);
    if p > case.question.alpha {
        return format!(
            "From {main} to {last} no change of the effect can be shown ({}); that is no proof that it lasted: see how far \
             each ratio may have moved.",
            chance(p)
        );
    }
    let sharpest = found
        .iter()
        .filter(|c| c.to == last)
        .min_by(|a, b| a.p.total_cmp(&b.p));
    match sharpest.and_then(|c| Some((c, c.ratio?))) {
        None => format!(
            "The effect did not stay the same from {main} to {last} ({}).",
            chance(p)
        ),
        Some((c, ratio)) => {
            let gained = case.question.is_good(ratio);
            format!(
                "The effect did not stay the same ({}): by {last}, {} had {} on the control, its ratio {ratio:.2} times that \
                 on {main}.",
                chance(p),
                name_of(case, &c.treatment),
                if gained { "gained" } else { "lost ground" },
            )
        }
    }
}

fn name_of<'c>(case: &'c Case, treatment: &'c str) -> &'c str {
    let at = case.treatments.iter().position(|t| t == treatment);
    at.and_then(|i| case.names.get(i))
        .map_or(treatment, String::as_str)
}

fn change_rows(
    from: &str,
    earlier: &Case,
    later: &Visit,
    lead: Lead,
    seed: u64,
) -> Result<Vec<ChangeRow>, Error> {
    let level = 1.0 - earlier.question.alpha;
    let both = visits(&[(from, earlier), (&later.occasion, &later.case)]);
    let drawn = reallocated(earlier, &later.case, seed);
    let found = changes(&both, level)?;
    Ok(found
        .into_iter()
        .enumerate()
        .map(|(at, c)| {
            let p_randomisation = drawn.as_ref().and_then(|r| Some(r.p.get(at)?.value));
            let p = match (lead, p_randomisation) {
                (Lead::Randomisation, Some(p)) => p,
                _ => c.p,
            };
            ChangeRow {
                sentence: change_sentence(earlier, from, &later.occasion, &c, p),
                treatment: c.treatment,
                from: from.to_owned(),
                to: later.occasion.clone(),
                ratio: c.ratio,
                low: finite(c.interval.low),
                high: finite(c.interval.high),
                p,
                p_model: c.p,
                p_randomisation,
            }
        })
        .collect())
}

fn change_sentence(case: &Case, from: &str, to: &str, c: &Change, p: f64) -> String {
    let method = name_of(case, &c.treatment);
    let control = &case.names[0];
    let Some(ratio) = c.ratio else {
        return format!(
            "From {from} to {to} nothing was found on one side of {method} or {control}: their changes have no ratio."
        );
    };
    let high = finite(c.interval.high).map_or("any factor".to_owned(), |h| format!("{h:.2}"));
    format!(
        "From {from} to {to} the count under {method} changed by {ratio:.2} times as much as under {control} (likely \
         between {:.2} and {high}, {}).",
        c.interval.low,
        chance(p)
    )
}

/// Re-allocation of treatments over the plots counted later, scored by each plot's change; `None`
/// where treatments were not drawn or a plot has no earlier count.
fn reallocated(
    earlier: &Case,
    later: &Case,
    seed: u64,
) -> Option<halfgreen_analysis::randomisation::Randomisation> {
    let scheme = later.scheme.as_ref()?;
    let pairs: Option<Vec<(&PlotCount, &PlotCount)>> = later
        .plots
        .iter()
        .map(|p| Some((earlier.plots.iter().find(|e| e.plot == p.plot)?, p)))
        .collect();
    let pairs = pairs?;
    let column =
        |of: &dyn Fn(&(&PlotCount, &PlotCount)) -> f64| pairs.iter().map(of).collect::<Vec<f64>>();
    let scores = change_scores(
        &pairs.iter().map(|p| p.0.count).collect::<Vec<u64>>(),
        &column(&|p| p.0.exposure),
        &pairs.iter().map(|p| p.1.count).collect::<Vec<u64>>(),
        &column(&|p| p.1.exposure),
    );
    let settings = RandomisationSettings {
        seed,
        ..RandomisationSettings::default()
    };
    against_control(&scores, &table(later).treatment.codes, scheme, &settings).ok()
}

/// The rows of several occasions under one another.
fn visits(on: &[(&str, &Case)]) -> Visits {
    let rows: Vec<(usize, &PlotCount)> = on
        .iter()
        .enumerate()
        .flat_map(|(at, (_, case))| case.plots.iter().map(move |p| (at, p)))
        .collect();
    let case = on.first().map_or(&[][..], |(_, c)| c.treatments.as_slice());
    let blocked = on
        .first()
        .is_some_and(|(_, c)| matches!(c.ground, Ground::Blocks | Ground::WholePlots));
    let labels = |of: &dyn Fn(&PlotCount) -> String| -> Vec<String> {
        rows.iter().map(|(_, p)| of(p)).collect()
    };
    let code = |p: &PlotCount| case.iter().position(|t| *t == p.treatment).unwrap_or(0);
    Visits {
        counts: rows.iter().map(|(_, p)| p.count).collect(),
        exposure: rows.iter().map(|(_, p)| p.exposure).collect(),
        treatment: Factor {
            name: "treatment".to_owned(),
            levels: case.to_vec(),
            codes: rows.iter().map(|(_, p)| code(p)).collect(),
        },
        occasion: Factor {
            name: "occasion".to_owned(),
            levels: on.iter().map(|(name, _)| (*name).to_owned()).collect(),
            codes: rows.iter().map(|(at, _)| *at).collect(),
        },
        plot: Factor::from_labels("plot", &labels(&|p| p.plot.clone()), None),
        block: blocked.then(|| {
            Factor::from_labels(
                "block",
                &labels(&|p| p.block.clone().unwrap_or_default()),
                None,
            )
        }),
    }
}
