//! A command carried out: surroundings from the machine, its files put on the disk.

use std::ops::ControlFlow;

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::clock;
use super::commands::Context;
use crate::commands::{Answer, Refusal, Surroundings};
use crate::store::Disk;

/// Runs a command on the disk, now, and writes the files it gives back.
pub(super) fn carry_out<R: Serialize>(
    context: &Context,
    command: impl FnOnce(&Surroundings<'_>) -> Result<Answer<R>, Refusal>,
) -> Result<Answer, Refusal> {
    let disk = Disk::default();
    let now = clock::now();
    let bar = progress(context);
    let at = Surroundings {
        progress: &|ready, of| {
            bar.set_length(of as u64);
            bar.set_position(ready as u64);
            ControlFlow::Continue(())
        },
        ..Surroundings::new(&disk, &now, clock::fresh_seed())
    };
    let answer = command(&at);
    bar.finish_and_clear();
    let answer = answer?.as_json()?;
    disk.write(&answer.files)?;
    Ok(answer)
}

fn progress(context: &Context) -> ProgressBar {
    if context.quiet || context.json {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(0);
    match ProgressStyle::with_template("{bar:40} {pos} of {len}") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
