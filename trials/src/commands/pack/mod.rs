//! `pack`: everything for the morning, from a sealed layout.

mod files;
mod words;

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::request::required;
use super::trial;
use super::{Answer, Refusal, Surroundings};
use crate::design::{Green, Layout, Protocol, Seal};
use crate::fieldwork::pack::Pack;
use crate::fieldwork::pegging::Pegging;
use crate::ranges::protocol::LINES;
use crate::store::{LAYOUT, NewFile, SEAL, TRIAL, TrialFolder};
use crate::{Error, Warning};

/// What is asked of `pack`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
}

/// The `result` of `pack`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Packed {
    /// The files of the pack, as the user would type them.
    pub files: Vec<String>,
    /// Those of them that were there already and hold something else, and so are left as they are.
    pub left: Vec<String>,
}

/// Makes the pack.
///
/// # Errors
/// A trial folder that cannot be read, or one that is not laid out and sealed.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Packed>, Refusal> {
    required(&[("dir", &request.dir)])?;
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let read = trial::protocol(&folder)?;
    let layout = trial::layout(&folder, &read.protocol)?;
    let greens = trial::greens(&folder, &read.protocol)?;
    let Some(seal) = trial::seal(&folder)? else {
        let what = "there is no seal, and the pack is made from a sealed layout";
        let cure = "Restore it from a copy, or lay the trial out: `halfgreen layout`.";
        return Err(Error::new(folder.shown(SEAL), what, cure).into());
    };
    let made = made(&folder, &read.protocol, &layout, &greens, &seal)?;
    let mut warnings = read.cautions;
    warnings.extend(trial::held_to_seal(
        &folder,
        Some(&seal),
        &read.protocol,
        &layout,
    ));
    warnings.extend(trial::repairs(&greens));
    let unlike = trial::straddling_on(&read.protocol, &layout, &greens).into_iter();
    warnings.extend(unlike.map(|s| Warning::at("straddles-zones", s, folder.shown(LAYOUT))));
    let words = words::words(&folder, &read.protocol, &made);
    let packed = Packed {
        files: made.names,
        left: made.left,
    };
    Ok(Answer::new(packed, words)
        .with_warnings(warnings)
        .with_files(made.files))
}

/// A pack that is ready to be written.
#[derive(Debug)]
pub(super) struct Made {
    /// What is to be written.
    pub(super) files: Vec<NewFile>,
    /// Names of all files of the pack.
    names: Vec<String>,
    /// Names of those that are left as they are.
    left: Vec<String>,
    /// How the plots are pegged out.
    pegging: Vec<Pegging>,
}

/// Makes the pack of a sealed layout.
pub(super) fn made(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
    greens: &[Green],
    seal: &Seal,
) -> Result<Made, Refusal> {
    carried(folder, protocol, layout)?;
    let pegging = trial::pegging(folder, protocol, layout, greens)?;
    let pack = Pack {
        protocol,
        layout,
        greens,
        seal,
        pegging: &pegging,
    };
    let made = files::of(folder, &pack)?;
    Ok(Made {
        files: made.new,
        names: made.names,
        left: made.left,
        pegging,
    })
}

/// Refuses a pack of more lines than anybody counts.
fn carried(folder: &TrialFolder<'_>, protocol: &Protocol, layout: &Layout) -> Result<(), Error> {
    let cores = protocol.response.cores_per_plot;
    let lines = cores * layout.names().len() * protocol.occasions.len();
    if LINES.holds_whole(lines as u64) {
        return Ok(());
    }
    let found = format!("there are {lines} lines to count on");
    let place = format!("{} [response] cores_per_plot", folder.shown(TRIAL));
    Err(LINES.refuse(
        place,
        &found,
        "Take fewer cores in each plot, or count on fewer occasions.",
    ))
}
