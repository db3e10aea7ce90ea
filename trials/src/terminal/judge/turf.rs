//! `judge --response`: scores, cover, lengths, and the step across an edge.

use std::fmt::Write;
use std::path::Path;

use halfgreen_analysis::comparison::Better;

use super::super::output::{Output, Refusal};
use super::{Table, alpha, columns};
use crate::Error;
use crate::judgement::{Response, TurfQuestion, headline, judge_turf};
use crate::store::read_table;

pub(super) fn run(file: &Path, table: &Table, seed: u64) -> Result<Output, Refusal> {
    let response = match table.response.as_str() {
        "score" => Response::Score,
        "cover" => Response::Cover,
        "edge" => Response::Edge,
        _ => Response::Length,
    };
    if table.not_randomised {
        let what =
            "readings other than counts are judged by re-drawing treatments, which needs a draw";
        let cure = "Leave --not-randomised out if treatments were drawn; otherwise only describe the readings.";
        return Err(Error::new("--not-randomised", what, cure).into());
    }
    if (response == Response::Edge) != table.outside.is_some() {
        let what = "the readings inside and outside the edge belong together";
        let cure = "Give --response edge, --count for the readings inside and --outside for those outside.";
        return Err(Error::new("--outside", what, cure).into());
    }
    if table.worthwhile.is_some_and(|w| w.is_nan() || w <= 0.0) {
        let cure =
            "Give the smallest difference that would matter, above 0, in the unit of the reading.";
        return Err(Error::new("--worthwhile", "it is no difference worth having", cure).into());
    }
    let asked = TurfQuestion {
        response,
        alpha: alpha(table)?,
        better: match table.better.as_deref() {
            Some("fewer") => Better::Fewer,
            _ => Better::More,
        },
        worthwhile: table.worthwhile,
        outside: table.outside.clone(),
        seed,
    };
    let text = read_table(file)?;
    let shown = file.display().to_string();
    let (found, warnings) = judge_turf(&shown, &text, &columns(table), &asked)?;
    let mut words = String::new();
    for e in &found.effect {
        let head = headline(e.call);
        write!(words, "{}: {head}\n{}\n\n", e.treatment, e.sentence).unwrap_or_default();
    }
    for m in &found.means {
        writeln!(words, "{:<16}{:>12.3}", m.treatment, m.mean).unwrap_or_default();
    }
    let mut output = Output::new(&found, words)?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}
