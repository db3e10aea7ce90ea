//! Trial data from any table of counts, by the names of its columns.

use std::collections::{BTreeMap, BTreeSet};

use halfgreen_analysis::comparison::Question;
use halfgreen_analysis::randomisation::Scheme;

use super::reference_set::{AllocationCount, ReferenceSet};
use super::square::square;
use super::trial_data::{About, OccasionCounts, PlotCount, Secondary, TrialData, Unit, codes};
use crate::design::{BlockStructure, Grouping, Sample, VerdictAbout};
use crate::intake::{Labels, TableInput};
use crate::ranges::tables::{CONTRASTS, PLOTS};
use crate::{Error, Warning};

/// What is asked of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct TableQuestion {
    /// Error rate, direction and worthwhile ratio.
    pub question: Question,
    /// Whether treatments were drawn at random within the design.
    pub randomised: bool,
    /// What the verdict is about, where blocks hold several plots of a treatment; `None` decides by the number of blocks.
    pub verdict_about: Option<VerdictAbout>,
    /// Seed of sampled allocations.
    pub seed: u64,
}

/// Sums cores into plots and reads the design off the columns given.
///
/// Each row is one plot, unless plots are named: then rows of one plot are its cores.
///
/// # Errors
/// Cores of one plot that disagree about its treatment or place.
pub fn data_from_table(table: &TableInput, asked: &TableQuestion) -> Result<TrialData, Error> {
    let mut warnings = Vec::new();
    one_only(table)?;
    few_enough(table)?;
    let (plots, per) = plots(table)?;
    let blocking = blocking_of(
        table.blocks.is_some(),
        table.rows.is_some() && table.columns.is_some(),
    );
    let about = about(&plots, blocking, asked.verdict_about)?;
    if table.plots.is_none() && table.blocks.is_some() {
        warnings.extend(ask_about_cores(&plots, about));
    }
    let mut treatments = table.treatments.levels.clone();
    let control = treatments.remove(table.control);
    treatments.insert(0, control);
    let units: Vec<Unit<'_>> = plots.iter().map(PlotCount::unit).collect();
    let reference_set = asked
        .randomised
        .then(|| reference_set(&units, &treatments, blocking, asked.seed))
        .transpose()?;
    let mut data = TrialData {
        sample: Sample::Core,
        names: treatments.clone(),
        treatments,
        factors: Vec::new(),
        blocking,
        about,
        per,
        counted: "counts".to_owned(),
        question: asked.question,
        reference_set,
        primary_test: None,
        warnings,
        plots,
        secondary: Secondary::default(),
    };
    data.secondary.before = before_counts(&data).map(Box::new);
    Ok(data)
}

/// Refuses a table of one treatment.
fn one_only(table: &TableInput) -> Result<(), Error> {
    match table.treatments.levels.as_slice() {
        [only] => Err(Error::new(
            "treatments",
            format!(
                "{only} is the only treatment that was counted, and a comparison needs a control and a method"
            ),
            "Name the column that tells the treatments, or add the counts of the other ones.",
        )),
        _ => Ok(()),
    }
}

/// Whether the first labels say which the second are: every name of the first goes with one name of the second.
#[must_use]
pub fn tells(first: &Labels, second: &Labels) -> bool {
    let mut with = vec![None; first.levels.len()];
    let mut pairs = first.codes.iter().zip(&second.codes);
    pairs.all(|(&a, &b)| *with[a].get_or_insert(b) == b)
}

/// The counts before treatment as counts of their own, if they are whole and every plot has one;
/// taken alike, so that the areas are those of the main count.
fn before_counts(data: &TrialData) -> Option<OccasionCounts> {
    let mut earlier = data.clone();
    for plot in &mut earlier.plots {
        let count = plot.before.take()?;
        // Above 2^53 a float need not hold a whole number.
        if count.fract() != 0.0 || count > 9e15 {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole, not negative, below 2^53"
        )]
        {
            plot.count = count as u64;
        }
    }
    Some(OccasionCounts {
        occasion: "before".to_owned(),
        data: earlier,
    })
}

/// Which grouping the columns given speak of.
pub(crate) fn blocking_of(blocks: bool, square: bool) -> BlockStructure {
    match (blocks, square) {
        (_, true) => BlockStructure::RowColumn,
        (true, false) => BlockStructure::Blocks,
        (false, false) => BlockStructure::Unblocked,
    }
}

/// The allocations that a table's design could have drawn.
pub(crate) fn reference_set(
    units: &[Unit<'_>],
    treatments: &[String],
    blocking: BlockStructure,
    seed: u64,
) -> Result<ReferenceSet, Error> {
    let labels = codes(units.iter().copied(), treatments);
    let scheme = match blocking {
        BlockStructure::RowColumn => return square(units, treatments.len(), seed),
        BlockStructure::Blocks | BlockStructure::SplitPlot => {
            let mut numbers = BTreeMap::new();
            let codes: Vec<usize> = units
                .iter()
                .map(|u| {
                    let next = numbers.len();
                    *numbers.entry(u.block).or_insert(next)
                })
                .collect();
            Scheme::blocks(&codes)
        }
        BlockStructure::Unblocked => Scheme::completely_randomised(units.len()),
    };
    let allocations = AllocationCount::Float(scheme.allocations(&labels));
    Ok(ReferenceSet {
        scheme,
        allocations,
        smallest_p: None,
    })
}

/// Refuses more plots than are judged, before any of them is made.
fn few_enough(table: &TableInput) -> Result<(), Error> {
    let found = match &table.plots {
        Some(plots) => plots.levels.len(),
        None => table.counts.len(),
    };
    if !PLOTS.holds_whole(found as u64) {
        let cure =
            "Judge a part of them, or name with --plot the lines that are cores of one plot.";
        return Err(PLOTS.refuse("plots", &format!("there are {found}"), cure));
    }
    let treatments = table.treatments.levels.len();
    let contrasts = found * treatments;
    if CONTRASTS.holds_whole(contrasts as u64) {
        return Ok(());
    }
    let what = format!("{found} plots times {treatments} treatments are {contrasts}");
    let cure = "Judge a part of the treatments at once, each with the control.";
    Err(CONTRASTS.refuse("plots", &what, cure))
}

/// Rows to plots, in the order of their first row.
fn plots(table: &TableInput) -> Result<(Vec<PlotCount>, &'static str), Error> {
    // Levels stand in the order of their first row, and so do their codes.
    let mut found: Vec<(usize, PlotCount)> = Vec::new();
    for row in 0..table.counts.len() {
        let known = table.plots.as_ref().and_then(|plots| {
            let code = *plots.codes.get(row)?;
            found.get_mut(code)
        });
        let Some((first, plot)) = known else {
            found.push((row, plot_of(table, row)));
            continue;
        };
        if !alike(table, *first, row) {
            return Err(Error::new(
                format!("line {}, plot {}", table.lines[row], plot.plot),
                "its treatment or place differs from an earlier line of the same plot",
                "Give every core of a plot the same treatment, block, row and column, or name the plots apart.",
            ));
        }
        plot.count += table.counts[row];
        plot.cores += 1;
        plot.exposure += table.areas.as_ref().map_or(1.0, |a| a[row]);
        let before = table.before.as_ref().map(|b| b[row]);
        plot.before = plot.before.zip(before).map(|(a, b)| a + b);
    }
    let per = match (&table.areas, &table.plots) {
        (Some(_), _) => "m2",
        (None, Some(_)) => "core",
        (None, None) => "plot",
    };
    Ok((found.into_iter().map(|(_, plot)| plot).collect(), per))
}

/// The plot that a row stands for, with the row's core alone.
fn plot_of(table: &TableInput, row: usize) -> PlotCount {
    let name_at =
        |labels: &Option<Labels>| labels.as_ref().and_then(|l| l.name(row)).map(str::to_owned);
    PlotCount {
        plot: name_at(&table.plots).unwrap_or_else(|| format!("row {}", table.lines[row])),
        treatment: table.treatments.name(row).unwrap_or_default().to_owned(),
        block: name_at(&table.blocks),
        green: None,
        row: name_at(&table.rows),
        column: name_at(&table.columns),
        count: table.counts[row],
        cores: 1,
        exposure: table.areas.as_ref().map_or(1.0, |a| a[row]),
        before: table.before.as_ref().map(|b| b[row]),
        place: None,
    }
}

/// Whether two rows tell of the same treatment and place.
fn alike(table: &TableInput, one: usize, other: usize) -> bool {
    let columns = [
        Some(&table.treatments),
        table.blocks.as_ref(),
        table.rows.as_ref(),
        table.columns.as_ref(),
    ];
    let mut columns = columns.into_iter().flatten();
    columns.all(|labels| labels.codes[one] == labels.codes[other])
}

/// What the verdict is about: a choice where every treatment has several plots in some block.
fn about(
    plots: &[PlotCount],
    blocking: BlockStructure,
    asked: Option<VerdictAbout>,
) -> Result<Option<About>, Error> {
    let mut cells: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for plot in plots {
        let block = plot.block.as_deref().unwrap_or_default();
        *cells.entry((&plot.treatment, block)).or_default() += 1;
    }
    let treatments: BTreeSet<&str> = cells.keys().map(|(t, _)| *t).collect();
    let blocks: BTreeSet<&str> = cells.keys().map(|(_, b)| *b).collect();
    let replicated = |t: &&str| cells.iter().any(|((of, _), &n)| of == t && n > 1);
    if blocking == BlockStructure::Blocks && treatments.iter().all(replicated) {
        let verdict = asked.unwrap_or_else(|| VerdictAbout::usual(blocks.len()));
        return Ok(Some(About {
            grouping: Grouping::Block,
            verdict,
        }));
    }
    match asked {
        None => Ok(None),
        Some(_) => Err(Error::in_field(
            "verdict_about",
            "no block holds several plots of a treatment, so that plots and blocks tell the same and there is nothing to choose",
            "Leave it out, or name the column of the blocks.",
        )),
    }
}

/// Several rows of one block and treatment may be plots, or cores taken for plots.
fn ask_about_cores(plots: &[PlotCount], about: Option<About>) -> Option<Warning> {
    let mut seen: BTreeMap<(&Option<String>, &str), usize> = BTreeMap::new();
    for plot in plots {
        *seen.entry((&plot.block, &plot.treatment)).or_default() += 1;
    }
    let (block, treatment) = seen
        .iter()
        .find(|(_, times)| **times > 1)
        .map(|(key, _)| *key)?;
    let block = block.as_deref().unwrap_or_default();
    // Where blocks are the replicates, cores among plots do no harm to the verdict.
    let harm = match about.map(|a| a.verdict) {
        Some(VerdictAbout::LikeThese) => "",
        _ => ", or the answer claims too much",
    };
    Some(Warning {
        code: "cores-or-plots",
        message: format!(
            "block {block} has several rows of treatment {treatment}: they are taken as plots, each drawn by itself. \
             If they are cores of one plot, name the plots with --plot{harm}"
        ),
        place: None,
    })
}
