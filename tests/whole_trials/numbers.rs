//! Every number on the report of trials of many shapes is one of its results, or of the trial's own files.

use std::path::Path;

use halfgreen::store::Sources;
use serde_json::json;

use super::cases::of_two_factors;
use super::combinations::{Does, Kind};
use super::{Told, Trial};
use crate::report::numbers::{CORE_M2, from_nowhere, scaled, tallied};

/// Files of a trial in which numbers may stand that the page shows.
const FILES: [&str; 7] = [
    "trial.toml",
    "layout.csv",
    "counts.csv",
    "seal.toml",
    "outline.csv",
    "ninth.csv",
    "events.csv",
];

/// Holds the page of a trial to its results, and the check to other results, with which it must fail.
fn check(trial: &Trial<'_>, sample_m2: f64) {
    let told = trial.carried_out();
    let text = |name: &&str| told.texts.text(Path::new("t").join(name).as_path()).ok();
    let mut files: Vec<String> = FILES.iter().filter_map(text).collect();
    files.push(tallied(&told.results));
    let page = &told.pages["report.html"];
    if page.contains("<caption>Chance of finding what is worth having</caption>") {
        // The plans are the answer of another command.
        files.push(next(&told));
    }
    let strange = from_nowhere(page, &told.results, &files, sample_m2);
    assert_eq!(strange, Vec::<String>::new(), "{}", trial.protocol);
    let wrong = scaled(&told.results, 1.37);
    assert!(
        !from_nowhere(page, &wrong, &files, sample_m2).is_empty(),
        "{}",
        trial.protocol
    );
}

fn next(told: &Told) -> String {
    let answer = told.next(json!({ "dir": "t" })).unwrap();
    answer.result.to_string()
}

fn kind(more: bool, readings: bool, greens: usize) -> Kind {
    Kind {
        more,
        readings,
        greens,
    }
}

#[test]
fn on_one_green_and_on_several() {
    check(&kind(false, false, 1).trial(&[Does::Beats]), CORE_M2);
    check(&kind(false, false, 2).trial(&[Does::Unclear]), CORE_M2);
    check(&kind(false, false, 3).trial(&[Does::Beats]), CORE_M2);
}

#[test]
fn of_several_methods() {
    let methods = [Does::Beats, Does::Unclear];
    check(&kind(false, false, 1).trial(&methods), CORE_M2);
    check(&kind(false, false, 2).trial(&methods), CORE_M2);
}

#[test]
fn of_factors() {
    check(&of_two_factors(), CORE_M2);
}

#[test]
fn of_readings() {
    check(&kind(false, true, 1).trial(&[Does::Harms]), 1.0);
    check(
        &kind(true, true, 2).trial(&[Does::Beats, Does::Nothing]),
        1.0,
    );
}

#[test]
fn where_nothing_was_found() {
    check(&Trial::paired(|_| 0), CORE_M2);
}

#[test]
fn where_more_is_better() {
    check(&kind(true, false, 1).trial(&[Does::Perhaps]), 0.25);
    check(&kind(true, false, 2).trial(&[Does::Beats]), 0.25);
}

/// Counted before, and again later; a sheet blown off.
#[test]
fn with_other_occasions_and_an_event() {
    let mut trial = Trial::paired(|unit| 3 + (unit.plot * 7 + unit.sample * 3) % 5).with(
        "[[occasion]]",
        "[[occasion]]\nname = \"before\"\nrole = \"before\"\ndate = 2026-09-10\n\n\
         [[occasion]]\nname = \"spring\"\nrole = \"follow-up\"\ndate = 2027-04-10\n\n[[occasion]]",
    );
    trial.occasions = vec!["before", "main", "spring"];
    trial.files.push((
        "t/events.csv",
        "plot,date,event,covered_fraction,note\n1,2026-09-20,blown off,0.25,gale\n",
    ));
    check(&trial, CORE_M2);
}
