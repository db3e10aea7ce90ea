//! `archive` by a request in JSON: the same documents as typed.

use halfgreen::commands::{self, Surroundings};
use halfgreen::store::{Disk, Texts};
use serde_json::json;

use super::{COLUMNS, filled, table};
use crate::scratch::Scratch;

#[test]
fn typed_and_asked_are_the_same() {
    let scratch = Scratch::empty();
    scratch.put("counts.csv", table(3));
    let path = |name: &str| scratch.path(name).display().to_string();
    let (typed_archive, asked_archive) = (path("typed"), path("asked"));
    let counts = path("counts.csv");
    let add = json!({
        "action": "add", "sources": [counts], "count": "count", "treatment": "treatment", "control": "U", "trial": "trial",
        "club": "club", "season": "season", "date": "date", "occasion": "occasion", "main": ["main"], "before": ["before"],
        "block": "block", "plot": "plot", "area": "corer", "area_unit": "corer-mm", "moderator": ["soil"],
    });
    let requests = [
        (add, format!("add {typed_archive} {counts} {COLUMNS}")),
        (
            json!({ "action": "judge", "shard": "1/2" }),
            format!("judge {typed_archive} --shard 1/2"),
        ),
        (
            json!({ "action": "judge" }),
            format!("judge {typed_archive}"),
        ),
        (
            json!({ "action": "gather" }),
            format!("gather {typed_archive}"),
        ),
        (
            json!({ "action": "describe", "season": 2025, "month": 9, "by": ["soil"] }),
            format!("describe {typed_archive} --season 2025 --month 9 --by soil"),
        ),
    ];
    for (mut request, typed) in requests {
        request["archive"] = asked_archive.clone().into();
        let disk = Disk::default();
        let at = Surroundings::new(&disk, "2026-09-18T16:30:00Z", 7);
        let asked = commands::run("archive", request, &at)
            .unwrap()
            .document("archive")
            .unwrap();
        let words: Vec<&str> = typed.split_whitespace().collect();
        let run = scratch.run(&[&["archive"], &words[..], &["--json"]].concat());
        assert_eq!(
            run.out(),
            asked.replace(&asked_archive, &typed_archive),
            "{typed}: {}",
            run.err()
        );
    }
}

#[test]
fn an_archive_is_no_text_in_memory() {
    let request = json!({ "action": "judge", "archive": "county" });
    let refused = commands::run(
        "archive",
        request,
        &Surroundings::new(&Texts::default(), "2026-09-18T16:30:00Z", 7),
    );
    assert!(
        refused.unwrap_err().errors[0]
            .what
            .contains("a folder on a disk")
    );
}

#[test]
fn what_is_not_given_or_out_of_range_is_refused_by_its_flag() {
    let scratch = filled(1);
    for (words, flag) in [
        (
            "add county counts.csv --count count --treatment treatment --control U",
            "--season",
        ),
        (
            "add county counts.csv --count count --treatment count --control U --season season",
            "--treatment",
        ),
        ("add county counts.csv --alpha 0.9", "--alpha"),
        (
            "describe counts.csv --club club --treatment treatment",
            "--count",
        ),
    ] {
        let words: Vec<&str> = words.split_whitespace().collect();
        let run = scratch.run(&[&["archive"], &words[..]].concat());
        assert_eq!(run.code(), Some(1), "{words:?}");
        assert!(run.err().contains(flag), "{words:?}: {}", run.err());
    }
}
