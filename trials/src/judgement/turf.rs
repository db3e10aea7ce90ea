//! Responses of the turf: visual scores, cover, lengths, and the step across a sheet's edge.
//!
//! In: a table with one reading (or several, averaged) for each plot. Out: for each method the difference
//! from the control in the reading's own unit, judged by re-allocation alone, since no law of chance fits
//! them all. The same four calls as for counts.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Better, Call};
use halfgreen_analysis::randomisation::RandomisationSettings;
use halfgreen_analysis::responses::{Effect, Trial, cover, edge_step, length, length_ratio, score};
use serde::Serialize;

use super::case::PlotCount;
use super::from_table::{ground_of, scheme};
use super::turf_words::sentence;
use crate::intake::{Columns, Labels, Problem, RawTable};
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

/// Readings judged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurfJudgement {
    /// Kind of response.
    pub response: Response,
    /// Plots compared.
    pub plots: usize,
    /// Mean of the plots of every treatment, the control first.
    pub means: Vec<TurfMean>,
    /// Each method against the control.
    pub effect: Vec<EffectRow>,
    /// Allocations the design could have given, in full.
    pub allocations: String,
    /// Error rate over all methods together.
    pub alpha: f64,
}

/// Mean reading under a treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurfMean {
    /// Treatment.
    pub treatment: String,
    /// Mean of its plots.
    pub mean: f64,
}

/// A method against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EffectRow {
    /// Method.
    pub treatment: String,
    /// Control.
    pub control: String,
    /// Difference, method less control, in the unit of the reading.
    pub difference: f64,
    /// Lower limit of the differences that are not ruled out; null where the design can rule out none.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// Estimate that one odd plot cannot move far.
    pub hodges_lehmann: f64,
    /// Ratio to the control with its limits, for lengths above 0.
    pub ratio: Option<[Option<f64>; 3]>,
    /// p of re-allocation alone.
    pub p: f64,
    /// Adjusted for several methods.
    pub p_adjusted: f64,
    /// Smallest p the design could give.
    pub smallest_p: f64,
    /// Chance that a plot of the method has the higher reading than one of the control.
    pub superiority: f64,
    /// The call.
    pub call: Call,
    /// In plain words.
    pub sentence: String,
}

/// One plot's readings, averaged.
struct Readings {
    plots: Vec<PlotCount>,
    inside: Vec<f64>,
    outside: Vec<f64>,
}

/// Judges the readings of a table; `file` is its name in complaints, `columns.count` the readings.
///
/// # Errors
/// Missing columns and unreadable cells, all at once; an unknown control; a response off its scale.
pub fn judge_turf(
    file: &str,
    text: &str,
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(TurfJudgement, Vec<Warning>), Vec<Error>> {
    let table = RawTable::read(file, text).map_err(errors)?;
    let (readings, mut treatments) = readings(&table, columns, asked).map_err(errors)?;
    let control = treatments.iter().position(|t| *t == columns.control);
    let Some(control) = control.filter(|_| treatments.len() > 1) else {
        return Err(vec![Error::new(
            "--control",
            format!(
                "\"{}\" is not one of {}",
                columns.control,
                treatments.join(", ")
            ),
            "Name the treatment that the others are compared with, as the table spells it.",
        )]);
    };
    let name = treatments.remove(control);
    treatments.insert(0, name);
    judged(&readings, &treatments, columns, asked).map_err(|e| vec![e])
}

fn errors(problems: Vec<Problem>) -> Vec<Error> {
    problems.into_iter().map(Error::from).collect()
}

/// Readings by plot, and the treatments in file order.
fn readings(
    table: &RawTable,
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(Readings, Vec<String>), Vec<Problem>> {
    let any = |name: &str| table.numbers(name, |_| true, "the reading, a number");
    let inside = any(&columns.count)?;
    let outside = match &asked.outside {
        Some(name) => any(name)?,
        None => vec![0.0; inside.len()],
    };
    let treatments = table.labels(&columns.treatment)?;
    let names = |name: &Option<String>| name.as_ref().map(|n| table.labels(n)).transpose();
    let (blocks, plots) = (names(&columns.block)?, names(&columns.plot)?);
    let (rows, squares) = (names(&columns.row)?, names(&columns.column)?);
    let at = |labels: &Option<Labels>, row: usize| {
        labels.as_ref().and_then(|l| l.name(row)).map(str::to_owned)
    };
    let mut found = Readings {
        plots: Vec::new(),
        inside: Vec::new(),
        outside: Vec::new(),
    };
    let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
    for row in 0..inside.len() {
        let treatment = treatments.name(row).unwrap_or_default().to_owned();
        let plot = at(&plots, row).unwrap_or_else(|| format!("row {}", row + 1));
        // Readings of one plot under two names of a treatment would be two plots.
        let place = *seen
            .entry((plot.clone(), treatment.clone()))
            .or_insert_with(|| {
                found.plots.push(PlotCount {
                    plot,
                    treatment,
                    block: at(&blocks, row),
                    row: at(&rows, row),
                    column: at(&squares, row),
                    count: 0,
                    cores: 0,
                    exposure: 1.0,
                    before: None,
                    place: None,
                });
                found.inside.push(0.0);
                found.outside.push(0.0);
                found.plots.len() - 1
            });
        found.plots[place].cores += 1;
        found.inside[place] += inside[row];
        found.outside[place] += outside[row];
    }
    for (place, plot) in found.plots.iter().enumerate() {
        found.inside[place] /= plot.cores as f64;
        found.outside[place] /= plot.cores as f64;
    }
    Ok((found, treatments.levels))
}

fn judged(
    readings: &Readings,
    treatments: &[String],
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(TurfJudgement, Vec<Warning>), Error> {
    let ground = ground_of(
        columns.block.is_some(),
        columns.row.is_some() && columns.column.is_some(),
    );
    let (scheme, allocations) = scheme(&readings.plots, treatments, ground, asked.seed)?;
    let labels: Vec<usize> = readings
        .plots
        .iter()
        .map(|p| {
            treatments
                .iter()
                .position(|t| *t == p.treatment)
                .unwrap_or(0)
        })
        .collect();
    let trial = Trial {
        labels: &labels,
        scheme: &scheme,
        settings: RandomisationSettings {
            seed: asked.seed,
            ..RandomisationSettings::default()
        },
        level: 1.0 - asked.alpha,
    };
    let inside = readings.inside.as_slice();
    let values: Vec<f64> = inside
        .iter()
        .zip(&readings.outside)
        .map(|(i, o)| i - o)
        .collect();
    let effects = match asked.response {
        Response::Score => score(inside, &trial)?,
        Response::Cover => cover(inside, &trial)?,
        Response::Length => length(inside, &trial)?,
        Response::Edge => edge_step(inside, &readings.outside, &trial)?,
    };
    let ratios = if asked.response == Response::Length && inside.iter().all(|v| *v > 0.0) {
        Some(length_ratio(inside, &trial)?)
    } else {
        None
    };
    let mut warnings = Vec::new();
    for caution in effects.iter().flat_map(|e| &e.cautions) {
        let warning = Warning::from(caution.clone());
        if !warnings.contains(&warning) {
            warnings.push(warning);
        }
    }
    let effect = effects
        .iter()
        .enumerate()
        .map(|(at, e)| row(asked, treatments, e, ratios.as_ref().map(|r| &r[at])))
        .collect();
    let means = treatments
        .iter()
        .enumerate()
        .map(|(code, treatment)| {
            let of: Vec<f64> = (0..values.len())
                .filter(|&p| labels[p] == code)
                .map(|p| values[p])
                .collect();
            TurfMean {
                treatment: treatment.clone(),
                mean: of.iter().sum::<f64>() / of.len() as f64,
            }
        })
        .collect();
    let judgement = TurfJudgement {
        response: asked.response,
        plots: values.len(),
        means,
        effect,
        allocations,
        alpha: asked.alpha,
    };
    Ok((judgement, warnings))
}

fn row(
    asked: &TurfQuestion,
    treatments: &[String],
    effect: &Effect,
    ratio: Option<&Effect>,
) -> EffectRow {
    let call = call(asked, effect);
    let limits = |e: &Effect| {
        [
            Some(e.estimate),
            e.interval.map(|i| i.low),
            e.interval.map(|i| i.high),
        ]
    };
    let mut row = EffectRow {
        treatment: treatments[effect.treatment].clone(),
        control: treatments[0].clone(),
        difference: effect.estimate,
        low: effect.interval.map(|i| i.low),
        high: effect.interval.map(|i| i.high),
        hodges_lehmann: effect.hodges_lehmann,
        ratio: ratio.map(limits),
        p: effect.p.value,
        p_adjusted: effect.p_adjusted,
        smallest_p: effect.smallest_p,
        superiority: effect.superiority,
        call,
        sentence: String::new(),
    };
    row.sentence = sentence(asked, &row);
    row
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
