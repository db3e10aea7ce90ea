//! Many trials pooled: published data to printed digits, input of every form, pages as they are read.

mod inputs;
mod pages;
mod published;
mod verdicts;

use serde_json::Value;

use crate::scratch::Scratch;

/// The result of `pool` with these words in a folder.
fn pooled(scratch: &Scratch, words: &[&str]) -> Value {
    let run = scratch.run(&[&["pool"], words, &["--json"]].concat());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()["result"].take()
}

/// A folder with a table of effects.
fn table(text: &str) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("effects.csv", text);
    scratch
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}
