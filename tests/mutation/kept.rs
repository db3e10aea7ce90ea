//! Files that one command keeps and another reads: seal, layout, events, results. Each has a cheap door, the reader alone
//! or the least command that reads it, and results have two that size a trial by them.

use std::sync::LazyLock;

use halfgreen::commands::{self, Surroundings};
use halfgreen::design::{read_layout, read_protocol};
use halfgreen::next_season::past_results::read_results;
use halfgreen::store::Texts;
use serde_json::{Value, json};

use super::Door;
use super::tables::taken;
use crate::scratch::{EDGE, LAYOUT, PROTOCOL, example};

pub(super) const DOORS: [Door; 8] = [
    Door {
        name: "trial.toml alone",
        cost: 1,
        seeds: || vec![PROTOCOL.to_owned(), example("demo-club/trial.toml")],
        enter: |text| read(read_protocol("trial.toml", text)),
    },
    Door {
        name: "layout.csv alone",
        cost: 1,
        seeds: || vec![LAYOUT.to_owned(), example("demo-club/layout.csv")],
        enter: |text| read(read_layout("layout.csv", text, &[]).map_err(|e| vec![e])),
    },
    Door {
        name: "results.json alone",
        cost: 1,
        seeds: results,
        enter: |text| read(read_results("results.json", text, Some(0.01)).map_err(|e| vec![e])),
    },
    Door {
        name: "seal.toml that is verified",
        cost: 4,
        seeds: || vec![sealed("seal.toml")],
        enter: |text| verified(&trial().with("seal.toml", text)),
    },
    Door {
        name: "layout.csv that is verified",
        cost: 4,
        seeds: || vec![sealed("layout.csv")],
        enter: |text| verified(&trial().with("layout.csv", text)),
    },
    Door {
        name: "events.csv that is checked",
        cost: 4,
        seeds: || vec![EVENTS.to_owned()],
        enter: |text| {
            let texts = trial().with("counts.csv", COUNTS);
            taken(
                "check",
                json!({ "dir": "." }),
                &texts.with("events.csv", text),
            )
        },
    },
    Door {
        name: "results.json that sizes the next trial",
        cost: 60,
        seeds: results,
        enter: |text| {
            sized(
                json!({ "dir": "." }),
                &trial().with("report/results.json", text),
            )
        },
    },
    Door {
        name: "results of another trial",
        cost: 60,
        seeds: || vec![without_area()],
        enter: |text| {
            let request =
                json!({ "k": 0.8, "mean": 3.0, "reduction": 50.0, "past": ["past.json"] });
            sized(request, &Texts::default().with("past.json", text))
        },
    },
];

const EVENTS: &str =
    "plot,date,event,covered_fraction,note\n2,2026-09-01,sheet blown off,0.5,\"wind, west\"\n";

const COUNTS: &str = "plot,sample,occasion,count\n1,1,main,4\n1,2,main,0\n2,1,main,1\n2,2,main,0\n3,1,main,3\n3,2,main,2\n\
                      4,1,main,9\n4,2,main,5\n";

/// Whether a reader took a text; its complaints are few.
fn read<T, E>(answer: Result<T, Vec<E>>) -> bool {
    match answer {
        Ok(_) => true,
        Err(faults) => {
            assert!(!faults.is_empty() && faults.len() < 1000);
            false
        }
    }
}

fn verified(texts: &Texts) -> bool {
    taken("layout", json!({ "dir": ".", "verify": true }), texts)
}

/// Sizes a small trial in few simulated ones.
fn sized(mut request: Value, texts: &Texts) -> bool {
    for (key, value) in [
        ("blocks", json!([3])),
        ("cores", json!([1])),
        ("trials", json!(4)),
    ] {
        request[key] = value;
    }
    taken("next", request, texts)
}

/// Names and texts of what a command writes.
fn written(name: &str, request: Value, texts: &Texts) -> Vec<(String, String)> {
    let at = Surroundings::new(texts, "2026-09-08T16:30:00Z", 7);
    let answer = commands::run(name, request, &at).unwrap();
    let files = answer.files.into_iter().chain(answer.kept);
    files
        .map(|f| (f.name.to_string_lossy().into_owned(), f.text().into_owned()))
        .collect()
}

/// Layout and seal of the trial of the untidy sheets.
static SEALED: LazyLock<Vec<(String, String)>> = LazyLock::new(|| {
    let texts = Texts::default()
        .with("trial.toml", PROTOCOL)
        .with("outline.csv", EDGE);
    written("layout", json!({ "dir": ".", "seed": 5 }), &texts)
});

pub(super) fn sealed(name: &str) -> String {
    let found = SEALED.iter().find(|(n, _)| n == name);
    found.map(|(_, text)| text.clone()).unwrap()
}

/// A trial as `layout` leaves it.
pub(super) fn trial() -> Texts {
    Texts::default()
        .with("trial.toml", PROTOCOL)
        .with("outline.csv", EDGE)
        .with("layout.csv", sealed("layout.csv"))
        .with("seal.toml", sealed("seal.toml"))
}

/// The results that `judge` keeps of the demonstration's counts, without what nothing reads.
static RESULTS: LazyLock<String> = LazyLock::new(|| {
    let club = ["trial.toml", "outline.csv", "layout.csv", "counts.csv"];
    let texts = club.iter().fold(Texts::default(), |texts, name| {
        texts.with(*name, example(&format!("demo-club/{name}")))
    });
    let kept = written("judge", json!({ "dir": "." }), &texts);
    let (_, text) = kept
        .into_iter()
        .find(|(n, _)| n.ends_with("results.json"))
        .unwrap();
    let mut whole: Value = serde_json::from_str(&text).unwrap();
    let read = [
        "alpha",
        "per",
        "dispersion",
        "model",
        "units",
        "means",
        "contrasts",
        "verdicts",
    ];
    let result = whole["result"].as_object_mut().unwrap();
    result.retain(|key, _| read.contains(&key.as_str()));
    serde_json::to_string_pretty(&whole).unwrap()
});

fn results() -> Vec<String> {
    vec![RESULTS.clone()]
}

/// The same, as if they were told for each core: nobody says what the core of another trial took.
fn without_area() -> String {
    let mut whole: Value = serde_json::from_str(&RESULTS).unwrap();
    whole["result"].as_object_mut().unwrap().remove("per");
    serde_json::to_string_pretty(&whole).unwrap()
}
