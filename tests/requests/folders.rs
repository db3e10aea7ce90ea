//! Requests about a trial folder, in memory and on the disk.

use halfgreen::store::{NewFile, Texts};
use serde_json::json;

use super::{NOW, asked, both, same};
use crate::scratch::{Scratch, example};

/// The invented club's trial as it stands after its counting, in memory and in a folder.
fn club() -> (Scratch, Texts) {
    let (scratch, mut texts) = (Scratch::empty(), Texts::default());
    let demo = asked("demo", json!({ "dir": "club" }), &texts).unwrap();
    std::fs::create_dir_all(scratch.path("club")).unwrap();
    // What the commands under test write themselves stays out: without the list of files it would count as the user's.
    let made = |f: &&NewFile| f.name.starts_with("report") || f.name.starts_with("order");
    let tables = demo.files.iter().filter(|f| !made(f));
    for file in tables {
        both(&scratch, &mut texts, &file.shown(), &file.content);
    }
    (scratch, texts)
}

/// Asserts that every file of the answer is what the typed command wrote.
fn written(files: &[NewFile], scratch: &Scratch) {
    assert!(!files.is_empty());
    for file in files {
        assert_eq!(scratch.bytes(&file.shown()), file.content);
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
        both(&scratch, &mut texts, &file.shown(), &file.content);
    }
    let request = json!({ "dir": "club", "seed": 3 });
    let typed = ["layout", "club", "--seed", "3"];
    let answer = asked("layout", request.clone(), &texts).unwrap();
    same("layout", request, &texts, &typed, &scratch);
    let seal = answer.files.iter().find(|f| f.name.ends_with("seal.toml"));
    assert!(seal.unwrap().text().contains(NOW));
    let drawn: Vec<NewFile> = answer
        .files
        .into_iter()
        .filter(|f| !f.name.ends_with("seal.toml"))
        .collect();
    written(&drawn, &scratch);
    let fresh = asked("layout", json!({ "dir": "club" }), &texts);
    assert!(fresh.unwrap().seed.is_some());
    for file in drawn {
        texts.put(file.path(), file.content);
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

/// Packed, then packed again where nothing is to be done.
#[test]
fn pack() {
    let (scratch, texts) = (Scratch::empty(), Texts::default());
    let demo = asked("demo", json!({ "dir": "club" }), &texts).unwrap();
    let mut texts = texts;
    let outside = demo
        .files
        .iter()
        .filter(|f| !f.name.starts_with("pack") && !f.name.starts_with("report"));
    for file in outside {
        both(&scratch, &mut texts, &file.shown(), &file.content);
    }
    let request = json!({ "dir": "club" });
    let answer = asked("pack", request.clone(), &texts).unwrap();
    same("pack", request.clone(), &texts, &["pack", "club"], &scratch);
    written(&answer.files, &scratch);
    for file in answer.files {
        texts.put(file.path(), file.content);
    }
    same("pack", request, &texts, &["pack", "club"], &scratch);
}

#[test]
fn judge() {
    let (scratch, mut texts) = club();
    let request = json!({ "dir": "club", "seed": 5 });
    let typed = ["judge", "club", "--seed", "5"];
    same("judge", request.clone(), &texts, &typed, &scratch);
    let answer = asked("judge", request, &texts).unwrap();
    written(&answer.kept, &scratch);
    assert_eq!(answer.kept[0].text(), answer.document("judge").unwrap());
    both(
        &scratch,
        &mut texts,
        "sprays.csv",
        example("published/insect_sprays_beall1942.csv"),
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
fn order() {
    let (scratch, mut texts) = club();
    let sheet = "\n[[roll]]\nname = \"wide\"\nroll_length_m = 30\nroll_width_m = 4\nopaque = true\nprice_per_roll = 55\n";
    let protocol = scratch.read("club/trial.toml") + sheet;
    both(&scratch, &mut texts, "club/trial.toml", protocol);
    let request = json!({ "dir": "club", "whole_green": true, "angle": 12.5, "over_holes": true });
    let typed = "order club --whole-green --angle 12.5 --over-holes";
    let typed: Vec<&str> = typed.split(' ').collect();
    same("order", request.clone(), &texts, &typed, &scratch);
    written(&asked("order", request, &texts).unwrap().files, &scratch);
    let request = json!({ "dir": "club" });
    same("order", request, &texts, &["order", "club"], &scratch);
    let request = json!({ "dir": "club", "gust": "12 mph", "wind_from": 250.0, "date": "2026-09-17", "people": 3 });
    let typed = [
        "order",
        "club",
        "--gust",
        "12 mph",
        "--wind-from",
        "250",
        "--date",
        "2026-09-17",
        "--people",
        "3",
    ];
    same("order", request, &texts, &typed, &scratch);
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
