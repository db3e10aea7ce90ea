//! Limits and estimates that must not be taken at their word, and what to say of them.

use halfgreen_analysis::comparison::{Comparison, Contrast};

use super::allowances::{allowances, in_words};
use super::factors::Factors;
use super::result::{MARGINAL_MEAN, MeanRow};
use super::tested_ratio::finite;
use super::wording::{high_is_markov_bound, low_is_markov_bound};
use crate::Warning;
use crate::text::rounding::change;
use crate::text::spelling::number;
use crate::trial_data::TrialData;

/// A mean that may be a thousand times what was found has no upper limit worth the name (no source: no
/// green holds a thousand times what its cores show).
const BEYOND: f64 = 1_000.0;

/// An estimate this many times the counts as they stand, or as many times below them, is far from them (no
/// source: half as much again is common where blocks differ, twofold is not).
const FAR: f64 = 2.0;

/// Few plots hold nearly all where this share of the counts lies in at most that share of the plots (no source).
const NEARLY_ALL: f64 = 0.9;
const FEW: f64 = 0.2;

/// Means with the limits that the counts allow: by Markov's inequality a mean is no less than alpha / 2 of
/// what was found, however the counts scatter; a limit beyond [`BEYOND`] is none.
pub(super) fn means(data: &TrialData, found: &Comparison) -> Vec<MeanRow> {
    let row = |m: &halfgreen_analysis::comparison::TreatmentMean| MeanRow {
        treatment: m.treatment.clone(),
        mean: m.mean,
        marginal_mean: m.marginal_mean,
        low: finite(
            m.interval
                .low
                .max(0.5 * data.question.alpha * m.marginal_mean),
        ),
        high: finite(m.interval.high)
            .filter(|h| m.marginal_mean == 0.0 || *h <= BEYOND * m.marginal_mean),
        confidence_level: m.interval.level,
        estimand: MARGINAL_MEAN,
    };
    found.means.iter().map(row).collect()
}

/// What the reader must know of limits and estimates.
pub(super) fn of(data: &TrialData, found: &Comparison) -> Vec<Warning> {
    let mut out = Vec::new();
    for row in means(data, found).iter().filter(|r| r.high.is_none()) {
        out.push(warn(
            "no-upper-limit",
            format!(
                "the mean under {} has no upper limit worth the name: {}",
                data.name_of(&row.treatment),
                held(data, &row.treatment)
            ),
        ));
    }
    for c in &found.contrasts {
        out.extend(of_ratio(data, c));
        out.extend(far(data, c));
    }
    out
}

/// The same of the factors of a trial that crosses them.
pub(super) fn of_factors(data: &TrialData, factors: &Factors) -> Vec<Warning> {
    let cautions = factors.found.cautions.iter().cloned().map(Warning::from);
    let limits = factors.contrasts().filter_map(|c| of_ratio(data, c));
    cautions.chain(limits).collect()
}

/// How much a treatment's plots held.
fn held(data: &TrialData, treatment: &str) -> String {
    let of = data.plots.iter().filter(|p| p.treatment == treatment);
    let (plots, total) = of.fold((0, 0), |(n, t), p| (n + 1, t + p.count));
    match (total, plots) {
        (0, plots) => format!("nothing was found in its {}", number(plots, "plot")),
        (total, 1) => format!("one plot, with {total} counted, cannot bound it"),
        (1, plots) => format!("it cannot be bounded from the one found in {plots} plots"),
        (total, plots) => {
            format!("its {plots} plots, with {total} counted in all, differ too much to bound it")
        }
    }
}

fn of_ratio(data: &TrialData, c: &Contrast) -> Option<Warning> {
    let (alpha, method) = (data.question.alpha, data.name_of(&c.treatment));
    let sides = match (
        low_is_markov_bound(c, alpha),
        high_is_markov_bound(c, alpha),
    ) {
        (true, true) => "no limits",
        (true, false) => "no lower limit",
        (false, true) => "no upper limit",
        (false, false) if c.interval.high.is_infinite() && c.ratio.is_some() => {
            return Some(warn(
                "no-upper-limit",
                format!("the ratio of {method} has no upper limit: see how little was found"),
            ));
        }
        (false, false) => return stops_at_one(method, c),
    };
    Some(warn(
        "rough-limit",
        format!(
            "the ratio of {method} has {sides} worth the name: too little was found for the scatter to set any, and the \
             figure given is only what holds however larvae lie (Markov's inequality)"
        ),
    ))
}

/// A limit that the primary test, not the scatter, put at no effect.
fn stops_at_one(method: &str, c: &Contrast) -> Option<Warning> {
    let ratio = c.ratio.filter(|r| *r > 0.0 && r.is_finite() && *r != 1.0)?;
    let at_one = if ratio < 1.0 {
        c.interval.high
    } else {
        c.interval.low
    };
    (at_one == 1.0).then(|| {
        warn(
            "limit-at-no-effect",
            format!(
                "the interval of {method} ends exactly at no effect because the test that leads says otherwise than the \
                 scatter alone would: do not read that end as an estimate"
            ),
        )
    })
}

/// An estimate far from the counts as they stand, and why.
fn far(data: &TrialData, c: &Contrast) -> Option<Warning> {
    let ratio = c.ratio.filter(|r| *r > 0.0 && r.is_finite())?;
    let plain = data.ratio_as_counted(&c.treatment).filter(|r| *r > 0.0)?;
    if (ratio / plain).ln().abs() <= FAR.ln() {
        return None;
    }
    let why = match concentrated(data) {
        Some((few, all)) => format!(
            "{few} of {all} plots hold nine tenths of all that was counted, so that the answer hangs on them"
        ),
        None => format!(
            "it allows for {}, which changes much here",
            in_words(data, &allowances(data, &c.treatment, c.ratio))
        ),
    };
    Some(warn(
        "estimate-far-from-counts",
        format!(
            "the estimate for {} ({}) is far from the counts as they stand ({}): {why}",
            data.name_of(&c.treatment),
            change(ratio),
            change(plain)
        ),
    ))
}

/// The fewest plots that hold nearly all, of how many, where they are few.
fn concentrated(data: &TrialData) -> Option<(usize, usize)> {
    let mut counts: Vec<f64> = data.plots.iter().map(|p| p.count as f64).collect();
    counts.sort_by(|a, b| b.total_cmp(a));
    let enough = NEARLY_ALL * counts.iter().sum::<f64>();
    let mut sum = 0.0;
    let few = 1 + counts.iter().position(|c| {
        sum += c;
        sum >= enough
    })?;
    (few as f64 <= FEW * counts.len() as f64).then_some((few, counts.len()))
}

fn warn(code: &'static str, message: String) -> Warning {
    Warning {
        code,
        message,
        place: None,
    }
}
