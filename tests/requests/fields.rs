//! What a request may say: fields by their names, each fault with its field.

use halfgreen::commands::{judge, next, read_request};
use halfgreen::store::Texts;
use serde_json::{Value, json};

use super::asked;
use crate::scratch::Scratch;

/// A request that is written and read again asks the same.
#[test]
fn requests_are_read_back_as_they_were_written() {
    let asked = judge::Request {
        alpha: 0.1,
        not_randomised: true,
        ..judge::Request::default()
    };
    let text = serde_json::to_value(&asked).unwrap();
    assert_eq!(read_request::<judge::Request>(text).unwrap(), asked);
    let asked = next::Request {
        k_range: Some((0.5, 2.0)),
        ..next::Request::default()
    };
    let text = serde_json::to_value(&asked).unwrap();
    assert_eq!(read_request::<next::Request>(text).unwrap(), asked);
    assert_eq!(
        read_request::<next::Request>(json!({})).unwrap(),
        next::Request::default()
    );
}

/// The fields that the faults of a request lie in; empty where it is none.
fn fields(name: &str, request: Value) -> Vec<String> {
    let refusal = asked(name, request, &Texts::default()).unwrap_err();
    refusal
        .errors
        .into_iter()
        .map(|e| e.field.unwrap_or_default())
        .collect()
}

/// A page can mark the box that is at fault.
#[test]
fn faults_of_a_request_name_the_field() {
    assert_eq!(fields("check", json!({})), ["dir"]);
    assert_eq!(
        fields("order", json!({ "dir": "club", "angle": 9 })),
        ["angle"]
    );
    for (field, value) in [
        ("gust", json!("35")),
        ("gust", json!("200 m/s")),
        ("wind_from", json!(400)),
        ("people", json!(0)),
        ("date", json!("03/04/26")),
    ] {
        let mut request = json!({ "dir": "club" });
        request[field] = value;
        assert_eq!(fields("order", request), [field]);
    }
    assert_eq!(
        fields(
            "order",
            json!({ "dir": "club", "whole_green": true, "plan": "p.json" })
        ),
        ["plan"]
    );
    assert_eq!(fields("describe", json!({})), ["file", "count"]);
    assert_eq!(
        fields("describe", json!({ "group": ["a", 3] })),
        ["group[1]"]
    );
    assert_eq!(fields("describe", json!({ "colour": "red" })), ["colour"]);
    assert_eq!(
        fields("judge", json!({ "alpha": 2, "worthwhile": -1 })),
        ["alpha", "worthwhile"]
    );
    assert_eq!(
        fields("judge", json!({ "counts": "t.csv" })),
        ["count", "treatment", "control"]
    );
    assert_eq!(
        fields(
            "judge",
            json!({ "dir": "club", "alpha": 0.1, "block": "b" })
        ),
        ["block", "alpha"]
    );
    assert_eq!(fields("next", json!({ "k": 1 })), ["reduction"]);
    assert_eq!(fields("next", json!({ "k": 1, "reduction": 50 })), ["mean"]);
    assert_eq!(
        fields(
            "layout",
            json!({ "dir": ".", "verify": true, "replace": true })
        ),
        ["replace"]
    );
    assert_eq!(fields("dance", json!({})), [""]);
}

/// The same of the commands that need no trial folder.
#[test]
fn faults_of_a_request_about_a_green_name_the_field() {
    assert_eq!(fields("stopline", json!({})), ["lower"]);
    let poor = json!({ "lower": 2.0, "upper": 1.0, "alpha": 1.0, "cores": 0 });
    assert_eq!(
        fields("stopline", poor),
        ["alpha", "cores"],
        "all numbers outside their limits at once"
    );
    let swapped = json!({ "lower": 2.0, "upper": 1.0 });
    assert_eq!(fields("stopline", swapped), ["upper"]);
    let law = json!({ "lower": 1.0, "upper": 2.0, "law": { "k": 0.0 } });
    assert_eq!(fields("stopline", law), ["law.k"]);
    let twice = json!({ "lower": 1.0, "upper": 2.0, "law": { "k": 1.0, "taylor": { "a": 1.0, "b": 1.0 } } });
    assert_eq!(fields("stopline", twice), ["law"]);
    let bare = json!({ "lower": 50.0, "upper": 100.0, "per_m2": true });
    assert_eq!(fields("stopline", bare), ["core_area"]);
    let idle = json!({ "lower": 1.0, "upper": 2.0, "core_area": 0.0092 });
    assert_eq!(fields("stopline", idle), ["core_area"]);
    let shown = json!({ "kind": "green", "per_m2": true, "core_area": 0.0092 });
    assert_eq!(fields("stopline", shown), ["lower"]);
    assert_eq!(fields("new", json!({})), ["dir"]);
    assert_eq!(fields("pool", json!({})), ["files"]);
    let idle = json!({ "files": ["t.csv"], "trial": "trial", "block": "block" });
    assert_eq!(fields("pool", idle), ["trial", "block"]);
    let untold = json!({ "files": ["t.csv"], "count": "n", "treatment": "m", "control": "U" });
    assert_eq!(fields("pool", untold), ["trial"]);
    let beyond = json!({ "files": ["t.csv"], "alpha": 0.0, "worthwhile": 100.0 });
    assert_eq!(fields("pool", beyond), ["alpha", "worthwhile"]);
    assert_eq!(fields("grid", json!({})), ["outline"]);
    let both = json!({ "outline": "o.csv", "points": 3, "spacing": 2.0 });
    assert_eq!(fields("grid", both), ["points"]);
    let precise = json!({ "outline": "o.csv", "precision": 0.2 });
    assert_eq!(fields("grid", precise), ["mean"]);
    let bare = json!({ "outline": "o.csv", "precision": 0.2, "mean": 100.0, "per_m2": true });
    assert_eq!(fields("grid", bare), ["core_area"]);
    assert_eq!(fields("hotspots", json!({})), ["dir"]);
    let nowhere = json!({ "counts": "t.csv", "x": "x", "y": "y" });
    assert_eq!(fields("hotspots", nowhere), ["count"]);
    let thin = json!({ "counts": "t.csv", "roll_width": 0.0, "lap": -1.0 });
    assert_eq!(fields("hotspots", thin), ["roll_width", "lap"]);
}

/// A column that the table does not have is a fault of the field that names it, and all such are told at once.
#[test]
fn missing_columns_name_their_fields() {
    let texts = Texts::default().with("t.csv", "worms,trt,x\n3,a,1\n4,b,2\n");
    let fields = |name: &str, request: Value| -> Vec<String> {
        let refusal = asked(name, request, &texts).unwrap_err();
        refusal
            .errors
            .into_iter()
            .map(|e| e.field.unwrap_or_default())
            .collect()
    };
    let request = json!({ "file": "t.csv", "count": "worm", "group": ["trt", "green"] });
    assert_eq!(fields("describe", request), ["count", "group"]);
    let mut request = json!({
        "counts": "t.csv", "count": "worms", "treatment": "treat", "control": "a", "block": "pair",
    });
    let both = ["treatment", "block"];
    assert_eq!(fields("judge", request.clone()), both);
    request["response"] = json!("length");
    assert_eq!(fields("judge", request), both);
    let request =
        json!({ "counts": "t.csv", "x": "x", "y": "y", "count": "worms", "ground": ["wet"] });
    assert_eq!(fields("hotspots", request), ["y", "ground"]);
}

/// The terminal shows the field as what was typed.
#[test]
fn faults_of_a_request_are_told_by_their_flag() {
    let run = Scratch::empty().run(&[
        "next",
        "--k",
        "1",
        "--mean",
        "-2",
        "--reduction",
        "50",
        "--json",
    ]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("--mean: -2 is not from 0.001 to 1000"),
        "{}",
        run.err()
    );
    assert_eq!(run.json()["errors"][0]["field"], "mean");
    // What a trial's protocol says is not asked of the command.
    let run = Scratch::trial("").run(&["judge", ".", "--alpha", "0.1"]);
    assert_eq!(run.code(), Some(2));
}
