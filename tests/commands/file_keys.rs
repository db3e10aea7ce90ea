//! The page of files against the readers: an unknown key is answered with all that are known, so that a key without a row on the
//! page fails here, and a row for a key that nothing reads as well.

use std::collections::{BTreeMap, BTreeSet};

use halfgreen::commands::{self, Surroundings};
use halfgreen::store::Texts;
use serde_json::{Value, json};

use crate::scratch::{EDGE, LAYOUT, PROTOCOL};

const PAGE: &str = include_str!("../../notebooks-md/17-files.md");

/// No key of anything, and like none.
const UNKNOWN: &str = "99999";

/// The rows of a table: what stands in the first column without its marks, and the whole row.
fn rows(part: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for line in part.lines().filter(|l| l.starts_with("| `")) {
        let (first, _) = line[2..].split_once(" |").unwrap();
        for key in first.split(", ") {
            let key = key.trim_matches('`').to_owned();
            assert!(
                found.insert(key, line.to_owned()).is_none(),
                "twice: {line}"
            );
        }
    }
    found
}

/// A file's part of the page.
fn part(heading: &str) -> &'static str {
    let heading = format!("\n## {heading}\n");
    let (_, rest) = PAGE.split_once(&heading).unwrap();
    rest.split("\n## ").next().unwrap()
}

/// Complaints about a file: what, with what to do.
fn complaints(command: &str, request: Value, texts: &[(&str, &str)]) -> Vec<String> {
    let mut all = Texts::default();
    for (name, text) in texts {
        all.put(*name, *text);
    }
    let at = Surroundings::new(&all, "2026-09-08T16:30:00Z", 7);
    match commands::run(command, request, &at) {
        Ok(answer) => {
            let problems = answer.result["problems"].as_array().cloned();
            let said = |p: Value| p["message"].as_str().unwrap().to_owned();
            problems.into_iter().flatten().map(said).collect()
        }
        Err(refused) => {
            let said = |e: &halfgreen::Error| format!("{} {}", e.what, e.cure);
            refused.errors.iter().map(said).collect()
        }
    }
}

/// The names that a complaint lists after some words.
fn listed(complaints: &[String], of: &str, after: &str) -> BTreeSet<String> {
    let told = complaints.iter().find(|c| c.contains(of));
    let told = told.unwrap_or_else(|| panic!("no complaint of {of} among {complaints:#?}"));
    let (_, names) = told.split_once(after).unwrap_or_else(|| panic!("{told}"));
    let names = names.split(['.', ';']).next().unwrap();
    names.split(", ").map(|n| n.trim().to_owned()).collect()
}

fn keys(rows: &BTreeMap<String, String>) -> BTreeSet<String> {
    rows.keys().cloned().collect()
}

/// Sections of a TOML file on the page and what a reader knows of them.
fn sections(heading: &str, read: impl Fn(&str) -> Vec<String>) -> usize {
    let mut told = BTreeSet::new();
    let mut met = 0;
    for section in part(heading).split("\n### ").skip(1) {
        let (name, table) = section.split_once('\n').unwrap();
        let documented = rows(table);
        let known = listed(
            &read(&format!("{name}\n{UNKNOWN} = 1\n")),
            &format!("`{UNKNOWN}` is not a key of "),
            "Known here: ",
        );
        assert_eq!(keys(&documented), known, "rows of {name} against its keys");
        for (key, row) in &documented {
            words(&read(&format!("{name}\n{key} = \"{UNKNOWN}\"\n")), row);
            words(&read(&format!("{name}\n{key} = [\"{UNKNOWN}\"]\n")), row);
        }
        told.insert(name.trim_matches(['[', ']']).to_owned());
        met += documented.len();
    }
    let known = listed(
        &read(&format!("{UNKNOWN} = 1\n")),
        "there is no section `99999`",
        "Known here: ",
    );
    assert_eq!(told, known, "headings against the sections of {heading}");
    met
}

/// Holds a row to the words that its key may have, where a complaint lists them.
fn words(complaints: &[String], row: &str) {
    let lists = [
        ("cannot be \"99999\"", "it is one of "),
        ("there is no rule \"99999\"", "Known here: "),
    ];
    for (of, after) in lists {
        if complaints.iter().any(|c| c.contains(of)) {
            for word in listed(complaints, of, after) {
                let word = word.split_whitespace().next().unwrap();
                assert!(
                    row.contains(&format!("`{word}`")),
                    "`{word}` is not told of in {row}"
                );
            }
        }
    }
}

#[test]
fn every_key_of_a_trial_file_has_its_row() {
    let read = |text: &str| complaints("layout", json!({ "dir": "t" }), &[("t/trial.toml", text)]);
    assert!(sections("trial.toml", read) > 90);
}

/// What the verdict is about can be asked of a whole protocol only.
#[test]
fn what_the_verdict_is_about_has_its_words() {
    let text = format!("{PROTOCOL}verdict_about = \"{UNKNOWN}\"\n");
    let said = complaints("layout", json!({ "dir": "t" }), &[("t/trial.toml", &text)]);
    let row = rows(
        part("trial.toml")
            .split("### [decision]")
            .nth(1)
            .unwrap()
            .split("###")
            .next()
            .unwrap(),
    );
    assert!(
        said.iter().any(|c| c.contains("cannot be \"99999\"")),
        "{said:?}"
    );
    words(&said, &row["verdict_about"]);
}

#[test]
fn every_key_of_a_season_file_has_its_row() {
    let read = |text: &str| complaints("season", json!({ "file": "s.toml" }), &[("s.toml", text)]);
    assert!(sections("season.toml", read) > 40);
}

#[test]
fn every_column_has_its_row() {
    let events = format!("plot,event,{UNKNOWN}\n1,flood,\n");
    let counts = format!("plot,occasion,count,{UNKNOWN}\n1,main,3,\n");
    let readings = format!("plot,reading,{UNKNOWN}\n1,3,\n");
    let nights = format!("sheet_m2,strips,people,{UNKNOWN}\n40,2,2,\n");
    let score = PROTOCOL
        .replace(
            "name = \"larvae in cores\"",
            "name = \"colour\"\nkind = \"score\"",
        )
        .replace("area_m2 = 0.01\n", "")
        .replace(
            "worthwhile_reduction_percent = 50",
            "worthwhile_difference = 1",
        );
    let check = |files: &[(&str, &str)]| {
        let trial = [("t/layout.csv", LAYOUT), ("t/outline.csv", EDGE)];
        complaints("check", json!({ "dir": "t" }), &[&trial, files].concat())
    };
    let sound = "plot,occasion,count\n1,main,3\n";
    let of_column = format!("column `{UNKNOWN}` is not read");
    let after = "Columns read are ";
    for (heading, said, of, after) in [
        (
            "counts.csv",
            check(&[("t/trial.toml", PROTOCOL), ("t/counts.csv", &counts)]),
            of_column.as_str(),
            after,
        ),
        (
            "counts.csv with readings",
            check(&[("t/trial.toml", &score), ("t/counts.csv", &readings)]),
            &of_column,
            after,
        ),
        (
            "events.csv",
            check(&[
                ("t/trial.toml", PROTOCOL),
                ("t/counts.csv", sound),
                ("t/events.csv", &events),
            ]),
            &of_column,
            after,
        ),
        (
            "nights.csv",
            complaints(
                "order",
                json!({ "dir": "t", "whole_green": true }),
                &[
                    ("t/trial.toml", &format!("{PROTOCOL}{SHEET}")),
                    ("t/outline.csv", EDGE),
                    ("t/nights.csv", &nights),
                ],
            ),
            "is not a column of the nights",
            "Known here: ",
        ),
    ] {
        let known = listed(&said, of, after);
        assert_eq!(
            keys(&rows(part(heading))),
            known,
            "rows of {heading} against its columns"
        );
    }
}

const SHEET: &str =
    "\n[sheet]\nroll_length_m = 12.0\nroll_width_m = 2.0\nlap_m = 0.2\nedge_m = 0.3\n";

/// The words for what happened to a plot.
#[test]
fn every_word_for_an_event_has_its_place() {
    let row = &rows(part("events.csv"))["event"];
    for (word, _) in halfgreen::intake::EVENT_WORDS {
        assert!(
            row.contains(&format!("`{word}`")),
            "{word} is not told of in {row}"
        );
    }
}

/// An outline has no unknown columns, so that its readers' own words are looked up.
#[test]
fn every_column_of_an_outline_has_its_row() {
    let told = keys(&rows(part("Outline")));
    let mut met = BTreeSet::new();
    for source in [
        include_str!("../../trials/src/area/coordinates.rs"),
        include_str!("../../trials/src/area/tape.rs"),
    ] {
        let asked = ["required(\"", "position(\""]
            .iter()
            .flat_map(|call| source.split(call).skip(1));
        met.extend(asked.map(|rest| rest.split('"').next().unwrap().to_owned()));
        let listed = source
            .split("zip([\"")
            .nth(1)
            .and_then(|rest| rest.split_once("\"])"));
        met.extend(
            listed
                .into_iter()
                .flat_map(|(names, _)| names.split("\", \"").map(str::to_owned)),
        );
    }
    assert_eq!(told, met);
}
