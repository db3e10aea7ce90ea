//! `stopline`: when the crew may stop counting.

use std::fmt::Write;
use std::path::PathBuf;

use clap::ValueEnum;
use halfgreen_analysis::power::survey::VarianceLaw;

use super::commands::Context;
use super::law::Law;
use super::output::{Output, Refusal};
use crate::scouting::card;
use crate::scouting::pictures::{average_sample_number, operating_characteristic, stop_line_chart};
use crate::scouting::stop_line::{Kind, StopLines, StopWish, stop_lines};
use crate::store::{NewFile, Replace, write_all};
use crate::{Error, Warning};

/// Arguments of `stopline`. Means are animals per core.
#[derive(Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub(super) struct Args {
    /// Wald's test between two levels, Iwao's of one level (half-way), or Green's of a precise mean
    #[arg(long, value_enum, default_value = "sprt")]
    kind: KindName,
    /// Mean that is surely fine (for green: lowest mean to show)
    #[arg(long, value_name = "M", required_if_eq_any([("kind", "sprt"), ("kind", "iwao")]))]
    lower: Option<f64>,
    /// Mean that surely asks for action (for green: highest mean to show)
    #[arg(long, value_name = "M", required_if_eq_any([("kind", "sprt"), ("kind", "iwao")]))]
    upper: Option<f64>,
    #[command(flatten)]
    law: Law,
    /// Chance of acting on a green at the lower mean; for iwao, that of both errors together
    #[arg(long, value_name = "A", default_value_t = 0.1)]
    alpha: f64,
    /// Chance of not acting on a green at the upper mean
    #[arg(long, value_name = "B", default_value_t = 0.1)]
    beta: f64,
    /// Standard error over the mean at which green stops
    #[arg(long, value_name = "D", default_value_t = 0.25)]
    precision: f64,
    /// Cores at most
    #[arg(long, value_name = "N", default_value_t = 40)]
    cores: usize,
    /// Only note whether a core holds more than this many (sprt)
    #[arg(long, value_name = "T")]
    tally: Option<u64>,
    /// Folder for the card and the pictures
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Names of the plans on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum KindName {
    Sprt,
    Iwao,
    Green,
}

pub(super) fn run(args: &Args, _context: &Context) -> Result<Output, Refusal> {
    let kind = match args.kind {
        KindName::Sprt => Kind::Sprt,
        KindName::Iwao => Kind::Iwao,
        KindName::Green => Kind::Green,
    };
    if args.tally.is_some() && kind != Kind::Sprt {
        let what = "only Wald's plan works with cores that are marked, not counted";
        return Err(Error::new("--tally", what, "Leave it out, or take --kind sprt.").into());
    }
    let wish = StopWish {
        kind,
        // Green's plan needs no levels; these only say over which means it is shown.
        low: args.lower.unwrap_or(1.0),
        high: args.upper.unwrap_or(10.0),
        law: args.law.law(),
        alpha: args.alpha,
        beta: args.beta,
        precision: args.precision,
        most: args.cores,
        tally: args.tally,
    };
    let answer = stop_lines(wish)?;
    let mut warnings: Vec<Warning> = answer.cautions.iter().cloned().map(Warning::from).collect();
    if wish.law == VarianceLaw::Poisson {
        warnings.push(Warning {
            code: "poisson-assumed",
            message: "Counts are taken as no more clumped than chance; larvae seldom are. Give --k from `describe`."
                .to_owned(),
            place: None,
        });
    }
    let files = files(args, &answer)?;
    write_all(&files)?;
    let text = words(&answer, &files);
    Ok(Output::new(&answer, text)?.with_warnings(warnings))
}

fn files(args: &Args, answer: &StopLines) -> Result<Vec<NewFile>, Error> {
    let Some(dir) = &args.out else {
        return Ok(Vec::new());
    };
    let file = |name: &str, text: String| NewFile {
        path: dir.join(name),
        text,
        replace: Replace::Own,
    };
    Ok(vec![
        file("stop-card.html", card::page(answer)?),
        file("stop-lines.svg", stop_line_chart(answer)?),
        file("stop-chances.svg", operating_characteristic(answer)?),
        file("stop-cores.svg", average_sample_number(answer)?),
    ])
}

/// The card, then what the lines do at a few means.
fn words(answer: &StopLines, files: &[NewFile]) -> String {
    let mut text = card::text(answer);
    let green = answer.wish.kind == Kind::Green;
    text.push_str(if green {
        "\ntrue mean  precise enough  cores on average\n"
    } else {
        "\ntrue mean  called clean  cores on average\n"
    });
    let step = answer.oc.len().div_ceil(12).max(1);
    let width = if green { 13 } else { 11 };
    for (oc, asn) in answer.oc.iter().zip(&answer.asn).step_by(step) {
        let share = 100.0 * oc.probability;
        // Writing into a text cannot fail.
        writeln!(
            text,
            "{:>9.2}  {share:>width$.1} %  {:>16.1}",
            oc.mean, asn.n
        )
        .unwrap_or_default();
    }
    for file in files {
        writeln!(text, "written: {}", file.path.display()).unwrap_or_default();
    }
    text
}
