//! An archive as one thing to pool.

use serde_json::Value;

use super::{COLUMNS, archived, filled, table};
use crate::scratch::Scratch;

/// What `pool` says of this.
fn pooled(scratch: &Scratch, words: &[&str]) -> Value {
    let run = scratch.run(&[&["pool"], words, &["--json"]].concat());
    assert_eq!(run.code(), Some(0), "{words:?}: {}", run.err());
    run.json()
}

#[test]
fn an_archive_is_pooled_as_its_table_of_effects_is() {
    let scratch = filled(6);
    archived(&scratch, "judge county");
    let of_archive = pooled(&scratch, &["county"]);
    let of_table = pooled(&scratch, &["--effects", "county/effects/effects.csv"]);
    assert_eq!(of_archive["result"], of_table["result"]);
    assert_eq!(of_archive["result"]["trials"].as_array().unwrap().len(), 6);
    assert_eq!(of_archive["warnings"], of_table["warnings"]);
}

#[test]
fn what_an_archive_left_out_is_told_and_counted() {
    let scratch = Scratch::empty();
    scratch.put("counts.csv", table(5).replacen(",108,", ",108,x", 1));
    archived(&scratch, &format!("add county counts.csv {COLUMNS}"));
    archived(&scratch, "judge county");
    let found = &pooled(&scratch, &["county"])["result"];
    assert_eq!(found["trials"].as_array().unwrap().len(), 4);
    assert_eq!(found["left_out_number"], 1);
    assert_eq!(found["left_out"][0]["place"], "counts.csv:2:11");
}

#[test]
fn trials_that_are_not_judged_are_no_silent_gap() {
    let scratch = filled(3);
    let none = scratch.run(&["pool", "county"]);
    assert_eq!(none.code(), Some(1));
    assert!(
        none.err().contains("halfgreen archive judge county"),
        "{}",
        none.err()
    );
    archived(&scratch, "judge county");
    scratch.put("more.csv", table(5));
    archived(&scratch, &format!("add county more.csv {COLUMNS}"));
    let found = pooled(&scratch, &["county"]);
    assert_eq!(found["result"]["trials"].as_array().unwrap().len(), 3);
    let warned = found["warnings"].as_array().unwrap();
    let told = warned.iter().find(|w| w["code"] == "not-all-judged");
    let message = told.unwrap()["message"].as_str().unwrap();
    assert!(message.starts_with("2 trials"), "{message}");
}
