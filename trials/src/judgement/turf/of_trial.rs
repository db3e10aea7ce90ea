//! Readings of a trial folder: scores, cover, lengths or steps as laid out and drawn.

use super::judged::{Compared, Response, TurfQuestion, judged};
use super::readings::{ReadPlot, Readings};
use super::result::TurfJudgement;
use crate::design::{Layout, Protocol, ResponseKind, Role};
use crate::intake::Reading;
use crate::trial_data::from_trial::{control_first, occasion, reference_set};
use crate::{Error, Warning};

/// Judges the readings of the main occasion. Readings of other occasions are kept in the file and
/// said not to be judged.
///
/// # Errors
/// A crossover, a protocol whose response is a count, a treatment that no plot has a reading of.
pub fn judge_turf_of_trial(
    protocol: &Protocol,
    layout: &Layout,
    readings: &[Reading],
    seed: u64,
) -> Result<(TurfJudgement, Vec<Warning>), Error> {
    if protocol.design.kind.facts().over_nights() {
        return Err(Error::new(
            "trial.toml [design] kind",
            "readings of a crossover are not judged: turf remembers the night before",
            "Read the turf in plots that keep their treatment.",
        ));
    }
    let asked = question(protocol, seed)?;
    let main = occasion(protocol, Role::Main).unwrap_or_default();
    let (found, lines) = plots(layout, readings, &main);
    let treatments = control_first(protocol);
    let drawn = reference_set(protocol, layout, &lines, &treatments, seed)?;
    let codes: Vec<String> = treatments.iter().map(|t| t.code.clone()).collect();
    let names: Vec<String> = treatments.iter().map(|t| t.name.clone()).collect();
    let (judgement, mut warnings) = judged(
        &found,
        &Compared {
            treatments: &codes,
            names: &names,
        },
        drawn,
        &asked,
    )?;
    let mut others: Vec<&str> = readings.iter().map(|r| r.occasion.as_str()).collect();
    others.retain(|o| *o != main);
    others.dedup();
    if !others.is_empty() {
        warnings.push(Warning {
            code: "other-readings",
            message: format!(
                "only the readings of {main} are judged; those of {} stay in the file",
                others.join(", ")
            ),
            place: None,
        });
    }
    Ok((judgement, warnings))
}

fn question(protocol: &Protocol, seed: u64) -> Result<TurfQuestion, Error> {
    let response = match protocol.response.kind {
        ResponseKind::Score => Response::Score,
        ResponseKind::Cover => Response::Cover,
        ResponseKind::Length => Response::Length,
        ResponseKind::Edge => Response::Edge,
        ResponseKind::Count => {
            let what = "animals are counted in this trial";
            return Err(Error::new(
                "trial.toml [response] kind",
                what,
                "Judge the counts.",
            ));
        }
    };
    Ok(TurfQuestion {
        response,
        alpha: protocol.decision.alpha,
        better: protocol.response.better,
        worthwhile: protocol.decision.worthwhile_difference,
        outside: None,
        seed,
    })
}

/// Mean reading of every plot on an occasion, and the lines of the layout that have one.
fn plots(layout: &Layout, readings: &[Reading], on: &str) -> (Readings, Vec<usize>) {
    let mut sums = Vec::with_capacity(layout.plots.len());
    let mut lines = Vec::new();
    for (line, plot) in layout.plots.iter().enumerate() {
        let here = || {
            let same = |r: &&Reading| r.plot == plot.plot && r.occasion == on;
            readings.iter().filter(same)
        };
        let places = here().count();
        if places > 0 {
            lines.push(line);
        }
        sums.push(ReadPlot {
            plot: plot.plot.clone(),
            treatment: plot.treatment.clone(),
            block: plot.block.clone(),
            row: plot.row.clone(),
            column: plot.column.clone(),
            inside: here().map(|r| r.value).sum(),
            outside: here().filter_map(|r| r.outside).sum(),
            places,
        });
    }
    (Readings::averaged(sums), lines)
}
