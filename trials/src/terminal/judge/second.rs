//! What stands beside the verdict, for people: only what they should read.

use std::fmt::Write;

use crate::judgement::{Judgement, SECOND_ANSWER};
use crate::text::rounding::{figure, span};

/// Sentences on occasions, stages, events, a reference and doubts, each under its heading.
pub(super) fn words(found: &Judgement) -> String {
    let mut text = String::new();
    let mut part = |heading: &str, sentences: Vec<&str>| {
        if !sentences.is_empty() {
            write!(text, "\n{heading}\n").unwrap_or_default();
            for sentence in sentences {
                writeln!(text, "  {sentence}").unwrap_or_default();
            }
        }
    };
    let turns = found.crossover.iter().flat_map(|c| &c.sentences);
    part("night by night", turns.map(String::as_str).collect());
    let over_time = found.change.is_some() || found.lasted.is_some();
    part(
        "over time",
        over_time.then_some(SECOND_ANSWER).into_iter().collect(),
    );
    part(
        "from before to after",
        found
            .change
            .iter()
            .flatten()
            .map(|c| c.sentence.as_str())
            .collect(),
    );
    let mut later: Vec<String> = found
        .occasions
        .iter()
        .map(|o| format!("{}: {}", o.occasion, o.sentence))
        .collect();
    later.extend(found.lasted.iter().map(|l| l.sentence.clone()));
    part("did it last?", later.iter().map(String::as_str).collect());
    part(
        "stages",
        found.stages.iter().map(|s| s.sentence.as_str()).collect(),
    );
    part(
        "by what happened",
        found
            .as_happened
            .iter()
            .flat_map(|h| {
                let verdicts = h.verdicts.iter().map(|v| v.sentence.as_str());
                [h.sentence.as_str(), h.rule.as_str()]
                    .into_iter()
                    .chain(verdicts)
            })
            .collect(),
    );
    part(
        "beside the reference",
        found
            .non_inferiority
            .iter()
            .flat_map(|n| n.rows.iter().map(|r| r.sentence.as_str()))
            .collect(),
    );
    let formulas = efficacy(found);
    part(
        "efficacy by the trade's formulas (the verdict does not rest on these)",
        formulas.iter().map(String::as_str).collect(),
    );
    let doubts: Vec<String> = found
        .diagnostics
        .sentences()
        .into_iter()
        .map(|(method, sentence)| match method {
            Some(method) => format!("{method}: {sentence}"),
            None => sentence.to_owned(),
        })
        .collect();
    part(
        "can it be believed?",
        doubts.iter().map(String::as_str).collect(),
    );
    text
}

/// A line for each formula and method, then what forbids its use.
fn efficacy(found: &Judgement) -> Vec<String> {
    let mut lines = Vec::new();
    for formula in found.efficacy.formulas() {
        for row in formula.rows {
            let figures = match row.percent {
                Some(percent) => format!("{} % ({})", figure(percent), span(row.low, row.high)),
                None => "no value".to_owned(),
            };
            lines.push(format!("{}, {}: {figures}", formula.name, row.treatment));
        }
        lines.push(format!("    not where {}", formula.not_where));
    }
    lines
}
