//! `describe`: how clumped are the counts of a table?

use std::path::PathBuf;

use halfgreen_analysis::dispersion::Goodness;
use serde::{Deserialize, Serialize};

use super::columns::{named_once, refused};
use super::request::required;
use super::{Answer, Refusal, Side, Span, Status, Surroundings, Table, Words};
use crate::Error;
use crate::description::{DescribedColumns, Description, describe, histogram, per_m2, read_rows};
use crate::ranges::request::{DESCRIBE_CORE_AREA, DESCRIBE_THRESHOLD};
use crate::ranges::within_limits;
use crate::report::frequencies;
use crate::store::NewFile;
use crate::text::rounding;
use crate::threshold::Beside;

/// What is asked of `describe`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Table of counts, one line for each unit counted.
    pub file: PathBuf,
    /// Column of the counts.
    pub count: String,
    /// Column that says in how many units each count was found.
    pub frequency: Option<String>,
    /// Columns that name the place.
    pub group: Vec<String>,
    /// Area of a unit counted, square metres.
    pub core_area: Option<f64>,
    /// Animals per square metre above which action pays, by your own figure; needs the area of a unit.
    pub threshold: Option<f64>,
    /// Picture to write: counts as bars, with what two laws would have given (SVG).
    pub figure: Option<PathBuf>,
}

/// Describes the counts of a table.
///
/// # Errors
/// A table that cannot be read, a column that it does not have, cells that are no counts.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Description>, Refusal> {
    required(&[("file", &request.file), ("count", &request.count)])?;
    within_limits(&[
        (DESCRIBE_CORE_AREA, request.core_area),
        (DESCRIBE_THRESHOLD, request.threshold),
    ])?;
    if request.threshold.is_some() && request.core_area.is_none() {
        let what = "a threshold per square metre needs the area of a unit";
        let cure = "Give it in square metres: a corer of 108 mm takes 0.0092.";
        return Err(Error::in_field("core_area", what, cure).into());
    }
    named_once(&named(request))?;
    let text = at.sources.summed_table(&request.file)?;
    let columns = DescribedColumns {
        count: request.count.clone(),
        frequency: request.frequency.clone(),
        groups: request.group.clone(),
    };
    let shown = request.file.display().to_string();
    let (rows, mut warnings) = read_rows(&shown, &text, &columns)
        .map_err(|faults| refused(faults, (&shown, &text), &named(request)))?;
    let mut description = describe(&rows)?;
    if let Some(area) = request.core_area {
        description.per_m2 = Some(per_m2(&rows, area, request.threshold)?);
    }
    warnings.extend(description.cautions.iter().cloned().map(Into::into));
    let mut files = Vec::new();
    if let Some(path) = &request.figure {
        let units = request.frequency.as_deref().unwrap_or("units");
        let picture = frequencies(&histogram(&rows)?, &request.count, units)?;
        files.push(NewFile::at("describe", path, picture));
    }
    let words = words(&description);
    Ok(Answer::new(description, words)
        .with_warnings(warnings)
        .with_files(files))
}

/// The columns that the request names.
fn named(request: &Request) -> Vec<(&str, Option<&str>)> {
    let groups = request
        .group
        .iter()
        .map(|name| ("group", Some(name.as_str())));
    [
        ("count", Some(request.count.as_str())),
        ("frequency", request.frequency.as_deref()),
    ]
    .into_iter()
    .chain(groups)
    .collect()
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
fn words(d: &Description) -> Words {
    let mut words = Words::default();
    words.paragraph(ORDER.iter().filter_map(|key| d.meanings.get(key)));
    let mut single = Table::new([("", Side::Left), ("", Side::Right)]);
    for (name, value) in figures(d).into_iter().filter(|(_, value)| value != MISSING) {
        single.row([Span::told(Status::Good, name), value.into()]);
    }
    words.table(single);
    if let Some(per_m2) = &d.per_m2 {
        words.paragraph([density(per_m2)]);
        words.section("beside your threshold", per_m2.sentences());
    }
    let mut places = Table::new([
        ("group", Side::Left),
        ("units", Side::Right),
        ("animals", Side::Right),
        ("mean", Side::Right),
        ("variance", Side::Right),
    ]);
    for place in &d.groups {
        places.row([
            place.group.join(" / "),
            place.n.to_string(),
            place.total.to_string(),
            format!("{:.3}", place.mean),
            figure(place.variance),
        ]);
    }
    words.table(places);
    words
}

/// The mean per square metre, in a sentence.
fn density(per_m2: &Beside) -> String {
    let row = per_m2.rows.first();
    row.map_or_else(String::new, |row| {
        format!(
            "Mean per m2: {} (95 % interval {}).",
            rounding::figure(row.mean),
            match row.high {
                Some(_) => rounding::span(row.low, row.high),
                None => "without an upper limit: too few units for such clumps".to_owned(),
            }
        )
    })
}

/// Stands for a figure that does not exist.
const MISSING: &str = "-";

/// Every single figure with its name.
fn figures(d: &Description) -> Vec<(&'static str, String)> {
    let fit = |of: &Option<Goodness>| {
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
