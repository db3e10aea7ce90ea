//! Responses of the turf: visual scores, cover, lengths, and the step across a sheet's edge.
//!
//! In: a table with one reading (or several, averaged) for each plot. Out: for each method the difference
//! from the control in the reading's own unit, judged by re-allocation alone, since no law of chance fits
//! them all. The same four calls as for counts.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Better, Call};
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
use halfgreen_analysis::responses::{Effect, Trial, cover, edge_step, length, length_ratio, score};
use serde::Serialize;

use super::case::PlotCount;
use super::from_table::{ground_of, scheme};
use super::turf_words::sentence;
use crate::intake::{Columns, Labels};
use crate::table::{Problem, RawTable, errors};
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
    /// Plots that were laid out or listed and have no reading.
    pub missing: Vec<String>,
    /// Each plot that was compared.
    pub readings: Vec<PlotReading>,
    /// Allocations the design could have given, in full.
    pub allocations: String,
    /// Error rate over all methods together.
    pub alpha: f64,
}

/// The reading of one plot, its places averaged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlotReading {
    /// Plot.
    pub plot: String,
    /// Treatment it was drawn to get.
    pub treatment: String,
    /// Block, where there are blocks.
    pub block: Option<String>,
    /// Mean of its readings; inside less outside where an edge is read.
    pub reading: f64,
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

/// Readings of every plot, averaged.
pub(super) struct Readings {
    pub(super) plots: Vec<PlotCount>,
    pub(super) inside: Vec<f64>,
    /// 0 unless an edge is read.
    pub(super) outside: Vec<f64>,
    /// Plots without any reading.
    pub(super) missing: Vec<String>,
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
    let ground = ground_of(
        columns.block.is_some(),
        columns.row.is_some() && columns.column.is_some(),
    );
    let draws = scheme(&readings.plots, &treatments, ground, asked.seed).map_err(|e| vec![e])?;
    judged(&readings, (&treatments, &treatments), draws, asked).map_err(|e| vec![e])
}

/// Readings by plot, and the treatments in file order. A line without a reading adds nothing; a plot
/// without any is missing.
fn readings(
    table: &RawTable,
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(Readings, Vec<String>), Vec<Problem>> {
    let inside = table.readings(&columns.count)?;
    let outside = match &asked.outside {
        Some(name) => table.readings(name)?,
        None => vec![Some(0.0); inside.len()],
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
        missing: Vec::new(),
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
        // Of an edge both sides are needed.
        if let Some((inside, outside)) = inside[row].zip(outside[row]) {
            found.plots[place].cores += 1;
            found.inside[place] += inside;
            found.outside[place] += outside;
        }
    }
    Ok((found.averaged(), treatments.levels))
}

impl Readings {
    /// Sums to means; plots without a reading become missing ones.
    pub(super) fn averaged(self) -> Self {
        let mut kept = Self {
            plots: Vec::new(),
            inside: Vec::new(),
            outside: Vec::new(),
            missing: self.missing,
        };
        for (at, plot) in self.plots.into_iter().enumerate() {
            if plot.cores == 0 {
                kept.missing.push(plot.plot);
                continue;
            }
            kept.inside.push(self.inside[at] / plot.cores as f64);
            kept.outside.push(self.outside[at] / plot.cores as f64);
            kept.plots.push(plot);
        }
        kept
    }
}

/// Judges averaged readings by the draws that the design allowed; treatments by code and by name.
pub(super) fn judged(
    readings: &Readings,
    (treatments, names): (&[String], &[String]),
    (scheme, allocations): (Scheme, String),
    asked: &TurfQuestion,
) -> Result<(TurfJudgement, Vec<Warning>), Error> {
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
        allocations,
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
fn listed(plots: &[PlotCount], values: &[f64]) -> Vec<PlotReading> {
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
    let limits = |e: &Effect| {
        [
            Some(e.estimate),
            e.interval.map(|i| i.low),
            e.interval.map(|i| i.high),
        ]
    };
    EffectRow {
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
