//! `describe`: how clumped are the counts of a table?

use std::fmt::Write;
use std::path::PathBuf;

use super::commands::Context;
use super::output::{Output, Refusal};
use super::show::GOOD;
use crate::description::{DescribedColumns, histogram, read_rows};
use crate::description::{Description, describe};
use crate::report::frequencies;
use crate::store::{NewFile, Replace, read_table, spare_inputs, write_all};

/// Arguments of `describe`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Table of counts (CSV), one line for each unit counted
    file: PathBuf,
    /// Column of the counts
    #[arg(long, value_name = "COL")]
    count: String,
    /// Column that says in how many units each count was found
    #[arg(long, value_name = "COL")]
    frequency: Option<String>,
    /// Column that names the place; may be given several times
    #[arg(long, value_name = "COL")]
    group: Vec<String>,
    /// Picture to write: counts as bars, with what two laws would have given (SVG)
    #[arg(long, value_name = "FILE")]
    figure: Option<PathBuf>,
}

pub(super) fn run(args: &Args, _context: &Context) -> Result<Output, Refusal> {
    let shown = args.file.display().to_string();
    let text = read_table(&args.file)?;
    let columns = DescribedColumns {
        count: args.count.clone(),
        frequency: args.frequency.clone(),
        groups: args.group.clone(),
    };
    let (rows, mut warnings) = read_rows(&shown, &text, &columns)?;
    let description = describe(&rows)?;
    warnings.extend(description.cautions.iter().cloned().map(Into::into));
    let output = Output::new(&description, words(&description))?.with_warnings(warnings);
    if let Some(path) = &args.figure {
        let units = args.frequency.as_deref().unwrap_or("units");
        let picture = [NewFile {
            path: path.clone(),
            text: frequencies(&histogram(&rows)?, &args.count, units),
            replace: Replace::Own,
        }];
        spare_inputs(&picture, &[&args.file])?;
        write_all(&picture)?;
    }
    Ok(output)
}

/// Measures in the order in which people read them.
const ORDER: [&str; 10] = [
    "mean",
    "index_of_dispersion",
    "k",
    "lloyd_crowding",
    "morisita",
    "goodness.poisson",
    "goodness.negative_binomial",
    "taylor",
    "iwao",
    "common_k",
];

/// The description in words, then as figures.
fn words(d: &Description) -> String {
    let mut text = String::new();
    for sentence in ORDER.iter().filter_map(|key| d.meanings.get(key)) {
        text.push_str(sentence);
        text.push('\n');
    }
    text.push('\n');
    for (name, value) in figures(d).into_iter().filter(|(_, value)| value != MISSING) {
        // Writing into a text cannot fail.
        writeln!(text, "{GOOD}{name:<34}{GOOD:#}{value:>14}").unwrap_or_default();
    }
    if !d.groups.is_empty() {
        writeln!(
            text,
            "\n{:<24}{:>8}{:>10}{:>10}{:>12}",
            "group", "units", "animals", "mean", "variance"
        )
        .unwrap_or_default();
    }
    for place in &d.groups {
        writeln!(
            text,
            "{:<24}{:>8}{:>10}{:>10.3}{:>12}",
            place.group.join(" / "),
            place.n,
            place.total,
            place.mean,
            figure(place.variance)
        )
        .unwrap_or_default();
    }
    text
}

/// Stands for a figure that does not exist.
const MISSING: &str = "-";

/// Every single figure with its name.
fn figures(d: &Description) -> Vec<(&'static str, String)> {
    let fit = |of: &Option<halfgreen_analysis::dispersion::Goodness>| {
        // Without a degree of freedom there is nothing to test.
        of.as_ref()
            .filter(|g| g.df > 0)
            .map_or(MISSING.to_owned(), |g| {
                format!("{:.2} ({} df)", g.chi2, g.df)
            })
    };
    vec![
        ("units", d.n.to_string()),
        ("animals", d.total.to_string()),
        ("mean", figure(Some(d.mean))),
        ("variance", figure(d.variance)),
        ("variance / mean", figure(d.variance_to_mean)),
        ("index of dispersion", figure(d.index_of_dispersion)),
        ("  p, were they unclumped", figure(d.index_p)),
        ("k by moments", figure(d.k_moment)),
        ("k by maximum likelihood", figure(d.k)),
        ("  standard error", figure(d.k_se)),
        (
            if d.k.is_some() {
                "  95 % from"
            } else {
                "k at least (95 %)"
            },
            figure(d.k_low),
        ),
        ("  95 % to", figure(d.k_high)),
        ("mean crowding (Lloyd)", figure(d.lloyd_crowding)),
        ("patchiness (Lloyd)", figure(d.lloyd_patchiness)),
        ("Morisita's index", figure(d.morisita)),
        ("  p, were they unclumped", figure(d.morisita_p)),
        ("fit of Poisson, chi-squared", fit(&d.goodness.poisson)),
        (
            "fit of negative binomial",
            fit(&d.goodness.negative_binomial),
        ),
        ("Taylor's a", figure(d.taylor.as_ref().map(|t| t.a))),
        ("Taylor's b", figure(d.taylor.as_ref().map(|t| t.b))),
        ("Iwao's alpha", figure(d.iwao.as_ref().map(|i| i.alpha))),
        ("Iwao's beta", figure(d.iwao.as_ref().map(|i| i.beta))),
        ("common k (Bliss & Owen)", figure(d.common_k)),
        (
            "common k by maximum likelihood",
            figure(d.common_k_likelihood),
        ),
    ]
}

/// A figure to four digits, in powers of ten only where it would be lost.
fn figure(value: Option<f64>) -> String {
    match value {
        None => MISSING.to_owned(),
        Some(x) if x != 0.0 && x.abs() < 1e-4 => format!("{x:.2e}"),
        Some(x) if x.abs() >= 1e6 => format!("{x:.4e}"),
        Some(x) => format!("{x:.4}"),
    }
}
