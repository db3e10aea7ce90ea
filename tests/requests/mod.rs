//! Every command from a JSON request and texts held in memory, without disk or terminal, against the built program.

mod fields;
mod folders;

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use halfgreen::commands::{self, Answer, NAMES, Refusal, Surroundings};
use halfgreen::store::Texts;
use serde_json::{Value, json};

use crate::scratch::{LAYOUT, PROTOCOL, Scratch};

/// Time and fresh seed of the tests.
const NOW: &str = "2026-09-08T16:30:00Z";
const FRESH: u64 = 7;

/// Commands that are tried here, in `folders` and in `archive`.
const TRIED: [&str; 16] = [
    "demo", "new", "grid", "layout", "pack", "order", "check", "judge", "describe", "report",
    "hotspots", "next", "stopline", "season", "pool", "archive",
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
fn both(scratch: &Scratch, texts: &mut Texts, name: &str, content: impl AsRef<[u8]>) {
    scratch.put(name, content.as_ref());
    texts.put(name, content.as_ref());
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

#[test]
fn pool() {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    let effects =
        "trial,effect,se,soil\na,-0.7,0.4,sand\nb,-0.5,0.3,loam\nc,-0.9,0.35,sand\nd,-0.1,x,loam\n";
    both(&scratch, &mut texts, "effects.csv", effects);
    let request = json!({ "files": ["effects.csv"], "method": "pm", "interval": "normal", "moderator": ["soil"],
        "worthwhile": 40.0, "anonymise": "a long secret" });
    let typed = [
        "pool",
        "effects.csv",
        "--method",
        "pm",
        "--interval",
        "normal",
        "--moderator",
        "soil",
        "--worthwhile",
        "40",
        "--anonymise",
        "a long secret",
    ];
    same("pool", request, &texts, &typed, &scratch);
    let counts = "trial,treatment,larvae,block\na,U,9,1\na,C,4,1\na,U,12,2\na,C,3,2\na,U,7,3\na,C,5,3\n\
                  b,U,8,1\nb,C,4,1\nb,U,11,2\nb,C,7,2\nb,U,9,3\nb,C,2,3\n";
    both(&scratch, &mut texts, "counts.csv", counts);
    let request = json!({ "files": ["counts.csv"], "trial": "trial", "count": "larvae", "treatment": "treatment",
        "control": "U", "block": "block", "seed": 4 });
    let typed = [
        "pool",
        "counts.csv",
        "--trial",
        "trial",
        "--count",
        "larvae",
        "--treatment",
        "treatment",
        "--control",
        "U",
        "--block",
        "block",
        "--seed",
        "4",
    ];
    same("pool", request, &texts, &typed, &scratch);
}

#[test]
fn stopline() {
    let scratch = Scratch::empty();
    let request =
        json!({ "lower": 1.0, "upper": 2.0, "law": { "taylor": { "a": 1.5, "b": 1.2 } } });
    let typed = [
        "stopline", "--lower", "1", "--upper", "2", "--taylor", "1.5,1.2",
    ];
    same("stopline", request, &Texts::default(), &typed, &scratch);
}

/// 100 and 200 to the square metre are 1 and 2 in a core of 0.01 m2.
#[test]
fn levels_per_square_metre_are_levels_per_core() {
    let scratch = Scratch::empty();
    let request = json!({ "lower": 100.0, "upper": 200.0, "per_m2": true, "core_area": 0.01, "law": { "k": 0.8 } });
    let typed = [
        "stopline",
        "--lower",
        "100",
        "--upper",
        "200",
        "--per-m2",
        "--core-area",
        "0.01",
        "--k",
        "0.8",
    ];
    same("stopline", request, &Texts::default(), &typed, &scratch);
    let lines = |typed: &[&str]| {
        scratch.run(&[typed, &["--json"]].concat()).json()["result"]["lines"].clone()
    };
    let per_core = ["stopline", "--lower", "1", "--upper", "2", "--k", "0.8"];
    assert_eq!(lines(&typed), lines(&per_core));
    let told = scratch.run(&typed).out();
    assert!(
        told.contains("100 and 200 to the square metre are 1.00 and 2.00 in a core of 0.01 m2."),
        "{told}"
    );
    // A survey sized by larvae to the square metre; a zigzag promises nothing.
    scratch.put("outline.csv", "x_m,y_m\n0,0\n20,0\n20,12\n0,12\n");
    let survey = |mean: &str, more: &[&str]| {
        let typed = [
            "grid",
            "outline.csv",
            "--precision",
            "0.3",
            "--k",
            "0.8",
            "--core-area",
            "0.01",
            "--mean",
            mean,
            "--seed",
            "1",
        ];
        scratch
            .run(&[&typed[..], more, &["--json"]].concat())
            .json()
    };
    let per_m2 = survey("200", &["--per-m2"]);
    assert_eq!(
        per_m2["result"]["survey"],
        survey("2", &[])["result"]["survey"]
    );
    assert_eq!(per_m2["warnings"].as_array().unwrap().len(), 0);
    let walked = survey("2", &["--pattern", "zigzag"]);
    let codes: Vec<&str> = walked["warnings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|w| w["code"].as_str().unwrap())
        .collect();
    assert!(codes.contains(&"precision-not-promised"), "{codes:?}");
}

#[test]
fn season() {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    both(&scratch, &mut texts, "s.toml", crate::season::SEASON);
    let request = json!({ "file": "s.toml" });
    same("season", request, &texts, &["season", "s.toml"], &scratch);
}

#[test]
fn grid() {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    let outline = "x_m,y_m\n0,0\n20,0\n20,12\n0,12\n";
    both(&scratch, &mut texts, "outline.csv", outline);
    let request = json!({ "outline": "outline.csv", "points": 6, "pattern": "zigzag", "margin": 1.0, "seed": 5 });
    let typed = [
        "grid",
        "outline.csv",
        "--points",
        "6",
        "--pattern",
        "zigzag",
        "--margin",
        "1",
        "--seed",
        "5",
    ];
    same("grid", request, &texts, &typed, &scratch);
}

#[test]
fn hotspots() {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    let rows = (0..36).map(|i| format!("{};{};{};{}\n", i % 6, i / 6, (i * 7) % 11, i / 12));
    let counts = std::iter::once("x;y;larvae;wet\n".to_owned())
        .chain(rows)
        .collect::<String>();
    both(&scratch, &mut texts, "counts.csv", &counts);
    let request = json!({
        "counts": "counts.csv", "x": "x", "y": "y", "count": "larvae", "ground": ["wet"],
        "weights": { "distance": 1.5 }, "permutations": 99,
    });
    let typed = [
        "hotspots",
        "--counts",
        "counts.csv",
        "--x",
        "x",
        "--y",
        "y",
        "--count",
        "larvae",
        "--ground",
        "wet",
        "--weights",
        "distance:1.5",
        "--permutations",
        "99",
    ];
    same("hotspots", request, &texts, &typed, &scratch);
}

/// The starter is the same in memory, and a folder that holds a map gets no second outline.
#[test]
fn new() {
    let request = || json!({ "dir": "green" });
    let scratch = Scratch::empty();
    same(
        "new",
        request(),
        &Texts::default(),
        &["new", "green"],
        &scratch,
    );
    let mapped = Texts::default().with("green/outline.geojson", "{}");
    let answer = asked("new", request(), &mapped).unwrap();
    let [file] = answer.files.as_slice() else {
        panic!("{:?}", answer.files);
    };
    assert_eq!(file.path(), Path::new("green/trial.toml"));
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
    assert_eq!(file.path(), Path::new("t.svg"));
    assert!(file.text().contains("</svg>") && !Path::new("t.svg").exists());
}

/// Whoever waits hears of every step, and can stop the work between two.
#[test]
fn long_work_is_told_of_and_can_be_stopped() {
    let texts = Texts::default();
    let heard = AtomicUsize::new(0);
    let stop_after = |steps: usize| {
        let heard = &heard;
        move |done: usize, of: usize| {
            assert_eq!(of, 3);
            heard.store(done, Ordering::Relaxed);
            if done == steps {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        }
    };
    let request = json!({ "k": 1, "mean": 3, "reduction": 60, "cores": [2], "blocks": [6, 7, 8], "trials": 50 });
    let at = Surroundings::new(&texts, NOW, FRESH);
    let patient = stop_after(4);
    let whole = Surroundings {
        progress: &patient,
        ..at
    };
    assert!(commands::run("next", request.clone(), &whole).is_ok());
    assert_eq!(heard.load(Ordering::Relaxed), 3);
    let hasty = stop_after(2);
    let stopped = Surroundings {
        progress: &hasty,
        ..at
    };
    let refusal = commands::run("next", request, &stopped).unwrap_err();
    assert!(
        refusal.errors[0].what.contains("2 of 3 steps"),
        "{refusal:?}"
    );
    assert_eq!(heard.load(Ordering::Relaxed), 2);
}
