//! `stopline`: when may the crew stop counting?

use std::path::{Path, PathBuf};

use halfgreen_analysis::power::survey::VarianceLaw;
use serde::{Deserialize, Serialize};

use super::law::Law;
use super::{Answer, Refusal, Side, Surroundings, Table, Words};
use crate::ranges::request::{
    STOPLINE_ALPHA, STOPLINE_BETA, STOPLINE_CORE_AREA, STOPLINE_CORES, STOPLINE_LOWER,
    STOPLINE_PRECISION, STOPLINE_TALLY, STOPLINE_UPPER,
};
use crate::ranges::within_limits;
use crate::scouting::card;
use crate::scouting::pictures::{average_sample_number, operating_characteristic, stop_line_chart};
use crate::scouting::stop_line::{Kind, LevelsPerM2, StopLineRequest, StopLines, stop_lines};
use crate::store::NewFile;
use crate::{Error, Warning};

/// What is asked of `stopline`. Means are animals per core, or per square metre with `per_m2`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Wald's test between two levels, Iwao's of one level (half-way), or Green's of a precise mean.
    pub kind: Kind,
    /// Mean that is surely fine (for green: lowest mean to show).
    pub lower: Option<f64>,
    /// Mean that surely asks for action (for green: highest mean to show).
    pub upper: Option<f64>,
    /// Takes both levels as animals per square metre, which needs the area of a core.
    pub per_m2: bool,
    /// Area of a core, square metres.
    pub core_area: Option<f64>,
    /// How clumped cores are.
    pub law: Law,
    /// Chance of acting on a green at the lower mean; for iwao, that of both errors together.
    pub alpha: f64,
    /// Chance of not acting on a green at the upper mean.
    pub beta: f64,
    /// Standard error over the mean at which green stops.
    pub precision: f64,
    /// Cores at most.
    pub cores: usize,
    /// Only note whether a core holds more than this many (sprt).
    pub tally: Option<u64>,
    /// Folder for the card and the pictures.
    pub out: Option<PathBuf>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            kind: Kind::Sprt,
            lower: None,
            upper: None,
            per_m2: false,
            core_area: None,
            law: Law::default(),
            alpha: 0.1,
            beta: 0.1,
            precision: 0.25,
            cores: 40,
            tally: None,
            out: None,
        }
    }
}

/// Means over which Green's plan is shown where none are given: it needs no levels.
const SHOWN: [f64; 2] = [1.0, 10.0];

/// Works out the lines, the card and the pictures.
///
/// # Errors
/// Levels that are missing or out of order, numbers outside their limits, a tally with another plan than Wald's.
pub fn run(request: &Request, _at: &Surroundings<'_>) -> Result<Answer<StopLines>, Refusal> {
    let mut answer = stop_lines(checked(request)?)?;
    if let (Some(area), Some(lower), Some(upper)) =
        (request.core_area, request.lower, request.upper)
    {
        answer.per_m2 = Some(LevelsPerM2::new(lower, upper, area));
    }
    let mut warnings: Vec<Warning> = answer.cautions.iter().cloned().map(Warning::from).collect();
    if answer.request.law == VarianceLaw::Poisson {
        warnings.push(Warning {
            code: "poisson-assumed",
            message: "Counts are taken as no more clumped than chance; larvae seldom are. Give --k from `describe`."
                .to_owned(),
            place: None,
        });
    }
    let files = match &request.out {
        Some(folder) => files(folder, &answer)?,
        None => Vec::new(),
    };
    let words = words(request, &answer, &files);
    Ok(Answer::new(answer, words)
        .with_warnings(warnings)
        .with_files(files))
}

fn checked(request: &Request) -> Result<StopLineRequest, Refusal> {
    within_limits(&[
        (STOPLINE_LOWER, request.lower),
        (STOPLINE_UPPER, request.upper),
        (STOPLINE_CORE_AREA, request.core_area),
        (STOPLINE_ALPHA, Some(request.alpha)),
        (STOPLINE_BETA, Some(request.beta)),
        (STOPLINE_PRECISION, Some(request.precision)),
        (STOPLINE_CORES, Some(request.cores as f64)),
        (STOPLINE_TALLY, request.tally.map(|t| t as f64)),
    ])?;
    if request.tally.is_some() && request.kind != Kind::Sprt {
        let what = "only Wald's plan works with cores that are marked, not counted";
        let cure = "Leave it out, or take --kind sprt.";
        return Err(Error::in_field("tally", what, cure).into());
    }
    let level = |field: &str, given: Option<f64>, shown: f64| match given {
        Some(level) => Ok(level),
        None if request.kind == Kind::Green => Ok(shown),
        None => Err(Error::in_field(field, "it is not given", "Give it.")),
    };
    let low = level("lower", request.lower, SHOWN[0])?;
    let high = level("upper", request.upper, SHOWN[1])?;
    if low >= high {
        let what = format!("{high} is not above the lower level, {low}");
        let cure = "Leave a gap between them: the wider it is, the fewer cores it takes.";
        return Err(Error::in_field("upper", what, cure).into());
    }
    let core_m2 = core_m2(request)?.unwrap_or(1.0);
    Ok(StopLineRequest {
        kind: request.kind,
        low: low * core_m2,
        high: high * core_m2,
        law: request.law.variance_law()?,
        alpha: request.alpha,
        beta: request.beta,
        precision: request.precision,
        most: request.cores,
        tally: request.tally,
    })
}

/// Square metres of a core, where levels are given per square metre.
fn core_m2(request: &Request) -> Result<Option<f64>, Refusal> {
    match (request.per_m2, request.core_area) {
        (false, None) => Ok(None),
        (true, Some(area)) if request.lower.is_some() && request.upper.is_some() => Ok(Some(area)),
        (true, Some(_)) => {
            let what = "levels per square metre need both levels";
            Err(Error::in_field("lower", what, "Give the lower and the upper level.").into())
        }
        (true, None) => {
            let what = "levels per square metre need the area of a core";
            let cure = "Give it in square metres: a corer of 108 mm takes 0.0092.";
            Err(Error::in_field("core_area", what, cure).into())
        }
        (false, Some(_)) => {
            let what = "the area of a core serves levels per square metre only";
            let cure = "Leave it out, or say that the levels are per square metre (per_m2).";
            Err(Error::in_field("core_area", what, cure).into())
        }
    }
}

fn files(folder: &Path, answer: &StopLines) -> Result<Vec<NewFile>, Error> {
    let file = |name: &str, text: String| NewFile::own("stopline", folder, name, text);
    Ok(vec![
        file("stop-card.html", card::page(answer)?),
        file("stop-lines.svg", stop_line_chart(answer)?),
        file("stop-chances.svg", operating_characteristic(answer)?),
        file("stop-cores.svg", average_sample_number(answer)?),
    ])
}

/// Means in the table; programs get all.
const ROWS: usize = 12;

/// The card, then what the lines do at a few means.
fn words(request: &Request, answer: &StopLines, files: &[NewFile]) -> Words {
    let mut words = Words::default();
    let (lower, upper) = (
        request.lower.unwrap_or_default(),
        request.upper.unwrap_or_default(),
    );
    words.paragraph(request.core_area.map(|area| {
        let (low, high) = (answer.request.low, answer.request.high);
        format!("{lower} and {upper} to the square metre are {low:.2} and {high:.2} in a core of {area} m2.")
    }));
    words.paragraph(answer.per_m2.iter().map(|levels| levels.sentence.as_str()));
    words.paragraph([card::heading(answer)]);
    words.paragraph(card::sentences(answer));
    words.paragraph([card::EVERYWHERE]);
    let ends = if answer.request.kind == Kind::Green {
        "precise enough"
    } else {
        "called clean"
    };
    let mut table = Table::new([
        ("true mean", Side::Right),
        (ends, Side::Right),
        ("cores on average", Side::Right),
    ]);
    let step = answer.oc.len().div_ceil(ROWS).max(1);
    for (oc, asn) in answer.oc.iter().zip(&answer.asn).step_by(step) {
        table.row([
            format!("{:.2}", oc.mean),
            format!("{:.1} %", 100.0 * oc.probability),
            format!("{:.1}", asn.n),
        ]);
    }
    words.table(table);
    words.written(files);
    words
}
