//! `manual`: the commands as a page for `man`.

use clap::{Command, CommandFactory};
use clap_mangen::Man;
use serde::Serialize;

use super::commands::{Cli, SHARED};
use crate::Error;
use crate::commands::{Answer, Refusal, Words};
use crate::text::spelling::offer;

/// Writes the page to standard output: all commands on one, or a command by itself. README.md says where `man` looks for it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Command that the page is to be about; all of them without it
    command: Option<String>,
}

/// A page for `man`.
#[derive(Debug, Serialize)]
struct Page {
    page: String,
}

impl Args {
    /// The page as the commands are now.
    pub(super) fn answer(&self) -> Result<Answer, Refusal> {
        // A page is the long help.
        let mut cli = Cli::command().mut_args(|a| a.hide_short_help(false));
        cli.build();
        let page = match &self.command {
            None => whole(&cli)?,
            Some(name) => of_one(&cli, name)?,
        };
        let mut words = Words::default();
        words.as_written(page.as_str());
        Answer::new(Page { page }, words).as_json()
    }
}

/// The page of one command.
fn of_one(cli: &Command, name: &str) -> Result<String, Error> {
    let Some(command) = cli.find_subcommand(name) else {
        let known: Vec<&str> = told(cli).map(Command::get_name).collect();
        return Err(Error::new(
            name,
            "there is no such command",
            offer(name, &known),
        ));
    };
    let man = Man::new(command.clone()).title(format!("halfgreen-{name}"));
    Ok(example_named(&written(|text| man.render(text))?))
}

/// What comes after the options is an example.
fn example_named(page: &str) -> String {
    page.replace(".SH EXTRA", ".SH EXAMPLE")
}

/// One page with a part for every command; what all of them take stands once.
fn whole(cli: &Command) -> Result<String, Error> {
    let man = Man::new(cli.clone()).title("halfgreen");
    let mut page = written(|text| {
        man.render_title(text)?;
        man.render_name_section(text)?;
        man.render_synopsis_section(text)?;
        man.render_description_section(text)?;
        man.render_options_section(text)
    })?;
    for command in told(cli) {
        page.push_str(&part(command)?);
    }
    page.push_str(ENDS);
    Ok(page)
}

/// How the program ends.
const ENDS: &str = ".SH \"EXIT STATUS\"\n0: done. 1: the input is refused, with what, where, why and what to do. \
                    2: wrong use of the command line.\n";

/// A command's part of the whole page, without what all commands take.
fn part(command: &Command) -> Result<String, Error> {
    let man = Man::new(command.clone());
    let own = written(|text| {
        man.render_description_section(text)?;
        man.render_synopsis_section(text)?;
        man.render_options_section(text)?;
        man.render_extra_section(text)
    })?;
    let own = example_named(&own);
    let kept = own.split_inclusive('\n').scan(false, |shared, line| {
        if line.starts_with(".SH ") {
            *shared = line.to_uppercase().contains(&SHARED.to_uppercase());
        }
        Some(if *shared { "" } else { line })
    });
    // Sections of a part.
    let kept = kept.collect::<String>().replace(".SH ", ".SS ");
    Ok(format!(".SH \"halfgreen {}\"\n{kept}", command.get_name()))
}

/// The commands that the help lists.
fn told(cli: &Command) -> impl Iterator<Item = &Command> {
    cli.get_subcommands().filter(|c| c.get_name() != "help")
}

fn written(write: impl Fn(&mut Vec<u8>) -> std::io::Result<()>) -> Result<String, Error> {
    let mut text = Vec::new();
    write(&mut text).map_err(|fault| {
        let what = format!("the page cannot be made ({fault})");
        Error::new("manual", what, "Report this as a fault of the program.")
    })?;
    Ok(String::from_utf8_lossy(&text).into_owned())
}
