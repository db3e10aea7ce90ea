//! Do larvae go with moisture, height or shade?

use halfgreen_analysis::multiplicity::holm;
use halfgreen_analysis::spatial::site_covariates::{CovariateTerm, covariate_regression};
use serde::Serialize;

use super::survey::Survey;
use crate::intake::Labels;
use crate::ranges::tables::COVARIATE;
use crate::table::{Problem, RawTable};
use crate::text::rounding::{Changes, p_value, round_down};
use crate::{Error, Warning};

/// A column that says what the ground is like at each place.
#[derive(Debug, Clone, PartialEq)]
pub struct CovariateColumn {
    /// Its heading.
    pub name: String,
    /// What it holds.
    pub values: GroundValues,
}

/// Numbers, or kinds of ground.
#[derive(Debug, Clone, PartialEq)]
pub enum GroundValues {
    /// A number at each place.
    Numbers(Vec<f64>),
    /// A kind at each place.
    Kinds(Labels),
}

/// What larvae do along one column of the ground, the other columns held.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CovariateFinding {
    /// Heading of the column.
    pub term: String,
    /// Kind of ground, where the column holds kinds.
    pub level: Option<String>,
    /// The commonest kind, with which it is compared.
    pub against: Option<String>,
    /// Difference in the column that `ratio` goes with, where it holds numbers: about its standard deviation.
    pub step: Option<f64>,
    /// Larvae there over larvae before that step, or on the commonest kind.
    pub ratio: Option<f64>,
    /// Lower 95 % limit, with the patches of both maps allowed for.
    pub low: Option<f64>,
    /// Upper 95 % limit.
    pub high: Option<f64>,
    /// The ratio for one unit of the column, where it holds numbers.
    pub ratio_per_unit: Option<f64>,
    /// Two-sided p, patches allowed for; by Holm's method over the kinds of one column.
    pub p: Option<f64>,
    /// p if places were independent.
    pub p_independent: Option<f64>,
    /// How many independent places the maps are worth.
    pub effective_sample_size: Option<f64>,
    /// One plain sentence.
    pub sentence: String,
}

/// Reads columns of the ground from the table of the counts: numbers where every cell is one, else kinds.
/// Lines without a count are left out, as they are from the survey.
///
/// # Errors
/// Every missing column and blank cell at once.
pub fn covariates_from_table(
    file: &str,
    text: &str,
    count: &str,
    names: &[String],
) -> Result<Vec<CovariateColumn>, Vec<Problem>> {
    let mut table = RawTable::read(file, text)?;
    let at = table.required(count).map_err(|p| vec![p])?;
    table.take_blank(at);
    let (mut columns, mut faults) = (Vec::new(), Vec::new());
    for name in names {
        let all_numbers = table.position(name).is_some_and(|at| {
            table
                .rows
                .iter()
                .all(|row| table.number(&row[at].text).is_some())
        });
        let read = if all_numbers {
            table.numbers(name, &COVARIATE).map(GroundValues::Numbers)
        } else {
            table.labels(name).map(GroundValues::Kinds)
        };
        match read {
            Ok(values) => columns.push(CovariateColumn {
                name: name.clone(),
                values,
            }),
            Err(found) => faults.extend(found),
        }
    }
    if faults.is_empty() {
        Ok(columns)
    } else {
        Err(faults)
    }
}

/// What one column of the regression stands for.
struct Meaning {
    column: usize,
    /// Kind and the kind it is compared with.
    kinds: Option<(String, String)>,
    step: Option<f64>,
}

/// Regresses counts on the ground, patches allowed for.
///
/// # Errors
/// A column that is flat or that the others determine; more columns than places.
pub fn site_covariates(
    survey: &Survey,
    columns: &[CovariateColumn],
) -> Result<(Vec<CovariateFinding>, Vec<Warning>), Error> {
    let (mut terms, mut meanings) = (Vec::new(), Vec::new());
    for (at, column) in columns.iter().enumerate() {
        match &column.values {
            GroundValues::Numbers(values) => {
                terms.push((column.name.clone(), values.clone()));
                let step = Some(round_down(deviation(values)));
                meanings.push(Meaning {
                    column: at,
                    kinds: None,
                    step,
                });
            }
            GroundValues::Kinds(labels) => {
                for (name, values, kinds) in kinds(&column.name, labels)? {
                    terms.push((name, values));
                    meanings.push(Meaning {
                        column: at,
                        kinds: Some(kinds),
                        step: None,
                    });
                }
            }
        }
    }
    let counts: Vec<u64> = survey.counts.iter().map(|&c| u64::from(c)).collect();
    let offset: Vec<f64> = survey.cores.iter().map(|c| c.ln()).collect();
    let found = covariate_regression(&survey.places, &counts, &offset, &terms)?;
    let mut findings: Vec<CovariateFinding> = found
        .terms
        .iter()
        .zip(&meanings)
        .map(|(term, meaning)| finding(term, meaning, &columns[meaning.column].name))
        .collect();
    for at in 0..columns.len() {
        adjust(&mut findings, &meanings, at);
    }
    for finding in &mut findings {
        finding.sentence = sentence(finding, survey.places.len());
    }
    Ok((
        findings,
        found.cautions.into_iter().map(Warning::from).collect(),
    ))
}

fn deviation(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt()
}

/// A column of 0 and 1 for each kind but the commonest, the first of the alphabet among equals.
#[expect(
    clippy::type_complexity,
    reason = "three things that go together for three lines"
)]
fn kinds(name: &str, labels: &Labels) -> Result<Vec<(String, Vec<f64>, (String, String))>, Error> {
    let often = |code: usize| labels.codes.iter().filter(|&&c| c == code).count();
    let mut order: Vec<usize> = (0..labels.levels.len()).collect();
    order.sort_by(|&a, &b| {
        often(b)
            .cmp(&often(a))
            .then(labels.levels[a].cmp(&labels.levels[b]))
    });
    let Some((&common, rest)) = order.split_first().filter(|(_, rest)| !rest.is_empty()) else {
        return Err(Error::new(
            format!("column {name}"),
            "the same kind everywhere",
            "Leave the column out.",
        ));
    };
    let column = |&code: &usize| {
        let level = labels.levels[code].clone();
        let values = labels
            .codes
            .iter()
            .map(|&c| f64::from(u8::from(c == code)))
            .collect();
        (
            format!("{name}: {level}"),
            values,
            (level, labels.levels[common].clone()),
        )
    };
    Ok(rest.iter().map(column).collect())
}

fn finding(term: &CovariateTerm, meaning: &Meaning, name: &str) -> CovariateFinding {
    let by = meaning.step.unwrap_or(1.0);
    let ratio = |log: Option<f64>| log.map(|b| (b * by).exp());
    CovariateFinding {
        term: name.to_owned(),
        level: meaning.kinds.as_ref().map(|k| k.0.clone()),
        against: meaning.kinds.as_ref().map(|k| k.1.clone()),
        step: meaning.step,
        ratio: ratio(term.estimate),
        low: ratio(term.low),
        high: ratio(term.high),
        ratio_per_unit: term
            .estimate
            .filter(|_| meaning.step.is_some())
            .map(f64::exp),
        p: term.p,
        p_independent: term.p_independent,
        effective_sample_size: term.effective_sample_size,
        sentence: String::new(),
    }
}

/// Holm's method over the kinds of one column.
fn adjust(findings: &mut [CovariateFinding], meanings: &[Meaning], column: usize) {
    let own: Vec<usize> = (0..findings.len())
        .filter(|&i| meanings[i].column == column && findings[i].p.is_some())
        .collect();
    let raw: Vec<f64> = own.iter().filter_map(|&i| findings[i].p).collect();
    for (i, p) in own.into_iter().zip(holm(&raw)) {
        findings[i].p = Some(p);
    }
}

fn sentence(found: &CovariateFinding, places: usize) -> String {
    let (name, unit) = words(&found.term);
    let place = match (&found.level, &found.against, found.step) {
        (Some(level), Some(against), _) => format!("where {name} is {level} rather than {against}"),
        (_, _, step) => format!("for each {}{unit} more {name}", step.unwrap_or(1.0)),
    };
    let Some((p, worth)) = found.p.zip(found.effective_sample_size) else {
        return format!(
            "The maps are too even, or worth too few independent places, to tell of {name}."
        );
    };
    let shown = p <= 0.05;
    let p = p_value(p);
    let few = if worth < FEW {
        format!(" The maps are worth only {worth:.0} independent places of {places}.")
    } else {
        String::new()
    };
    let (Some(ratio), Some((low, high))) = (found.ratio, found.low.zip(found.high)) else {
        return format!(
            "On one side of {name} no larvae were found: how far they differ has no bound ({p}).{few}"
        );
    };
    let told = Changes::of(Some(ratio), Some(low), Some(high));
    let [low, high] = told.ends(Some(low), Some(high));
    if shown {
        format!(
            "There are {} larvae {place} (likely between {low} and {high}; {p}, allowing for the patches of \
             both).{few}",
            told.change(ratio)
        )
    } else {
        format!(
            "No link of larvae to {name} was shown: {place} there may be anything from {low} to {high} ({p}, \
             allowing for the patches of both).{few}"
        )
    }
}

/// Independent places below which the reader is told how few they are.
const FEW: f64 = 12.0;

/// A heading as words, and its unit where the heading ends in one.
fn words(heading: &str) -> (String, &'static str) {
    let units = [
        ("_pct", " percentage points"),
        ("_percent", " percentage points"),
        ("_mm", " mm"),
        ("_cm", " cm"),
        ("_m", " m"),
        ("_deg", " degrees"),
    ];
    let found = units
        .into_iter()
        .find_map(|(ending, unit)| heading.strip_suffix(ending).map(|name| (name, unit)));
    let (name, unit) = found.unwrap_or((heading, ""));
    (name.replace('_', " "), unit)
}
