//! `trial.toml`: from its text to a checked protocol.
//!
//! Every fault is found in one pass and told with `file:line:column` and a cure. A key that is not
//! known is a fault, because a misspelt key is a wish silently dropped; the nearest known key is
//! offered. Nothing is guessed: a date with two readings is refused with both of them.
//!
//! | part | what it reads |
//! |---|---|
//! | `section` | one section: typed values with their places |
//! | `file` | the sections of a file, and faults of TOML's own grammar |
//! | `question` | what is asked: trial, treatments, decision |
//! | `factors` | factorial treatments: every level with every level |
//! | `greens` | several greens in one trial |
//! | `conduct` | how it is done: design, plots, response |
//! | `stages` | which stages are told apart |
//! | `occasions`, `nights` | when it is counted |
//! | `arrangement` | optional choices of a design |
//! | `setting` | whose trial it is and on what ground, for pooling |
//! | `reporting` | what readers of the report must know, in the writer's words |
//! | `supplies` | sheets, wind, weights, crew, place and prices, for the commands that order them |
//! | [`starter`] | the texts a new trial folder starts with |

mod arrangement;
mod conduct;
mod factors;
mod file;
mod greens;
mod nights;
mod occasions;
mod question;
mod reporting;
mod section;
mod setting;
mod stages;
pub mod starter;
mod supplies;

use toml::de::DeTable;

use super::{Protocol, Treatment};
use crate::{Error, Warning};

pub(crate) use file::{TrialFile, complain_of_grammar};
pub use reporting::Reporting;
pub(crate) use section::{Reading, Section};
pub use setting::Setting;
pub use supplies::{Cost, Crew, Place, Rates, Roll, Supplies, Weights, Wind};

/// A trial file that holds together.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadProtocol {
    /// The question and how it is put to the green.
    pub protocol: Protocol,
    /// Sheets, wind, weights, crew, place and prices.
    pub supplies: Supplies,
    /// Whose trial it is and on what ground.
    pub setting: Setting,
    /// What readers of the report must know, in the writer's words.
    pub reporting: Reporting,
    /// What the writer of the file should think about, although it can be used.
    pub cautions: Vec<Warning>,
    /// Its settings as they are written, "\[section\] key": all of them are gone by.
    pub settings: Vec<String>,
}

/// Reads and checks the text of `trial.toml`; `file` is its name in complaints.
///
/// # Errors
/// Every fault found, in the order of the file: grammar, unknown sections and keys, values of the
/// wrong kind or out of range, and parts that are missing or contradict one another.
pub fn read_protocol(file: &str, text: &str) -> Result<ReadProtocol, Vec<Error>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reading = Reading {
        file,
        text,
        complaints: Vec::new(),
    };
    let (root, faults) = DeTable::parse_recoverable(text);
    if !faults.is_empty() {
        for fault in &faults {
            complain_of_grammar(fault, &mut reading);
        }
        return Err(in_file_order(reading));
    }
    let parts = TrialFile::new(root.get_ref(), &mut reading);
    let protocol = protocol(&parts, &mut reading);
    let supplies = supplies::supplies(&parts, &mut reading);
    let setting = setting::setting(&parts, &mut reading);
    let reporting = reporting::reporting(&parts, &mut reading);
    let Some(protocol) = protocol.filter(|_| reading.complaints.is_empty()) else {
        return Err(in_file_order(reading));
    };
    let cautions = conduct::cautions(&protocol, &parts, &mut reading);
    Ok(ReadProtocol {
        protocol,
        supplies,
        setting,
        reporting,
        cautions,
        settings: parts.lines(),
    })
}

/// Reads every part before giving up, so that all complaints are made at once.
fn protocol(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<Protocol> {
    let trial = question::trial(parts, reading);
    let factorial = factors::factorial(parts, reading);
    let (treatments, factors) = match factorial {
        Some(made) => made,
        None => (question::treatments(parts, reading), Vec::new()),
    };
    let levels = factors.first().map_or(0, |f| f.levels.len());
    let mut design = conduct::design(parts, &treatments, reading);
    let greens = greens::greens(parts, design.as_ref().map(|d| d.blocks), reading);
    if let Some(design) = &mut design {
        design.arrangement.greens = greens;
        if levels > 0 && design.kind.facts().factor_on_whole_plots {
            whole_plots_of_first_factor(&treatments, levels, &mut design.arrangement.whole_plots);
        }
    }
    let plot = conduct::plot_size(parts, reading);
    let response = conduct::response(parts, reading);
    if let (Some(plot), Some(response)) = (plot, &response) {
        conduct::samples_within_plots(parts, plot, response, reading);
    }
    let crossed = design
        .as_ref()
        .is_some_and(|d| d.kind.facts().over_nights());
    let occasions = occasions::occasions(parts, crossed.then_some(treatments.len()), reading);
    let asked = response.as_ref().map(|r| (r.kind, r.better));
    let decision = question::decision(parts, asked, &treatments, reading);
    let mut protocol = Protocol {
        trial: trial?,
        treatments,
        factors,
        design: design?,
        plot: plot?,
        response: response?,
        occasions,
        decision: decision?,
    };
    protocol.decision.verdict_about = greens::verdict_about(parts, &protocol, reading);
    Some(protocol)
}

/// Where nothing else is said, the first factor goes on whole plots: a sheet is laid in one piece.
fn whole_plots_of_first_factor(
    treatments: &[Treatment],
    levels: usize,
    whole_plots: &mut Vec<Vec<String>>,
) {
    if whole_plots.is_empty() {
        let codes: Vec<String> = treatments.iter().map(|t| t.code.clone()).collect();
        let each = (codes.len() / levels).max(1);
        *whole_plots = codes.chunks(each).map(<[String]>::to_vec).collect();
    }
}

/// All complaints in the order of the file, the first ones one by one.
pub(crate) fn in_file_order(mut reading: Reading<'_>) -> Vec<Error> {
    reading.complaints.sort_by_key(|(offset, _)| *offset);
    let mut errors: Vec<Error> = reading.complaints.into_iter().map(|(_, e)| e).collect();
    errors.dedup();
    let more = errors.len().saturating_sub(TOLD);
    if more > 0 {
        errors.truncate(TOLD);
        let what = format!("{more} more faults follow these");
        let cure = "Mend what is told first: others may go with it.";
        errors.push(Error::new(reading.file, what, cure));
    }
    errors
}

/// Faults of a file that are told one by one.
const TOLD: usize = 50;

/// Treatments other than the control.
fn methods(treatments: &[Treatment]) -> usize {
    treatments.iter().filter(|t| !t.control).count()
}
