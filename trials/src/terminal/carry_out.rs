//! A command carried out: surroundings from the machine, its files put on the disk.

use std::ops::ControlFlow;

use serde::Serialize;

use super::commands::Context;
use super::waiting::Waiting;
use super::{browser, clock};
use crate::commands::{Answer, Refusal, Surroundings};
use crate::store::{Disk, Outcome};
use crate::{Error, Warning};

/// Runs a command on the disk, now, and writes the files it gives back.
pub(super) fn carry_out<R: Serialize>(
    context: &Context,
    command: impl Fn(&Surroundings<'_>) -> Result<Answer<R>, Refusal>,
) -> Result<Answer, Refusal> {
    let disk = Disk::default();
    let told = carried_out(context, &disk, command);
    let finished: Vec<String> = disk
        .finished()
        .iter()
        .map(|f| f.display().to_string())
        .collect();
    if finished.is_empty() {
        return told;
    }
    let first = finished[0].clone();
    let message = format!(
        "an earlier run had been cut short while it wrote its files; they were put in place just now: {}",
        finished.join(", ")
    );
    match told {
        Ok(answer) => {
            Ok(answer.with_warnings(vec![Warning::at("finished-earlier-run", message, first)]))
        }
        Err(mut refusal) => {
            if let Some(error) = refusal.errors.first_mut() {
                error.what = format!("{} ({message})", error.what);
            }
            Err(refusal)
        }
    }
}

fn carried_out<R: Serialize>(
    context: &Context,
    disk: &Disk,
    command: impl Fn(&Surroundings<'_>) -> Result<Answer<R>, Refusal>,
) -> Result<Answer, Refusal> {
    let now = clock::now();
    let waiting = Waiting::begin(context);
    let at = Surroundings {
        progress: &|ready, of| {
            waiting.at(ready, of);
            ControlFlow::Continue(())
        },
        printer: &browser::printed,
        ..Surroundings::new(disk, &now, clock::fresh_seed())
    };
    for _ in 0..TRIES {
        let answer = command(&at);
        let finished = match answer {
            Ok(answer) => written(answer.as_json()?, disk)?,
            // What it complains of may be another run's work, half seen.
            Err(_) if disk.has_changed() => None,
            Err(refusal) => return Err(refusal),
        };
        if let Some(answer) = finished {
            return Ok(answer);
        }
        disk.look_again();
    }
    let what = "the files that this command reads were changed again and again while it worked";
    let cure = "Wait until nothing else writes them, and run it again.";
    Err(Error::new("files", what, cure).into())
}

/// How often a command is run that finds, when it comes to write, that what it read has changed: each time another run
/// has got its work done, so that more in a row have another cause.
const TRIES: usize = 10;

/// The answer once its files are in place; `None` where it rests on what is no longer so.
fn written(mut answer: Answer, disk: &Disk) -> Result<Option<Answer>, Error> {
    if disk.write(&answer.files)? == Outcome::Changed {
        return Ok(None);
    }
    if answer.kept.is_empty() {
        return Ok(Some(answer));
    }
    match disk.write(&answer.kept) {
        Ok(Outcome::Changed) => return Ok(None),
        Ok(Outcome::Written) => {}
        Err(fault) => answer.not_kept(fault),
    }
    Ok(Some(answer))
}
