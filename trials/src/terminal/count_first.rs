//! The first step of a `layout` whose blocks are formed from counts before treatment: plots to count.

use serde_json::json;

use super::layout::{MAP, map_name};
use super::output::Output;
use super::typeset::GOOD;
use crate::Error;
use crate::commands::Refusal;
use crate::design::{Green, Protocol, Role, plots_to_count, write_plots_to_count};
use crate::fieldwork::map::field_map;
use crate::store::{COUNTS, LAYOUT, NewFile, Replace, SEAL, TrialFolder, write_all};

/// Places of the plots that wait to be counted.
const TO_COUNT: &str = "plots-to-count.csv";

/// Places and numbers the plots and draws nothing, for there are no counts to form blocks from yet.
pub(super) fn place_only(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    greens: &[Green],
) -> Result<Output, Refusal> {
    if folder.has(LAYOUT) || folder.has(SEAL) {
        return Err(Error::new(
            folder.shown(LAYOUT),
            "the trial is laid out already, and counts.csv has no counts before treatment to form other blocks from",
            format!("Write the counts before treatment into {}, or take the setting `block_by` out of trial.toml.",
                folder.shown(COUNTS)),
        )
        .into());
    }
    let occasion = occasion(protocol)?;
    let parts = plots_to_count(protocol, greens)?;
    let mut files = vec![NewFile {
        path: folder.join(TO_COUNT),
        text: write_plots_to_count(&parts)?,
        replace: Replace::Own,
    }];
    for part in &parts {
        let Some(green) = greens.iter().find(|g| g.name == part.green) else {
            continue;
        };
        let title = &protocol.trial.title;
        let (file, title) = match &part.green {
            None => (MAP.to_owned(), title.clone()),
            Some(name) => (map_name(name), format!("{title}: {name}")),
        };
        files.push(NewFile {
            path: folder.join(&file),
            text: field_map(
                &green.outline,
                &part.layout,
                &[],
                protocol.plot.guard_m,
                &title,
            )?,
            replace: Replace::Own,
        });
    }
    write_all(&files)?;
    let names: Vec<String> = files.iter().map(|f| f.path.display().to_string()).collect();
    let plots: usize = parts.iter().map(|p| p.layout.plots.len()).sum();
    let counts = folder.shown(COUNTS);
    let next = format!(
        "Count every plot, untreated, on occasion \"{occasion}\"; write the lines into {counts} \
         (plot,sample,occasion,count); then run the same command again: it forms blocks of plots with similar \
         counts, draws and seals."
    );
    let text = format!(
        "{GOOD}Placed{GOOD:#}: {plots} plots of {} m x {} m, numbered. No blocks, no treatments and no seal yet.\n\n\
         {next}\n\nWritten: {}\n",
        protocol.plot.length_m,
        protocol.plot.width_m,
        names.join(", ")
    );
    Output::new(
        json!({ "to_count": parts, "occasion": occasion, "files": names, "next": next }),
        text,
    )
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
