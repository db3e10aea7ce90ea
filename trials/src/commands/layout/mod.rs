//! `layout`: plots onto the green, treatments by lot, and the seal.

mod count_first;
mod maps;
mod verify;
mod words;

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::request::required;
use super::trial;
use super::{Answer, Refusal, Surroundings};
use crate::Error;
use crate::design::{
    BlockBy, Green, LaidOut, Protocol, Seal, Supplies, advise_on_sheets, lay_out, seal,
    write_layout,
};
use crate::fieldwork::pegging::Pegging;
use crate::intake::counted_already;
use crate::store::{NewFile, SEAL, TrialFolder};

pub use count_first::Placed;
pub use verify::Verified;

/// What is asked of `layout`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
    /// Draw anew although the trial is sealed; the old layout and seal are kept beside the new.
    pub replace: bool,
    /// Draw nothing: re-draw from the seal's seed and compare.
    pub verify: bool,
    /// Seed of the draw; if not given, that of the protocol, or a fresh one.
    pub seed: Option<u64>,
}

/// The `result` of `layout`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Laid {
    /// Plots with their treatments.
    Out(Box<Out>),
    /// Plots that wait to be counted first.
    Placed(Placed),
    /// Whether the layout is the sealed one.
    Verified(Verified),
}

/// Plots with their treatments, and how they are pegged out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Out {
    /// The layout and what its design can show.
    #[serde(flatten)]
    pub laid: LaidOut,
    /// How the plots are pegged out, green by green.
    pub pegging: Vec<Pegging>,
    /// Blocks and plots that straddle unlike ground, a sentence each.
    pub straddling: Vec<String>,
}

/// Lays a trial out, or checks how it was laid out.
///
/// # Errors
/// A trial folder that cannot be read, plots that the green has no room for, a trial that is sealed or counted
/// already.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Laid>, Refusal> {
    required(&[("dir", &request.dir)])?;
    if request.verify && request.replace {
        let what = "a layout is verified or replaced, not both at once";
        return Err(Error::in_field("replace", what, "Leave one of them out.").into());
    }
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let mut read = trial::protocol(&folder)?;
    let greens = trial::greens(&folder, &read.protocol)?;
    if read.protocol.design.arrangement.block_by == BlockBy::BeforeCounts {
        match trial::before(&folder, &read.protocol, &greens)? {
            Some(before) => {
                read.protocol.design.arrangement.before = before.counts;
                read.cautions
                    .extend(before.problems.iter().map(trial::caution));
            }
            None if request.verify => return Err(trial::no_before_counts(&folder).into()),
            None => {
                let placed = count_first::place_only(&folder, &read.protocol, &greens)?;
                return Ok(placed.map(Laid::Placed));
            }
        }
    }
    if request.verify {
        let verified = verify::verified(&folder, &read.protocol, &greens)?;
        return Ok(verified.map(Laid::Verified));
    }
    nothing_counted(&folder, &read.protocol)?;
    let seed = request
        .seed
        .or(read.protocol.design.seed)
        .unwrap_or(at.fresh_seed);
    let draw = Draw {
        seed,
        time: at.now,
        replace: request.replace,
    };
    let (laid, files) = sealed_layout(&folder, &read.protocol, &read.supplies, &greens, &draw)?;
    let mut warnings = read.cautions;
    warnings.extend(trial::repairs(&greens));
    let pegging = trial::pegging(&folder, &read.protocol, &laid.layout, &greens)?;
    let straddling = trial::straddling_on(&read.protocol, &laid.layout, &greens);
    let out = Out {
        laid,
        pegging,
        straddling,
    };
    let words = words::words(&folder, &read.protocol, &out, &files);
    Ok(Answer::new(Laid::Out(Box::new(out)), words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(seed))
}

/// Treatments are drawn before anything is counted, the first time and every time.
fn nothing_counted(folder: &TrialFolder<'_>, protocol: &Protocol) -> Result<(), Refusal> {
    let Some((name, text)) = folder.counts()? else {
        return Ok(());
    };
    let shown = folder.shown(name);
    let lines = match counted_already(&shown, &text, protocol) {
        0 => return Ok(()),
        1 => "1 line of counts is".to_owned(),
        n => format!("{n} lines of counts are"),
    };
    Err(Error::new(
        shown,
        format!("{lines} there already, and a draw now would give treatments to plots that were counted under another, or none"),
        "If the layout was lost, restore it from a copy. If the trial starts afresh, set these counts aside under another \
         name, then lay out.",
    )
    .into())
}

/// How the treatments are drawn.
#[derive(Debug)]
pub(super) struct Draw<'a> {
    /// Seed.
    pub(super) seed: u64,
    /// Time that goes into the seal.
    pub(super) time: &'a str,
    /// Draw anew although the trial is sealed.
    pub(super) replace: bool,
}

/// Lays out and draws; gives the layout, and the files that put it, its seal and its maps in place.
pub(super) fn sealed_layout(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    supplies: &Supplies,
    greens: &[Green],
    draw: &Draw<'_>,
) -> Result<(LaidOut, Vec<NewFile>), Refusal> {
    let mut laid = lay_out(protocol, greens, draw.seed).map_err(|e| folder.placed(e))?;
    let edges = supplies.rolls.iter().filter_map(|r| r.edge_m);
    let sheets = edges.max_by(f64::total_cmp);
    laid.advice
        .extend(sheets.and_then(|edge| advise_on_sheets(protocol, edge)));
    let earlier = folder.optional_text(SEAL)?;
    // A seal that cannot be read is kept beside, but its digest is not known.
    let earlier = earlier.and_then(|text| Seal::from_toml(SEAL, &text).ok());
    let sealed = seal(protocol, greens, &laid, draw.time, earlier.as_ref())?;
    let mut files =
        folder.sealed_layout(write_layout(&laid.layout)?, sealed.to_toml()?, draw.replace)?;
    for green in greens {
        let layout = match &green.name {
            None => laid.layout.clone(),
            Some(name) => laid.layout.on_green(name),
        };
        let treatments = &protocol.treatments;
        files.push(maps::map(folder, protocol, green, &layout, treatments)?);
    }
    Ok((laid, files))
}
