//! The rules that counts must obey: the check goes through the cases that the page for counting goes through as well.
//!
//! `fixtures.json` holds a small trial and cases: rows of counts, whether they are accepted, and the name of the only complaint.
//! Every case was written down from the rules before either reader was run on it.

use std::collections::BTreeSet;

use halfgreen::count_rules::{JSON, rules};
use halfgreen::design::{Layout, Protocol, read_layout, read_protocol};
use halfgreen::intake::check_counts;
use halfgreen::table::Rule;
use serde::Deserialize;
use serde_json::Value;

use crate::scratch::{LAYOUT, PROTOCOL};

const FIXTURES: &str = include_str!("fixtures.json");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fixtures {
    trial: Value,
    cases: Vec<Case>,
}

/// Rows of counts and what is said of them.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: String,
    rows: Vec<serde_json::Map<String, Value>>,
    accepted: bool,
    complaint: Option<String>,
}

impl Case {
    /// The rows as the text of a table.
    fn table(&self) -> String {
        let names: BTreeSet<&str> = self
            .rows
            .iter()
            .flat_map(|r| r.keys().map(String::as_str))
            .collect();
        let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
        let mut lines = vec![names.iter().copied().collect::<Vec<_>>().join(",")];
        for row in &self.rows {
            let cell = |name: &&str| {
                row.get(*name)
                    .and_then(Value::as_str)
                    .map_or(String::new(), quoted)
            };
            lines.push(names.iter().map(cell).collect::<Vec<_>>().join(","));
        }
        lines.join("\n") + "\n"
    }
}

fn trial() -> (Protocol, Layout) {
    let protocol = read_protocol("trial.toml", PROTOCOL).unwrap().protocol;
    (protocol, read_layout("layout.csv", LAYOUT, &[]).unwrap())
}

#[test]
fn every_case_is_answered_as_it_is_written() {
    let fixtures: Fixtures = serde_json::from_str(FIXTURES).unwrap();
    let (protocol, layout) = trial();
    assert_eq!(fixtures.trial["plots"], serde_json::json!(layout.names()));
    assert_eq!(
        fixtures.trial["cores_per_plot"],
        protocol.response.cores_per_plot
    );
    assert_eq!(
        fixtures.trial["core_area_m2"],
        protocol.response.core_area_m2
    );
    let mut wrong = Vec::new();
    for case in &fixtures.cases {
        let check = check_counts("counts.csv", &case.table(), &protocol, &layout);
        // A table of a few rows leaves most plots uncounted.
        let of_the_plan = [
            Rule::PlotNotCounted,
            Rule::NumberOfCores,
            Rule::OccasionNotCounted,
        ];
        let found = check
            .result
            .problems
            .iter()
            .filter(|p| !of_the_plan.contains(&p.rule));
        let found: Vec<Value> = found
            .map(|p| serde_json::to_value(p.rule).unwrap())
            .collect();
        let expected: Vec<Value> = case
            .complaint
            .iter()
            .map(|c| Value::from(c.as_str()))
            .collect();
        if (check.counts.is_some(), &found) != (case.accepted, &expected) {
            wrong.push(format!(
                "{}: {found:?}, accepted {}",
                case.name,
                check.counts.is_some()
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(fixtures.cases.len() > 50);
}

/// A rule that no case breaks is held by neither reader.
#[test]
fn every_limit_of_the_rules_is_met_by_a_case() {
    let fixtures: Fixtures = serde_json::from_str(FIXTURES).unwrap();
    let met: BTreeSet<&str> = fixtures
        .cases
        .iter()
        .flat_map(|c| &c.rows)
        .flat_map(|r| r.keys().map(String::as_str))
        .collect();
    let all: BTreeSet<&str> = rules().names().into_iter().collect();
    assert_eq!(met, all);
    let whole: Value = serde_json::from_str(JSON).unwrap();
    assert_eq!(whole["columns"].as_array().unwrap().len(), all.len());
}
