//! Readings of a trial folder: scores, cover, lengths or steps as laid out and drawn.

use halfgreen_analysis::comparison::Better;

use super::judged::{Response, TurfQuestion, judged};
use super::readings::Readings;
use super::result::TurfJudgement;
use crate::design::{self, DesignKind, Layout, Protocol, ResponseKind, Role};
use crate::intake::Reading;
use crate::trial_data::PlotCount;
use crate::trial_data::from_trial::{control_first, occasion, scheme};
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
    if protocol.design.kind == DesignKind::Crossover {
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
    let draws = scheme(protocol, layout, &found.plots, &lines, &treatments, seed)?;
    let (codes, names): (Vec<String>, Vec<String>) = treatments.into_iter().unzip();
    let (judgement, mut warnings) = judged(&found, (&codes, &names), draws, &asked)?;
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
        better: match protocol.response.better {
            design::Better::Fewer => Better::Fewer,
            design::Better::More => Better::More,
        },
        worthwhile: protocol.decision.worthwhile_difference,
        outside: None,
        seed,
    })
}

/// Mean reading of every plot on an occasion, and the lines of the layout that have one.
fn plots(layout: &Layout, readings: &[Reading], on: &str) -> (Readings, Vec<usize>) {
    let mut sums = Readings::default();
    let mut lines = Vec::new();
    for (line, plot) in layout.plots.iter().enumerate() {
        let here = || {
            let same = |r: &&Reading| r.plot == plot.plot && r.occasion == on;
            readings.iter().filter(same)
        };
        let cores = here().count();
        if cores > 0 {
            lines.push(line);
        }
        sums.inside.push(here().map(|r| r.value).sum());
        sums.outside.push(here().filter_map(|r| r.outside).sum());
        sums.plots.push(PlotCount {
            plot: plot.plot.clone(),
            treatment: plot.treatment.clone(),
            block: plot.block.clone(),
            row: plot.row.clone(),
            column: plot.column.clone(),
            count: 0,
            cores,
            exposure: 1.0,
            before: None,
            place: Some((plot.x_m, plot.y_m)),
        });
    }
    (sums.averaged(), lines)
}
