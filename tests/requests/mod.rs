//! Every command from a JSON request and texts held in memory, without disk or terminal, against the built program.

use std::path::Path;

use halfgreen::commands::{self, Answer, Refusal, Surroundings};
use halfgreen::store::Texts;
use serde_json::{Value, json};

use crate::scratch::{LAYOUT, PROTOCOL, Scratch};

/// Time and fresh seed of the tests.
const NOW: &str = "2026-09-08T16:30:00Z";
const FRESH: u64 = 7;

/// Runs a command on texts held in memory.
fn asked(name: &str, request: Value, texts: &Texts) -> Result<Answer, Refusal> {
    commands::run(name, request, &Surroundings::new(texts, NOW, FRESH))
}

/// Asserts that a request and the words of a command line give the same document, byte for byte.
fn same(name: &str, request: Value, texts: &Texts, typed: &[&str], scratch: &Scratch) {
    let answer = asked(name, request, texts).unwrap();
    let run = scratch.run(&[typed, &["--json"]].concat());
    assert_eq!(run.out(), answer.document(name).unwrap(), "{}", run.err());
    assert_eq!(run.code(), Some(i32::from(!answer.passed)), "{name}");
}

/// A file as text in memory and in a folder.
fn both(scratch: &Scratch, texts: &mut Texts, name: &str, text: &str) {
    scratch.put(name, text);
    texts.put(name, text);
}

/// The trial of the untidy sheets, in memory and in a folder.
fn trial(counts: &str) -> (Scratch, Texts) {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    for (name, text) in [
        ("club/trial.toml", PROTOCOL),
        ("club/layout.csv", LAYOUT),
        ("club/counts.csv", counts),
    ] {
        std::fs::create_dir_all(scratch.path("club")).unwrap();
        both(&scratch, &mut texts, name, text);
    }
    (scratch, texts)
}

#[test]
fn check() {
    let (scratch, texts) =
        trial("plot,sample,occasion,count\n1,1,main,9\n1,2,main,x\n2,1,main,2\n");
    let request = json!({ "dir": "club" });
    same("check", request, &texts, &["check", "club"], &scratch);
}

#[test]
fn describe() {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    both(
        &scratch,
        &mut texts,
        "mites.csv",
        "mites;leaf\n0;a\n3;a\n9;b\n1;b\n",
    );
    let request = json!({ "file": "mites.csv", "count": "mites", "group": ["leaf"] });
    let typed = [
        "describe",
        "mites.csv",
        "--count",
        "mites",
        "--group",
        "leaf",
    ];
    same("describe", request, &texts, &typed, &scratch);
}

/// Files are values until somebody writes them.
#[test]
fn a_picture_is_given_back_and_not_written() {
    let texts = Texts::default().with("t.csv", "count\n0\n3\n1\n");
    let request = json!({ "file": "t.csv", "count": "count", "figure": "t.svg" });
    let answer = asked("describe", request, &texts).unwrap();
    let [file] = answer.files.as_slice() else {
        panic!("{:?}", answer.files);
    };
    assert_eq!(file.path, Path::new("t.svg"));
    assert!(file.text.contains("</svg>") && !Path::new("t.svg").exists());
}

/// A page can mark the box that is at fault.
#[test]
fn faults_of_a_request_name_the_field() {
    let texts = Texts::default();
    let fields = |name: &str, request: Value| -> Vec<Option<String>> {
        let refusal = asked(name, request, &texts).unwrap_err();
        refusal.errors.into_iter().map(|e| e.field).collect()
    };
    let named = |field: &str| Some(field.to_owned());
    assert_eq!(fields("check", json!({})), [named("dir")]);
    assert_eq!(
        fields("describe", json!({})),
        [named("file"), named("count")]
    );
    assert_eq!(
        fields("describe", json!({ "group": ["a", 3] })),
        [named("group[1]")]
    );
    assert_eq!(
        fields("describe", json!({ "colour": "red" })),
        [named("colour")]
    );
    assert_eq!(fields("dance", json!({})), [None]);
}
