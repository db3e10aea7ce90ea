//! The list of commands and what all of them take.

use clap::{Args, Parser, Subcommand};

use super::carry_out::carry_out;
use super::{
    archive, check, completions, demo, describe, grid, hotspots, judge, layout, manual, new, next,
    order, pack, pool, report, season, stopline,
};
use crate::commands::{self as functions, Answer, Refusal};

/// Cover half, leave half, count both: field trials against leatherjackets on greens.
#[derive(Debug, Parser)]
#[command(
    name = "halfgreen",
    version,
    propagate_version = true,
    arg_required_else_help = true,
    after_help = "`halfgreen COMMAND -h` lists what a command takes, `--help` explains it."
)]
pub(super) struct Cli {
    #[command(flatten)]
    pub(super) context: Context,
    #[command(subcommand)]
    pub(super) command: Command,
}

/// What every command takes.
#[derive(Debug, Clone, Args)]
pub(super) struct Context {
    /// Write one JSON document to standard output, and nothing else there
    #[arg(long, global = true, hide_short_help = true, help_heading = SHARED, display_order = 1000)]
    pub(super) json: bool,
    /// Whole number from which every random draw follows
    #[arg(long, global = true, hide_short_help = true, value_name = "N", help_heading = SHARED, display_order = 1000)]
    pub(super) seed: Option<u64>,
    /// Threads to use; the answer is the same for any number
    #[arg(long, global = true, hide_short_help = true, help_heading = SHARED, display_order = 1000, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(super) threads: Option<u16>,
    /// No progress and no warnings on standard error
    #[arg(long, global = true, hide_short_help = true, help_heading = SHARED, display_order = 1000)]
    pub(super) quiet: bool,
}

/// Heading of the options that every command takes.
pub(super) const SHARED: &str = "Every command takes";

/// One line for each command: its name, its file's arguments, one sentence of help, and what somebody would type.
macro_rules! commands {
    ($($(#[doc = $help:literal])* $variant:ident => $file:ident, $example:literal;)*) => {
        #[derive(Debug, Subcommand)]
        pub(super) enum Command {
            $(
                $(#[doc = $help])*
                #[command(after_long_help = concat!("For example: halfgreen ", $example))]
                $variant(Box<$file::Args>),
            )*
            /// What a shell must know to complete commands and options
            #[command(after_long_help = "For example: halfgreen completions bash")]
            Completions(completions::Args),
            /// The commands as a page for `man`
            #[command(after_long_help = "For example: halfgreen manual judge")]
            Manual(manual::Args),
        }

        impl Command {
            /// The command's name, as typed.
            pub(super) fn name(&self) -> &'static str {
                match self {
                    $(Self::$variant(_) => stringify!($file),)*
                    Self::Completions(_) => "completions",
                    Self::Manual(_) => "manual",
                }
            }

            /// Carries it out.
            pub(super) fn run(&self, context: &Context) -> Result<Answer, Refusal> {
                match self {
                    $(Self::$variant(args) => carry_out(context, |at| {
                        functions::$file::run(&args.request(context), at)
                    }),)*
                    Self::Completions(args) => args.answer(),
                    Self::Manual(args) => args.answer(),
                }
            }
        }
    };
}

commands! {
    /// See the whole job done on an invented club's trial
    Demo => demo, "demo";
    /// Start a trial: a folder with every question explained
    New => new, "new my-trial";
    /// Sample points on a green, numbered in walking order
    Grid => grid, "grid my-trial/outline.csv --points 40 --out scouting";
    /// Lay plots out, draw the treatments, seal it
    Layout => layout, "layout my-trial\n\n\
        With block_by = \"before-counts\" in trial.toml the work is in two steps. The first run places and numbers the plots \
        and writes plots-to-count.csv and map.svg; nothing is drawn or sealed. Count every plot, write the lines of the \
        occasion before treatment into counts.csv, and run the command again: it forms blocks of plots with similar \
        counts, draws the treatments, and seals those counts with the rest.";
    /// Everything for the morning: pegging out, sheets to count on, tables to fill in
    Pack => pack, "pack my-trial";
    /// Order sheet: what to buy, what to cut, what to lay first
    Order => order, "order my-trial";
    /// Check the counts that came back against what was laid out
    Check => check, "check my-trial phone-1.csv phone-2.csv";
    /// Judge: did the method beat the control?
    Judge => judge, "judge my-trial";
    /// Describe counts: how many, how clumped, which law they follow
    Describe => describe, "describe survey.csv --count larvae";
    /// Tell it: the verdict as pages and pictures
    Report => report, "report my-trial";
    /// Where they are: clusters, hot spots and the strips of sheet that reach most
    Hotspots => hotspots, "hotspots --counts survey.csv --x x_m --y y_m --count larvae";
    /// How many blocks and cores the next trial needs
    Next => next, "next my-trial";
    /// When the crew may stop counting
    Stopline => stopline, "stopline --kind sprt --lower 0.5 --upper 2 --k 0.8";
    /// Which greens on which night, what it costs, and whether it is worth it
    Season => season, "season data-examples/season/season.toml";
    /// Many clubs, one answer: what a method does on average, how far clubs differ, what the next one may expect
    Pool => pool, "pool club-1/trial club-2/trial club-3/trial --out association\n\n\
        Or a table of effects: halfgreen pool --effects data-examples/association/effects.csv";
    /// Many clubs' trials in one folder: taken in, judged one by one, described
    Archive => archive, "archive add county clubs";
}
