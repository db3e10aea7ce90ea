//! `judge`: did the method beat the control?

mod second;
mod turf;

use std::fmt::Write;
use std::path::{Path, PathBuf};

use halfgreen_analysis::comparison::{Better, Call, Lead, Question, lead};

use super::commands::Context;
use super::files;
use super::output::{Output, Refusal};
use super::show::{self, BAD, DOUBTFUL, GOOD};
use crate::intake::{Columns, read_columns};
use crate::judgement::{
    Case, Judgement, Reference, TableQuestion, case_from_table, headline, judge,
};
use crate::report::rounding::{chance, figure, maybe, maybe_chance};
use crate::store::{NewFile, RESULTS, Replace, TrialFolder, read_table, write_all};
use crate::{Error, Warning};

/// Arguments of `judge`.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("what").required(true).args(["dir", "counts"]))]
pub(super) struct Args {
    /// Folder of the trial
    dir: Option<PathBuf>,
    #[command(flatten)]
    table: Table,
}

/// Any table of counts.
#[derive(Debug, clap::Args)]
struct Table {
    /// Table of counts (CSV), one line for each plot
    #[arg(long, value_name = "FILE", requires_all = ["count", "treatment", "control"])]
    counts: Option<PathBuf>,
    /// Column of the counts
    #[arg(long, value_name = "COL", requires = "counts")]
    count: Option<String>,
    /// Column of the treatments
    #[arg(long, value_name = "COL", requires = "counts")]
    treatment: Option<String>,
    /// Treatment that is the control
    #[arg(long, value_name = "LEVEL", requires = "counts")]
    control: Option<String>,
    /// Column of the blocks
    #[arg(long, value_name = "COL", requires = "counts")]
    block: Option<String>,
    /// Column of the rows of a Latin square
    #[arg(long, value_name = "COL", requires_all = ["counts", "column"])]
    row: Option<String>,
    /// Column of the columns of a Latin square
    #[arg(long, value_name = "COL", requires_all = ["counts", "row"])]
    column: Option<String>,
    /// Column that names the plot, where several lines are cores of one plot
    #[arg(long, value_name = "COL", requires = "counts")]
    plot: Option<String>,
    /// Column of the counts before treatment
    #[arg(long, value_name = "COL", requires = "counts")]
    before: Option<String>,
    /// Column of the sampled areas, square metres
    #[arg(long, value_name = "COL", requires = "counts")]
    area: Option<String>,
    /// What the column of the counts holds
    #[arg(long, value_name = "KIND", default_value = "count", requires = "counts",
          value_parser = ["count", "score", "cover", "length", "edge"])]
    response: String,
    /// Column of the readings outside the plot's edge, for `--response edge`
    #[arg(long, value_name = "COL", requires = "counts")]
    outside: Option<String>,
    /// Which direction is good: by default fewer for counts, more for all else
    #[arg(long, value_name = "fewer|more", value_parser = ["fewer", "more"])]
    better: Option<String>,
    /// Smallest change worth having: per cent for counts (50 if not given), else in the unit of the reading
    #[arg(long, value_name = "SIZE")]
    worthwhile: Option<f64>,
    /// Accepted chance of a false claim
    #[arg(long, value_name = "A", default_value_t = 0.05)]
    alpha: f64,
    /// Method that the others need only come close to
    #[arg(long, value_name = "LEVEL")]
    reference: Option<String>,
    /// How much worse than the reference would still do, per cent
    #[arg(
        long,
        value_name = "PCT",
        default_value_t = 20.0,
        requires = "reference"
    )]
    margin: f64,
    /// Treatments were not drawn at random: no re-allocation test
    #[arg(long, requires = "counts")]
    not_randomised: bool,
}

/// Change of a count worth having where none is stated, per cent: half the larvae gone.
const USUAL_CHANGE: f64 = 50.0;

/// Seed of sampled allocations where none is given.
const SEED: u64 = 1;

pub(super) use turf::{output as turf_output, words as turf_words};

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    if let (Some(file), true) = (&args.table.counts, args.table.response != "count") {
        return turf::run(file, &args.table, context.seed.unwrap_or(SEED));
    }
    let (mut case, seed) = match (&args.dir, &args.table.counts) {
        (Some(dir), _) => {
            let folder = TrialFolder::open(dir)?;
            let read = files::protocol(&folder)?;
            if !read.protocol.response.kind.is_count() {
                return turf::run_trial(&folder, read, &args.table, context.seed);
            }
            let trial = files::trial(&folder, context.seed)?;
            (trial.case, trial.seed)
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
        case.beside.reference = Some(Reference {
            treatment: treatment.clone(),
            margin_percent: args.table.margin,
        });
    }
    let (judgement, warnings) = judge(&case, seed)?;
    let told = output(&case, &judgement, warnings, seed)?;
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
        replace: Replace::Allowed,
    }])?;
    Ok(())
}

/// What `judge` gives back for a judgement.
pub(super) fn output(
    case: &Case,
    judgement: &Judgement,
    warnings: Vec<Warning>,
    seed: u64,
) -> Result<Output, Refusal> {
    let mut output = Output::new(judgement, words(case, judgement))?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}

/// The case of a table.
fn from_table(file: &Path, table: &Table, seed: u64) -> Result<Case, Refusal> {
    let question = question(table)?;
    let text = read_table(file)?;
    let input = read_columns(&file.display().to_string(), &text, &columns(table))?;
    let asked = TableQuestion {
        question,
        randomised: !table.not_randomised,
        seed,
    };
    let mut case = case_from_table(&input, &asked)?;
    case.warnings.extend(
        input
            .problems
            .iter()
            .map(|p| Warning::at("line-left-out", p.message.clone(), p.place())),
    );
    Ok(case)
}

/// The names of a table's columns.
fn columns(table: &Table) -> Columns {
    let name = |column: &Option<String>| column.clone().unwrap_or_default();
    Columns {
        count: name(&table.count),
        treatment: name(&table.treatment),
        control: name(&table.control),
        block: table.block.clone(),
        row: table.row.clone(),
        column: table.column.clone(),
        plot: table.plot.clone(),
        before: table.before.clone(),
        area: table.area.clone(),
    }
}

fn alpha(table: &Table) -> Result<f64, Error> {
    if !(table.alpha > 0.0 && table.alpha < 1.0) {
        return Err(Error::new(
            "--alpha",
            format!("{} is no chance between 0 and 1", table.alpha),
            "Give the accepted chance of a false claim, such as 0.05.",
        ));
    }
    Ok(table.alpha)
}

fn question(table: &Table) -> Result<Question, Error> {
    let alpha = alpha(table)?;
    let more = table.better.as_deref() == Some("more");
    let percent = table.worthwhile.unwrap_or(USUAL_CHANGE);
    let share = percent / 100.0;
    if !(share > 0.0 && share.is_finite() && (more || share < 1.0)) {
        return Err(Error::new(
            "--worthwhile",
            format!("{percent} per cent is no change worth having"),
            "Give the smallest change that would matter: above 0, and below 100 for a reduction.",
        ));
    }
    let (better, worthwhile_ratio) = if more {
        (Better::More, 1.0 + share)
    } else {
        (Better::Fewer, 1.0 - share)
    };
    Ok(Question {
        alpha,
        better,
        worthwhile_ratio,
    })
}

/// The verdicts and what they rest on.
pub(super) fn told(found: &Judgement) -> String {
    let mut text = String::new();
    for verdict in &found.verdicts {
        let style = match verdict.call {
            Call::BeatTheControl => GOOD,
            Call::DidWorse => BAD,
            Call::TooSmallToMatter | Call::CannotTell => DOUBTFUL,
        };
        let head = headline(verdict.call);
        push(
            &mut text,
            format_args!(
                "{style}{}: {head}{style:#}\n{}\n\n",
                verdict.treatment, verdict.sentence
            ),
        );
    }
    push(&mut text, format_args!("{}\n", basis(found)));
    text
}

/// The verdicts, then the numbers behind them.
fn words(case: &Case, found: &Judgement) -> String {
    let mut text = told(found);
    text.push('\n');
    let per = if case.per == "m2" { "per m2" } else { case.per };
    push(
        &mut text,
        format_args!(
            "{:<16}{:>12}   likely between ({per})\n",
            "treatment", "mean"
        ),
    );
    for m in &found.means {
        push(
            &mut text,
            format_args!(
                "{:<16}{:>12}   {} and {}\n",
                m.treatment,
                figure(m.mean),
                maybe(m.low),
                maybe(m.high)
            ),
        );
    }
    push(
        &mut text,
        format_args!(
            "\n{:<16}{:>8}{:>18}{:>12}{:>12}\n",
            "method", "ratio", "likely between", "p model", "p draw"
        ),
    );
    for c in &found.contrasts {
        let between = format!("{} - {}", maybe(c.low), maybe(c.high));
        push(
            &mut text,
            format_args!(
                "{:<16}{:>8}{:>18}{:>12}{:>12}\n",
                c.treatment,
                maybe(c.ratio),
                between,
                chance(c.p_model_adjusted),
                maybe_chance(c.p_randomisation_adjusted)
            ),
        );
    }
    let k = found
        .dispersion
        .k
        .map_or("infinite (Poisson)".to_owned(), |k| format!("{k:.2}"));
    push(
        &mut text,
        format_args!(
            "\n{}, {} cores, {} counted; k of a plot's count {k}\n",
            plots(found),
            found.units.subsamples,
            found.units.total
        ),
    );
    text.push_str(&second::words(found));
    text
}

/// How many plots were compared; in a crossover over how many nights.
fn plots(found: &Judgement) -> String {
    match &found.crossover {
        Some(turns) => format!("{} plots over {} nights", turns.plots, turns.nights.len()),
        None => format!("{} plots", found.units.plots),
    }
}

/// What the verdict rests on, in a sentence.
fn basis(found: &Judgement) -> String {
    match (&found.randomisation, found.lead) {
        (Some(r), Lead::Randomisation) => format!(
            "The verdict rests on the draw itself: treatments re-drawn {} ways{}; the smallest p it can reach is {}.",
            if r.exact { format!("all {:.0}", r.drawn) } else { format!("{:.0} of {}", r.drawn, r.allocations) },
            if r.exact { "" } else { " at random" },
            chance(r.smallest_p)
        ),
        // By its own p-values re-allocation could lead, but not once a method and the control
        // alone change places: the seal said so before anything was counted.
        (Some(r), Lead::Model) if lead(r.smallest_p, found.alpha) == Lead::Randomisation => {
            "The verdict rests on a model of the counts: in this layout too few plots could have changed places between \
             one method and the control alone."
                .to_owned()
        }
        (Some(r), Lead::Model) => format!(
            "The verdict rests on a model of the counts: with {} the draw alone is too coarse to lead (smallest p {}).",
            plots(found),
            chance(r.smallest_p)
        ),
        (None, _) => "The verdict rests on a model of the counts: treatments were not drawn at random, so that a \
                      difference may come from where they lie."
            .to_owned(),
    }
}

/// Writing into a text cannot fail.
fn push(text: &mut String, what: std::fmt::Arguments<'_>) {
    text.write_fmt(what).unwrap_or_default();
}
