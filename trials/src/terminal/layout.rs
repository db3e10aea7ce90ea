//! `layout`: plots onto the green, treatments by lot, and the seal.

use std::fmt::Write;
use std::path::PathBuf;

use halfgreen_analysis::comparison::PrimaryTest;
use serde_json::json;

use super::clock;
use super::commands::Context;
use super::count_first::place_only;
use super::files;
use super::output::{Output, Refusal};
use super::show::{BAD, DOUBTFUL, GOOD};
use crate::Error;
use crate::design::{
    BlockBy, DesignKind, Green, LaidOut, Plot, Protocol, Role, Seal, Supplies, advise_on_sheets,
    headline_test, lay_out, seal, verify, write_layout,
};
use crate::fieldwork::map::field_map;
use crate::intake::counted_already;
use crate::store::{COUNTS, NewFile, Replace, SEAL, TrialFolder, write_all};

/// Arguments of `layout`.
#[derive(Debug, clap::Args)]
#[command(after_help = TWO_STEPS)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
    /// Draw anew although the trial is sealed; the old layout and seal are kept beside the new. Refused
    /// once counts are there
    #[arg(long)]
    replace: bool,
    /// Draw nothing: re-draw from the seal's seed and compare
    #[arg(long, conflicts_with = "replace")]
    verify: bool,
}

/// What `--help` says below the arguments.
const TWO_STEPS: &str = "\
With block_by = \"before-counts\" in trial.toml the work is in two steps. The first run places and numbers
the plots and writes plots-to-count.csv and map.svg; nothing is drawn or sealed. Count every plot, write
the lines of the occasion before treatment into counts.csv, and run the command again: it forms blocks
of plots with similar counts, draws the treatments, and seals those counts with the rest.";

/// Name of the map in the trial folder.
pub(super) const MAP: &str = "map.svg";

/// Name of the map of one of several greens.
pub(super) fn map_name(green: &str) -> String {
    format!("map-{green}.svg")
}

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    let folder = TrialFolder::open(&args.dir)?;
    let mut read = files::protocol(&folder)?;
    let greens = files::greens(&folder, &read.protocol)?;
    let by_counts = read.protocol.design.arrangement.block_by == BlockBy::BeforeCounts;
    if by_counts {
        match files::before(&folder, &read.protocol, &greens)? {
            Some(before) => {
                read.protocol.design.arrangement.before = before.counts;
                read.cautions
                    .extend(before.problems.iter().map(files::caution));
            }
            None if args.verify => return Err(files::no_before_counts(&folder).into()),
            None => return place_only(&folder, &read.protocol, &greens),
        }
    }
    if args.verify {
        return verified(&folder, &read.protocol, &greens);
    }
    nothing_counted(&folder, &read.protocol)?;
    let seed = context
        .seed
        .or(read.protocol.design.seed)
        .unwrap_or_else(clock::fresh_seed);
    let (laid, texts) = sealed_layout(
        &folder,
        &read.protocol,
        &read.supplies,
        &greens,
        (seed, &clock::now()),
        args.replace,
    )?;
    write_all(&texts)?;
    let mut warnings = read.cautions;
    warnings.extend(files::repairs(&greens));
    let mut output =
        Output::new(&laid, words(&read.protocol, &laid, &texts))?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}

/// Treatments are drawn before anything is counted, the first time and every time.
fn nothing_counted(folder: &TrialFolder, protocol: &Protocol) -> Result<(), Refusal> {
    let Some(text) = folder.optional_text(COUNTS)? else {
        return Ok(());
    };
    let shown = folder.shown(COUNTS);
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

/// Lays out and draws; gives the layout, and the files that put it, its seal and its maps in place.
pub(super) fn sealed_layout(
    folder: &TrialFolder,
    protocol: &Protocol,
    supplies: &Supplies,
    greens: &[Green],
    (seed, time): (u64, &str),
    replace: bool,
) -> Result<(LaidOut, Vec<NewFile>), Refusal> {
    let mut laid = lay_out(protocol, greens, seed).map_err(|e| folder.placed(e))?;
    let edges = supplies.rolls.iter().filter_map(|r| r.edge_m);
    let sheets = edges.max_by(f64::total_cmp);
    laid.advice
        .extend(sheets.and_then(|edge| advise_on_sheets(protocol, edge)));
    let earlier = folder.optional_text(SEAL)?;
    // A seal that cannot be read is kept beside, but its digest is not known.
    let earlier = earlier.and_then(|text| Seal::from_toml(SEAL, &text).ok());
    let sealed = seal(protocol, greens, &laid, time, earlier.as_ref())?;
    let maps = maps(protocol, &laid, greens, folder)?;
    let mut texts =
        folder.sealed_layout(write_layout(&laid.layout)?, sealed.to_toml()?, replace)?;
    texts.extend(maps);
    Ok((laid, texts))
}

/// A page for each green.
fn maps(
    protocol: &Protocol,
    laid: &LaidOut,
    greens: &[Green],
    folder: &TrialFolder,
) -> Result<Vec<NewFile>, Error> {
    let title = &protocol.trial.title;
    let page = |green: &Green| {
        let (file, layout, title) = match &green.name {
            None => (MAP.to_owned(), laid.layout.clone(), title.clone()),
            Some(name) => (
                map_name(name),
                laid.layout.on_green(name),
                format!("{title}: {name}"),
            ),
        };
        let guard_m = protocol.plot.guard_m;
        Ok(NewFile {
            path: folder.join(&file),
            text: field_map(
                &green.outline,
                &layout,
                &protocol.treatments,
                guard_m,
                &title,
            )?,
            replace: Replace::Own,
        })
    };
    greens.iter().map(page).collect()
}

/// Re-draws and compares.
fn verified(
    folder: &TrialFolder,
    protocol: &Protocol,
    greens: &[Green],
) -> Result<Output, Refusal> {
    let layout = files::layout(folder, protocol)?;
    let Some(seal) = files::seal(folder)? else {
        let what = "there is no seal to verify";
        return Err(Error::new(
            folder.shown(SEAL),
            what,
            "Lay the trial out: `halfgreen layout`.",
        )
        .into());
    };
    let differs = verify(&seal, protocol, greens, &layout)?;
    let text = if differs.is_empty() {
        format!(
            "{GOOD}As sealed{GOOD:#}: seed {} gives this layout again. The time in the seal is what a computer's clock \
             said; it cannot be verified.\n",
            seal.seed
        )
    } else {
        format!("{BAD}Not as sealed{BAD:#}:\n{}\n", differs.join("\n"))
    };
    let mut output = Output::new(
        json!({ "as_sealed": differs.is_empty(), "differences": differs }),
        text,
    )?;
    output.seed = Some(seal.seed);
    output.passed = differs.is_empty();
    Ok(output)
}

/// Names of a crossover's nights, in order; none for another design.
fn nights(protocol: &Protocol) -> Vec<&str> {
    let crossed = protocol.design.kind == DesignKind::Crossover;
    let mains = protocol.occasions.iter();
    mains
        .filter(|o| crossed && o.role == Role::Main)
        .map(|o| o.name.as_str())
        .collect()
}

/// The layout in words.
fn words(protocol: &Protocol, laid: &LaidOut, written: &[NewFile]) -> String {
    let mut text = String::new();
    // Writing into a text cannot fail.
    let mut push = |what: std::fmt::Arguments<'_>| text.write_fmt(what).unwrap_or_default();
    push(format_args!(
        "{GOOD}Laid out{GOOD:#}: {} plots of {} m x {} m, seed {}.\n\n",
        laid.layout.names().len(),
        protocol.plot.length_m,
        protocol.plot.width_m,
        laid.seed
    ));
    let nights = nights(protocol);
    push(format_args!("{}", table(&laid.layout.plots, &nights)));
    if !nights.is_empty() {
        push(format_args!(
            "\nEvery plot is counted every night. In counts.csv the night is the occasion: {}.\n",
            nights.join(", ")
        ));
    }
    push(format_args!(
        "\n{} allocations were possible; the verdict will rest on {}.\n",
        laid.allocations,
        if headline_test(protocol, laid) == PrimaryTest::Randomisation {
            "the draw itself"
        } else {
            "a model of the counts"
        }
    ));
    for advice in &laid.advice {
        push(format_args!(
            "{DOUBTFUL}look{DOUBTFUL:#}: {}\n",
            advice.message
        ));
    }
    let names: Vec<String> = written
        .iter()
        .map(|f| f.path.display().to_string())
        .collect();
    push(format_args!("\nWritten: {}\n", names.join(", ")));
    text
}

/// The plots as a table whose columns are as wide as their longest name and two spaces. Nights have a column
/// of their own where there are some.
fn table(plots: &[Plot], nights: &[&str]) -> String {
    let wide = |least: usize, name: &dyn Fn(&Plot) -> usize| {
        let longest = plots.iter().map(name).max().unwrap_or(0);
        least.max(longest + 2)
    };
    let block = |p: &Plot| p.block.clone().unwrap_or_else(|| "-".to_owned());
    let night = |p: &Plot| -> &str {
        let number = p.row.as_ref().and_then(|n| n.parse::<usize>().ok());
        let at = number.and_then(|n| n.checked_sub(1));
        at.and_then(|n| nights.get(n).copied()).unwrap_or("")
    };
    let plot_wide = wide(7, &|p| p.plot.chars().count());
    let block_wide = wide(8, &|p| block(p).chars().count());
    let night_wide = if nights.is_empty() {
        0
    } else {
        wide(7, &|p| night(p).chars().count())
    };
    let treatment_wide = wide(12, &|p| p.treatment.chars().count());
    let line = |[plot, block, night, treatment, x, y]: [&str; 6]| {
        format!(
            "{plot:<plot_wide$}{block:<block_wide$}{night:<night_wide$}{treatment:<treatment_wide$}{x:>8}{y:>8}\n"
        )
    };
    let heading = if nights.is_empty() { "" } else { "night" };
    let mut text = line(["plot", "block", heading, "treatment", "x (m)", "y (m)"]);
    for p in plots {
        let (x, y) = (format!("{:.2}", p.x_m), format!("{:.2}", p.y_m));
        text += &line([&p.plot, &block(p), night(p), &p.treatment, &x, &y]);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_block_name_leaves_the_next_column_alone() {
        let plot = Plot {
            plot: "1".to_owned(),
            block: Some("practice-green 1".to_owned()),
            row: None,
            column: None,
            treatment: "sheet".to_owned(),
            x_m: 2.5,
            y_m: 3.0,
            length_m: 2.0,
            width_m: 2.0,
            angle_deg: 0.0,
        };
        assert_eq!(
            table(&[plot], &[]),
            "plot   block             treatment      x (m)   y (m)\n\
             1      practice-green 1  sheet           2.50    3.00\n"
        );
    }
}
