//! Every command from a JSON request and texts held in memory, without disk or terminal, against the built program.

mod fields;

use std::path::Path;

use halfgreen::commands::{self, Answer, NAMES, Refusal, Surroundings};
use halfgreen::store::{NewFile, Texts};
use serde_json::{Value, json};

use crate::scratch::{LAYOUT, PROTOCOL, Scratch, example};

/// Time and fresh seed of the tests.
const NOW: &str = "2026-09-08T16:30:00Z";
const FRESH: u64 = 7;

/// Commands that are tried here.
const TRIED: [&str; 7] = [
    "demo", "layout", "check", "judge", "describe", "report", "next",
];

#[test]
fn no_command_is_left_out() {
    assert_eq!(NAMES, TRIED);
}

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

/// The invented club's trial as it stands after its counting, in memory and in a folder.
fn club() -> (Scratch, Texts) {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    let demo = asked("demo", json!({ "dir": "club" }), &texts).unwrap();
    std::fs::create_dir_all(scratch.path("club")).unwrap();
    let tables = demo
        .files
        .iter()
        .filter(|f| !f.path.starts_with("club/report"));
    for file in tables {
        both(&scratch, &mut texts, &file.shown(), &file.text);
    }
    (scratch, texts)
}

/// Asserts that every file of the answer is what the typed command wrote, the mark of its pictures and pages aside.
fn written(files: &[NewFile], scratch: &Scratch) {
    assert!(!files.is_empty());
    for file in files {
        let found = scratch.read(&file.shown());
        assert_eq!(
            found.replace("<!-- written by halfgreen -->", ""),
            file.text
        );
    }
}

#[test]
fn demo() {
    let (scratch, texts) = (Scratch::empty(), Texts::default());
    let request = json!({ "dir": "club" });
    same("demo", request.clone(), &texts, &["demo", "club"], &scratch);
    written(&asked("demo", request, &texts).unwrap().files, &scratch);
    // The name is taken now.
    let taken = Texts::default().with("club/trial.toml", scratch.read("club/trial.toml"));
    let second = asked("demo", json!({ "dir": "club" }), &taken).unwrap();
    assert_eq!(second.result["dir"], "club-2");
}

#[test]
fn layout() {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    std::fs::create_dir_all(scratch.path("club")).unwrap();
    let demo = asked("demo", json!({ "dir": "club" }), &texts).unwrap();
    for file in &demo.files[..2] {
        both(&scratch, &mut texts, &file.shown(), &file.text);
    }
    let request = json!({ "dir": "club", "seed": 3 });
    let typed = ["layout", "club", "--seed", "3"];
    let answer = asked("layout", request.clone(), &texts).unwrap();
    same("layout", request, &texts, &typed, &scratch);
    let seal = answer.files.iter().find(|f| f.path.ends_with("seal.toml"));
    assert!(seal.unwrap().text.contains(NOW));
    let drawn: Vec<NewFile> = answer
        .files
        .into_iter()
        .filter(|f| !f.path.ends_with("seal.toml"))
        .collect();
    written(&drawn, &scratch);
    let fresh = asked("layout", json!({ "dir": "club" }), &texts);
    assert!(fresh.unwrap().seed.is_some());
    for file in drawn {
        texts.put(&file.path, file.text);
    }
    texts.put("club/seal.toml", scratch.read("club/seal.toml"));
    let typed = ["layout", "club", "--verify"];
    same(
        "layout",
        json!({ "dir": "club", "verify": true }),
        &texts,
        &typed,
        &scratch,
    );
}

#[test]
fn judge() {
    let (scratch, mut texts) = club();
    let request = json!({ "dir": "club", "seed": 5 });
    let typed = ["judge", "club", "--seed", "5"];
    same("judge", request.clone(), &texts, &typed, &scratch);
    let answer = asked("judge", request, &texts).unwrap();
    written(&answer.files, &scratch);
    assert_eq!(answer.files[0].text, answer.document("judge").unwrap());
    both(
        &scratch,
        &mut texts,
        "sprays.csv",
        &example("published/insect_sprays_beall1942.csv"),
    );
    let request = json!({
        "counts": "sprays.csv", "count": "count", "treatment": "spray", "control": "C",
        "better": "more", "worthwhile": 100,
    });
    let typed = "judge --counts sprays.csv --count count --treatment spray --control C --better more --worthwhile 100";
    let typed: Vec<&str> = typed.split(' ').collect();
    same("judge", request, &texts, &typed, &scratch);
}

#[test]
fn report() {
    let (scratch, texts) = club();
    let request = json!({ "dir": "club" });
    same(
        "report",
        request.clone(),
        &texts,
        &["report", "club"],
        &scratch,
    );
    written(&asked("report", request, &texts).unwrap().files, &scratch);
}

#[test]
fn next() {
    let texts = Texts::default();
    let request = json!({
        "k": 0.8, "mean": 3, "reduction": 60, "cores": [2, 4], "blocks": [6, 7], "trials": 100,
        "looks": [0.5, 1], "cost_plot": 10, "out": "plans",
    });
    let typed = "next --k 0.8 --mean 3 --reduction 60 --cores 2,4 --blocks 6-7 --trials 100 --looks 0.5,1 --cost-plot 10 \
                 --out plans";
    let typed: Vec<&str> = typed.split_whitespace().collect();
    let scratch = Scratch::empty();
    same("next", request.clone(), &texts, &typed, &scratch);
    written(&asked("next", request, &texts).unwrap().files, &scratch);
    // From a trial that was counted and not judged.
    let (scratch, texts) = club();
    let request = json!({ "dir": "club", "blocks": [8], "trials": 50 });
    let typed = ["next", "club", "--blocks", "8", "--trials", "50"];
    same("next", request, &texts, &typed, &scratch);
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
