//! `completions`: what a shell must know to complete commands and options.

use clap::CommandFactory;
use clap_complete::{Shell, generate};
use serde::Serialize;

use super::commands::Cli;
use crate::commands::{Answer, Refusal, Words};

/// Writes them to standard output; README.md says where each shell looks for them.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

/// What a shell reads.
#[derive(Debug, Serialize)]
struct Completions {
    shell: String,
    text: String,
}

impl Args {
    /// The completions of every command as they are now.
    pub(super) fn answer(&self) -> Result<Answer, Refusal> {
        let mut text = Vec::new();
        generate(self.shell, &mut Cli::command(), "halfgreen", &mut text);
        let text = String::from_utf8_lossy(&text).into_owned();
        let mut words = Words::default();
        words.as_written(text.as_str());
        let shell = self.shell.to_string();
        Answer::new(Completions { shell, text }, words).as_json()
    }
}
