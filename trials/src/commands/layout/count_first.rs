//! The first step of a `layout` whose blocks are formed from counts before treatment: plots to count.

use serde::Serialize;

use super::super::{Answer, Refusal, Status, Words};
use super::maps::map;
use crate::Error;
use crate::design::{Green, Protocol, Role, ToCount, plots_to_count, write_plots_to_count};
use crate::store::{COUNTS, LAYOUT, NewFile, SEAL, TrialFolder};

/// Places of the plots that wait to be counted.
const TO_COUNT: &str = "plots-to-count.csv";

/// Plots that are placed and numbered, and wait to be counted before anything is drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placed {
    /// The plots of each green.
    pub to_count: Vec<ToCount>,
    /// Occasion on which they are counted.
    pub occasion: String,
    /// The files, as the user would type them.
    pub files: Vec<String>,
    /// What to do now.
    pub next: String,
}

/// Places and numbers the plots and draws nothing, for there are no counts to form blocks from yet.
pub(super) fn place_only(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    greens: &[Green],
) -> Result<Answer<Placed>, Refusal> {
    nothing_laid_out(folder)?;
    let occasion = occasion(protocol)?.to_owned();
    let parts = plots_to_count(protocol, greens)?;
    let mut files = vec![folder.own_file("layout", TO_COUNT, write_plots_to_count(&parts)?)];
    for part in &parts {
        if let Some(green) = greens.iter().find(|g| g.name == part.green) {
            files.push(map(folder, protocol, green, &part.layout, &[])?);
        }
    }
    let plots: usize = parts.iter().map(|p| p.layout.plots.len()).sum();
    let next = format!(
        "Count every plot, untreated, on occasion \"{occasion}\"; write the lines into {} \
         (plot,sample,occasion,count); then run the same command again: it forms blocks of plots with similar \
         counts, draws and seals.",
        folder.shown(COUNTS)
    );
    let names: Vec<String> = files.iter().map(NewFile::shown).collect();
    let mut words = Words::default();
    words.told(
        Status::Good,
        "Placed",
        format!(
            ": {plots} plots of {} m x {} m, numbered. No blocks, no treatments and no seal yet.",
            protocol.plot.length_m, protocol.plot.width_m
        ),
    );
    words.paragraph([&next]);
    words.written(&files);
    let placed = Placed {
        to_count: parts,
        occasion,
        files: names,
        next,
    };
    Ok(Answer::new(placed, words).with_files(files))
}

/// Refuses to place plots anew where a trial is laid out.
fn nothing_laid_out(folder: &TrialFolder<'_>) -> Result<(), Error> {
    if !folder.has(LAYOUT) && !folder.has(SEAL) {
        return Ok(());
    }
    Err(Error::new(
        folder.shown(LAYOUT),
        "the trial is laid out already, and counts.csv has no counts before treatment to form other blocks from",
        format!(
            "Write the counts before treatment into {}, or take the setting `block_by` out of trial.toml.",
            folder.shown(COUNTS)
        ),
    ))
}

/// The occasion before treatment, which must be planned.
fn occasion(protocol: &Protocol) -> Result<&str, Error> {
    let before = protocol.occasions.iter().find(|o| o.role == Role::Before);
    before.map(|o| o.name.as_str()).ok_or_else(|| {
        Error::new(
            "trial.toml [design] block_by",
            "blocks are to be formed from counts before treatment, but no occasion is before treatment",
            "Add an [[occasion]] with name = \"before\" and role = \"before\".",
        )
    })
}
