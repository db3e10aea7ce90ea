//! The command line: the only code that reads arguments, prints, or asks the time.
//!
//! [`run`] is the whole program: it reads the arguments, runs one command and shows what came back.
//!
//! Each command is one file here and one line in the list in `commands`. The file holds
//!
//! - `pub(super) struct Args`, the command's own arguments (`#[derive(Debug, clap::Args)]`), with their help;
//! - `fn request(&self, context: &Context) -> Request`, which makes the request of [`crate::commands`] from them.
//!
//! `carry_out` gives the command the disk and the clock and writes its files, `typeset` lays its words out,
//! `flags` names the flag that is at fault. No file is read here and nothing is worked out.
//!
//! | exit code | meaning |
//! |---|---|
//! | 0 | done |
//! | 1 | the input is refused: what, where, why, what to do |
//! | 2 | wrong use of the command line |
//! | 101 | a fault of the program itself |

mod browser;
mod archive;
mod carry_out;
mod check;
mod clock;
mod commands;
mod completions;
mod demo;
mod describe;
mod fault;
mod flags;
mod fold;
mod grid;
mod hotspots;
mod judge;
mod laid_out;
mod law;
mod layout;
mod manual;
mod new;
mod next;
mod order;
mod pack;
mod pool;
mod report;
mod season;
mod show;
mod stopline;
mod typed;
mod typeset;
mod waiting;
mod width;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;
use clap::error::ErrorKind;

use crate::commands::Refusal;
use commands::{Cli, Context};

/// Runs the program on its arguments, the first of which is its own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    fault::explain_faults();
    let cli = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli,
        Err(message) => return usage(&message),
    };
    if let Err(refusal) = threads(&cli.context) {
        return show::refusal(&refusal, cli.command.name(), &cli.context);
    }
    match cli.command.run(&cli.context) {
        Ok(answer) => show::answer(&answer, cli.command.name(), &cli.context),
        Err(refusal) => show::refusal(&refusal, cli.command.name(), &cli.context),
    }
}

/// Shows help, the version, or what is wrong with the command line.
fn usage(message: &clap::Error) -> ExitCode {
    show::usage(message);
    match message.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => ExitCode::SUCCESS,
        _ => ExitCode::from(2),
    }
}

/// Sets the number of threads, which changes how long an answer takes and nothing else.
fn threads(context: &Context) -> Result<(), Refusal> {
    let Some(threads) = context.threads else {
        return Ok(());
    };
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(threads))
        .build_global()
        .map_err(|e| {
            let what = format!("{threads} threads cannot be started ({e})");
            crate::Error::in_field("threads", what, "Ask for fewer.").into()
        })
}
