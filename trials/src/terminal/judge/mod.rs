//! `judge`: did the method beat the control?

mod second;
mod table;
mod turf;
mod words;

use std::path::{Path, PathBuf};

use super::commands::Context;
use super::files;
use super::output::{Output, Refusal};
use super::show;
use crate::judgement::{Judgement, judge};
use crate::store::{NewFile, RESULTS, Replace, TrialFolder, write_all};
use crate::trial_data::{Reference, TrialData};
use crate::{Error, Warning};
use table::{Table, from_table, of_file};
use words::words;

pub(super) use turf::{output as turf_output, words as turf_words};
pub(super) use words::told;

/// Arguments of `judge`.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("what").required(true).args(["dir", "counts"]))]
pub(super) struct Args {
    /// Folder of the trial
    dir: Option<PathBuf>,
    #[command(flatten)]
    table: Table,
}

/// Seed of sampled allocations where none is given.
const SEED: u64 = 1;

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    if let (Some(file), true) = (&args.table.counts, args.table.response != "count") {
        return turf::run(file, &args.table, context.seed.unwrap_or(SEED));
    }
    let (mut data, seed) = match (&args.dir, &args.table.counts) {
        (Some(dir), _) => {
            let folder = TrialFolder::open(dir)?;
            let read = files::protocol(&folder)?;
            if !read.protocol.response.kind.is_count() {
                return turf::run_trial(&folder, read, &args.table, context.seed);
            }
            let trial = files::trial(&folder, context.seed)?;
            (trial.data, trial.seed)
        }
        (None, Some(file)) => {
            let seed = context.seed.unwrap_or(SEED);
            (from_table(file, &args.table, seed)?, seed)
        }
        (None, None) => {
            let what = "neither a trial folder nor --counts is given";
            return Err(Error::new("judge", what, "Name one of them.").into());
        }
    };
    if let Some(treatment) = &args.table.reference {
        data.beside.reference = Some(Reference {
            treatment: treatment.clone(),
            margin_percent: args.table.margin,
        });
    }
    let (judgement, warnings) = judge(&data, seed).map_err(|refused| match &args.table.counts {
        Some(file) => of_file(file, refused),
        None => refused,
    })?;
    let told = output(&data, &judgement, warnings, seed)?;
    if let Some(dir) = &args.dir {
        keep(dir, &told)?;
    }
    Ok(told)
}

/// Keeps what a trial taught where `next` looks for it.
fn keep(dir: &Path, told: &Output) -> Result<(), Refusal> {
    write_all(&[NewFile {
        path: dir.join(RESULTS),
        text: show::document_text(told, "judge")?,
        replace: Replace::Own,
    }])?;
    Ok(())
}

/// What `judge` gives back for a judgement.
pub(super) fn output(
    data: &TrialData,
    judgement: &Judgement,
    warnings: Vec<Warning>,
    seed: u64,
) -> Result<Output, Refusal> {
    let mut output = Output::new(judgement, words(data, judgement))?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}
