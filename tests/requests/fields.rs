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
    assert_eq!(
        fields("judge", json!({ "alpha": 2, "worthwhile": -1 })),
        [named("alpha"), named("worthwhile")]
    );
    assert_eq!(
        fields("judge", json!({ "counts": "t.csv" })),
        [named("count"), named("treatment"), named("control")]
    );
    assert_eq!(
        fields(
            "judge",
            json!({ "dir": "club", "alpha": 0.1, "block": "b" })
        ),
        [named("block"), named("alpha")]
    );
    assert_eq!(fields("next", json!({ "k": 1 })), [named("reduction")]);
    assert_eq!(
        fields("next", json!({ "k": 1, "reduction": 50 })),
        [named("mean")]
    );
    assert_eq!(
        fields(
            "layout",
            json!({ "dir": ".", "verify": true, "replace": true })
        ),
        [named("replace")]
    );
    assert_eq!(fields("dance", json!({})), [None]);
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
        run.err().contains("--mean: -2 is not at least 0"),
        "{}",
        run.err()
    );
    assert_eq!(run.json()["errors"][0]["field"], "mean");
    // What a trial's protocol says is not asked of the command.
    let run = Scratch::trial("").run(&["judge", ".", "--alpha", "0.1"]);
    assert_eq!(run.code(), Some(2));
}
