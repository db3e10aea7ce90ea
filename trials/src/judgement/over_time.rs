//! Repeated measures: change from baseline (BACI ratio) and treatment by occasion interaction.

use halfgreen_analysis::comparison::PrimaryTest;
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::randomisation::{Randomisation, RandomisationSettings, against_control};
use halfgreen_analysis::repeated_measures::{self, RepeatedCounts, baci_ratios, change_scores};
use serde::Serialize;

use super::sentence::Sentence;
use super::tested_ratio::{TestedRatio, finite, primary_p};
use crate::Error;
use crate::design::BlockStructure;
use crate::text::rounding::Changes;
use crate::trial_data::plot_table::table;
use crate::trial_data::{OccasionCounts, PlotCount, TrialData};

/// Change of a method's ratio between two occasions: later over earlier, treated over control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChangeRow {
    /// Method.
    pub treatment: String,
    /// Earlier occasion.
    pub from: String,
    /// Later occasion.
    pub to: String,
    /// BACI ratio; p and interval adjusted for several methods: the model has plots as random units,
    /// the randomisation test is scored by the change of each plot's log count.
    #[serde(flatten)]
    pub tested: TestedRatio,
    /// In plain words.
    pub sentence: Sentence,
}

/// Treatment by occasion interaction: did it last?
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreatmentByOccasionRow {
    /// Likelihood ratio of treatment by occasion, over all occasions from the main one.
    pub statistic: f64,
    /// Its degrees of freedom.
    pub df: usize,
    /// p of the model: F of stabilised counts, and no smaller than that of the likelihood ratio.
    pub p_model: f64,
    /// Smallest adjusted p of the randomisation test, of the change from the main to the last occasion.
    pub p_randomisation: Option<f64>,
    /// p of the primary test.
    pub p: f64,
    /// The smallest error rate of the whole page at which a change of the effect is a finding.
    pub p_on_page: f64,
    /// Whether it is a finding at the trial's error rate.
    pub finding: bool,
    /// Changes from the main occasion to every later one: description.
    pub changes: Vec<ChangeRow>,
    /// In plain words.
    pub sentence: Sentence,
}

/// How answers over time stand to the verdict.
pub const SECOND_ANSWER: &str = "The verdict is the answer of this trial. What follows is a second one, by another question: it starts \
                                 each plot from its own earlier count and asks which changed more, where the verdict asks which \
                                 held fewer. Where the two differ, the verdict stands.";

/// Before-after-control-impact ratios of every method.
///
/// # Errors
/// What the model refuses.
pub(super) fn change_from_baseline(
    data: &TrialData,
    primary_test: PrimaryTest,
    seed: u64,
) -> Result<Option<Vec<ChangeRow>>, Error> {
    let Some(before) = &data.secondary.before else {
        return Ok(None);
    };
    let visit = OccasionCounts {
        occasion: data.main_occasion().to_owned(),
        data: data.clone(),
    };
    change_rows(&before.occasion, &before.data, &visit, primary_test, seed).map(Some)
}

/// Whether the ratio to the control stayed what it was on the main occasion.
///
/// # Errors
/// What the model refuses.
pub(super) fn treatment_by_occasion(
    data: &TrialData,
    primary_test: PrimaryTest,
    seed: u64,
) -> Result<Option<TreatmentByOccasionRow>, Error> {
    let Some(last) = data.secondary.follow_ups.last() else {
        return Ok(None);
    };
    let mut on = vec![(data.main_occasion(), data)];
    on.extend(
        data.secondary
            .follow_ups
            .iter()
            .map(|v| (v.occasion.as_str(), &v.data)),
    );
    let tested = repeated_measures::treatment_by_occasion(&repeated_counts(&on))?;
    let mut found = Vec::new();
    for visit in &data.secondary.follow_ups {
        found.extend(change_rows(
            data.main_occasion(),
            data,
            visit,
            primary_test,
            seed,
        )?);
    }
    let p_randomisation = reallocated(data, &last.data, seed)
        .map(|r| r.p_adjusted.iter().copied().fold(1.0, f64::min));
    let p = primary_p(primary_test, tested.p, p_randomisation);
    for change in &mut found {
        change.sentence = change_sentence(data, change);
    }
    Ok(Some(TreatmentByOccasionRow {
        statistic: tested.statistic,
        df: tested.df,
        p_model: tested.p,
        p_randomisation,
        p,
        p_on_page: 1.0,
        finding: false,
        sentence: Sentence::default(),
        changes: found,
    }))
}

/// Words what was settled of the whole page.
pub(super) fn tell(
    data: &TrialData,
    since_before: Option<&mut Vec<ChangeRow>>,
    lasted: Option<&mut TreatmentByOccasionRow>,
) {
    for change in since_before.into_iter().flatten() {
        change.sentence = change_sentence(data, change);
    }
    if let Some(row) = lasted {
        row.sentence = treatment_by_occasion_sentence(data, row);
    }
}

fn treatment_by_occasion_sentence(data: &TrialData, row: &TreatmentByOccasionRow) -> Sentence {
    let (main, p, found) = (data.main_occasion(), row.p_on_page, &row.changes);
    let last = data.secondary.follow_ups.last();
    let last = last.map_or("", |visit| visit.occasion.as_str());
    if !row.finding {
        return Sentence::without_p(format!(
            "From {main} to {last} no change of the effect is shown. That is no proof that it lasted."
        ));
    }
    let sharpest = found
        .iter()
        .filter(|c| c.to == last)
        .min_by(|a, b| a.tested.p.total_cmp(&b.tested.p));
    match sharpest.and_then(|c| Some((c, c.tested.ratio?))) {
        None => Sentence::resting_on(p, "", |aside| {
            format!("The effect did not stay the same from {main} to {last}{aside}.")
        }),
        Some((c, ratio)) => {
            let name = data.name_of(&c.treatment);
            let moved = if data.question.is_good(ratio) {
                "gained"
            } else {
                "lost ground"
            };
            Sentence::resting_on(p, "", |aside| {
                format!(
                    "The effect did not stay the same{aside}: by {last}, {name} had {moved} on the control, its ratio \
                     {ratio:.2} times that on {main}."
                )
            })
        }
    }
}

fn change_rows(
    from: &str,
    earlier: &TrialData,
    later: &OccasionCounts,
    primary_test: PrimaryTest,
    seed: u64,
) -> Result<Vec<ChangeRow>, Error> {
    let level = 1.0 - earlier.question.alpha;
    let both = repeated_counts(&[(from, earlier), (&later.occasion, &later.data)]);
    let drawn = reallocated(earlier, &later.data, seed);
    let found = baci_ratios(&both, level)?;
    Ok(found
        .into_iter()
        .enumerate()
        .map(|(at, c)| {
            let of_draw = drawn.as_ref().and_then(|r| r.p_adjusted.get(at).copied());
            let p = primary_p(primary_test, c.p_adjusted, of_draw);
            let interval = match c.ratio {
                Some(ratio) => c
                    .interval
                    .consistent_with(p <= earlier.question.alpha, ratio),
                None => c.interval,
            };
            let tested = TestedRatio {
                ratio: c.ratio,
                low: finite(interval.low),
                high: finite(interval.high),
                confidence_level: interval.level,
                p,
                p_model: c.p,
                p_model_adjusted: c.p_adjusted,
                p_randomisation: drawn.as_ref().and_then(|r| Some(r.p.get(at)?.value)),
                p_randomisation_adjusted: of_draw,
                p_on_page: None,
                finding: false,
            };
            ChangeRow {
                sentence: Sentence::default(),
                treatment: c.treatment,
                from: from.to_owned(),
                to: later.occasion.clone(),
                tested,
            }
        })
        .collect())
}

/// The change of one method, as a finding or as description.
fn change_sentence(data: &TrialData, row: &ChangeRow) -> Sentence {
    let ChangeRow {
        treatment,
        from,
        to,
        tested,
        ..
    } = row;
    let (method, control) = (data.name_of(treatment), &data.names[0]);
    let Some(ratio) = tested.ratio else {
        return Sentence::without_p(format!(
            "From {from} to {to} nothing was found on one side of {method} or {control}: their changes cannot be compared."
        ));
    };
    let told = Changes::of(tested.ratio, tested.low, tested.high);
    let likely = format!("likely between {}", told.between(tested.low, tested.high));
    let compared = match ratio {
        1.0 => format!("just as many in {to} as"),
        ratio => format!("{} in {to} than", told.change(ratio)),
    };
    let said = |aside: &str, what: &str| {
        format!(
            "From {from} to {to}, {method} against {control}: {compared} if {method} had changed from {from} as {control} \
             did{aside}: {what}."
        )
    };
    match tested.p_on_page.filter(|_| tested.finding) {
        Some(p) => Sentence::resting_on(p, &likely, |aside| {
            said(aside, "a difference in change that chance hardly explains")
        }),
        None => Sentence::without_p(said(
            &format!(" ({likely})"),
            "a description, not a finding",
        )),
    }
}

/// Randomisation test over the plots counted later, scored by each plot's change; `None`
/// where treatments were not drawn or a plot has no earlier count.
fn reallocated(earlier: &TrialData, later: &TrialData, seed: u64) -> Option<Randomisation> {
    let scheme = &later.reference_set.as_ref()?.scheme;
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
fn repeated_counts(on: &[(&str, &TrialData)]) -> RepeatedCounts {
    let rows: Vec<(usize, &PlotCount)> = on
        .iter()
        .enumerate()
        .flat_map(|(at, (_, data))| data.plots.iter().map(move |p| (at, p)))
        .collect();
    let data = on.first().map_or(&[][..], |(_, c)| c.treatments.as_slice());
    let blocked = on.first().is_some_and(|(_, c)| {
        matches!(
            c.blocking,
            BlockStructure::Blocks | BlockStructure::SplitPlot
        )
    });
    let labels = |of: &dyn Fn(&PlotCount) -> String| -> Vec<String> {
        rows.iter().map(|(_, p)| of(p)).collect()
    };
    let code = |p: &PlotCount| data.iter().position(|t| *t == p.treatment).unwrap_or(0);
    RepeatedCounts {
        counts: rows.iter().map(|(_, p)| p.count).collect(),
        exposure: rows.iter().map(|(_, p)| p.exposure).collect(),
        treatment: Factor {
            name: "treatment".to_owned(),
            levels: data.to_vec(),
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
