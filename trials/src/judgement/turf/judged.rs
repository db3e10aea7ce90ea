//! Averaged readings to a judgement, by the draws that the design allowed.

use halfgreen_analysis::comparison::{Better, Call};
use halfgreen_analysis::randomisation::RandomisationSettings;
use halfgreen_analysis::responses::{Effect, Trial, cover, edge_step, length, length_ratio, score};
use serde::Serialize;

use super::super::sentence::Sentence;
use super::readings::{ReadPlot, Readings};
use super::result::{EffectRow, PlotReading, RatioRow, TurfJudgement, TurfMean};
use super::words::sentence;
use crate::trial_data::{ReferenceSet, codes};
use crate::{Error, Warning};

/// Kind of response.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Response {
    /// Visual score, 1 to 9.
    Score,
    /// Cover, per cent.
    Cover,
    /// Root depth or length, or any continuous reading.
    Length,
    /// Colour or vigour inside less outside the plot's edge.
    Edge,
}

impl Response {
    /// The readings there can be.
    pub(super) fn scale(self) -> Scale {
        let (least, most, words) = match self {
            Self::Score => (1.0, 9.0, "a score from 1 to 9"),
            Self::Cover => (0.0, 100.0, "a cover from 0 to 100 per cent"),
            // Sums and squares of larger numbers leave the range of a number.
            Self::Length | Self::Edge => (
                -LARGEST,
                LARGEST,
                "a number in a unit that keeps it below a million million",
            ),
        };
        Scale { least, most, words }
    }
}

/// The readings that a response can have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    pub(super) least: f64,
    pub(super) most: f64,
    /// The same in words.
    pub(super) words: &'static str,
}

/// No reading of turf is larger in any unit; beyond 2^53 the digits after the point are lost.
const LARGEST: f64 = 1e12;

/// What is asked of the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct TurfQuestion {
    /// Kind of response.
    pub response: Response,
    /// Accepted chance of a false claim over all methods together.
    pub alpha: f64,
    /// Which direction is good.
    pub better: Better,
    /// Smallest difference worth having, in the unit of the reading, where one was stated.
    pub worthwhile: Option<f64>,
    /// Column of the readings outside the edge.
    pub outside: Option<String>,
    /// Seed of sampled allocations.
    pub seed: u64,
}

/// What is compared, the control first.
#[derive(Debug, Clone, Copy)]
pub(super) struct Compared<'a> {
    /// Codes of the treatments.
    pub(super) treatments: &'a [String],
    /// Their names for people.
    pub(super) names: &'a [String],
}

/// Judges averaged readings by the draws that the design allowed.
pub(super) fn judged(
    readings: &Readings,
    compared: &Compared<'_>,
    reference_set: ReferenceSet,
    asked: &TurfQuestion,
) -> Result<(TurfJudgement, Vec<Warning>), Error> {
    let Compared { treatments, names } = *compared;
    let labels = codes(readings.plots.iter().map(ReadPlot::unit), treatments);
    let trial = Trial {
        labels: &labels,
        scheme: &reference_set.scheme,
        settings: RandomisationSettings {
            seed: asked.seed,
            ..RandomisationSettings::default()
        },
        level: 1.0 - asked.alpha,
    };
    let of = |value: fn(&ReadPlot) -> f64| readings.plots.iter().map(value).collect::<Vec<f64>>();
    let (inside, outside) = (&of(|p| p.inside), of(|p| p.outside));
    let values = of(|p| p.inside - p.outside);
    let effects = match asked.response {
        Response::Score => score(inside, &trial)?,
        Response::Cover => cover(inside, &trial)?,
        Response::Length => length(inside, &trial)?,
        Response::Edge => edge_step(inside, &outside, &trial)?,
    };
    let ratios = if asked.response == Response::Length && inside.iter().all(|v| *v > 0.0) {
        Some(length_ratio(inside, &trial)?)
    } else {
        None
    };
    let mut warnings: Vec<Warning> = readings.missing.iter().map(|p| not_read(p)).collect();
    for caution in effects.iter().flat_map(|e| &e.cautions) {
        let warning = Warning::from(caution.clone());
        if !warnings.contains(&warning) {
            warnings.push(warning);
        }
    }
    let effect = effects
        .iter()
        .enumerate()
        .map(|(at, e)| {
            let mut row = row(asked, treatments, e, ratios.as_ref().map(|r| &r[at]));
            row.sentence = sentence(asked, &row, (&names[e.treatment], &names[0]));
            row
        })
        .collect();
    let judgement = TurfJudgement {
        response: asked.response,
        plots: values.len(),
        means: means(treatments, &labels, &values),
        effect,
        missing: readings.missing.clone(),
        readings: listed(&readings.plots, &values),
        allocations: reference_set.allocations,
        alpha: asked.alpha,
    };
    Ok((judgement, warnings))
}

/// Mean of the plots of every treatment.
fn means(treatments: &[String], labels: &[usize], values: &[f64]) -> Vec<TurfMean> {
    let all = treatments.iter().enumerate();
    all.map(|(code, treatment)| {
        let of = values.iter().zip(labels).filter(|(_, l)| **l == code);
        let (sum, plots) = of.fold((0.0, 0.0), |(s, n), (v, _)| (s + v, n + 1.0));
        TurfMean {
            treatment: treatment.clone(),
            mean: sum / plots,
        }
    })
    .collect()
}

/// Every plot with its reading.
fn listed(plots: &[ReadPlot], values: &[f64]) -> Vec<PlotReading> {
    let all = plots.iter().zip(values);
    all.map(|(p, reading)| PlotReading {
        plot: p.plot.clone(),
        treatment: p.treatment.clone(),
        block: p.block.clone(),
        reading: *reading,
    })
    .collect()
}

fn not_read(plot: &str) -> Warning {
    Warning::at(
        "plot-not-read",
        format!("plot {plot} has no reading and is left out"),
        format!("plot {plot}"),
    )
}

fn row(
    asked: &TurfQuestion,
    treatments: &[String],
    effect: &Effect,
    ratio: Option<&Effect>,
) -> EffectRow {
    let call = call(asked, effect);
    let ratio_row = |e: &Effect| RatioRow {
        estimate: e.estimate,
        low: e.interval.map(|i| i.low),
        high: e.interval.map(|i| i.high),
    };
    EffectRow {
        treatment: treatments[effect.treatment].clone(),
        control: treatments[0].clone(),
        difference: effect.estimate,
        low: effect.interval.map(|i| i.low),
        high: effect.interval.map(|i| i.high),
        hodges_lehmann: effect.hodges_lehmann,
        ratio: ratio.map(ratio_row),
        p: effect.p.value,
        p_adjusted: effect.p_adjusted,
        smallest_p: effect.smallest_attainable_p,
        superiority: effect.superiority,
        call,
        sentence: Sentence::default(),
    }
}

/// The four calls, on differences.
fn call(asked: &TurfQuestion, effect: &Effect) -> Call {
    let sign = match asked.better {
        Better::Fewer => -1.0,
        Better::More => 1.0,
    };
    if effect.p_adjusted <= asked.alpha {
        return if sign * effect.estimate > 0.0 {
            Call::BeatTheControl
        } else {
            Call::DidWorse
        };
    }
    let best = effect
        .interval
        .map(|i| if sign > 0.0 { i.high } else { -i.low });
    match asked.worthwhile.zip(best) {
        Some((worthwhile, best)) if best < worthwhile => Call::TooSmallToMatter,
        _ => Call::CannotTell,
    }
}
