//! Trials that are packed for the morning: names go from the protocol into pages, tables, a workbook and a program.

use halfgreen::commands::{self, Surroundings};
use halfgreen::store::Texts;
use halfgreen::text::names::may_stand;
use serde_json::{Value, json};

use super::Door;
use super::kept::{sealed, trial};
use crate::scratch::{EDGE, PROTOCOL};

pub(super) const DOORS: [Door; 3] = [
    Door {
        name: "a protocol that is laid out and packed",
        cost: 100,
        seeds: || vec![PROTOCOL.to_owned(), named()],
        enter: |text| {
            let texts = Texts::default()
                .with("trial.toml", text)
                .with("outline.csv", EDGE);
            given("layout", &texts).is_some_and(|files| packed(&all(texts, files)))
        },
    },
    Door {
        name: "a layout that is packed",
        cost: 100,
        seeds: || vec![sealed("layout.csv")],
        enter: |text| packed(&trial().with("layout.csv", text)),
    },
    Door {
        name: "a seal that is packed with",
        cost: 100,
        seeds: || vec![sealed("seal.toml")],
        enter: |text| packed(&trial().with("seal.toml", text)),
    },
];

/// A protocol whose names try what they can do.
fn named() -> String {
    PROTOCOL
        .replace(
            "\"Two pairs\"",
            "\"</script><script>alert(1)</script> & <b>'=1+1\"",
        )
        .replace("\"uncovered\"", "\"=HYPERLINK(1) </title>\"")
}

/// Names and contents of what a command writes in a trial's folder; nothing where it refuses.
fn given(name: &str, texts: &Texts) -> Option<Vec<(String, Vec<u8>)>> {
    let at = Surroundings::new(texts, "2026-09-08T16:30:00Z", 7);
    let request: Value = json!({ "dir": "." });
    match commands::run(name, request, &at) {
        Ok(answer) => {
            let files = answer.files.into_iter().chain(answer.kept);
            Some(
                files
                    .map(|f| (f.name.to_string_lossy().into_owned(), f.content))
                    .collect(),
            )
        }
        Err(refusal) => {
            let number = refusal.errors.len();
            assert!((1..1000).contains(&number), "{number} complaints");
            None
        }
    }
}

fn all(texts: Texts, files: Vec<(String, Vec<u8>)>) -> Texts {
    let put = |texts: Texts, (name, content)| texts.with(name, content);
    files.into_iter().fold(texts, put)
}

/// Whether a trial can be packed. What is in the pack is well formed, and no name in it has become a program.
fn packed(texts: &Texts) -> bool {
    let Some(files) = given("pack", texts) else {
        return false;
    };
    for (name, content) in &files {
        let Ok(text) = std::str::from_utf8(content) else {
            assert!(
                std::path::Path::new(name)
                    .extension()
                    .is_some_and(|e| e == "xlsx"),
                "{name}"
            );
            continue;
        };
        let unfit = text
            .chars()
            .find(|c| !(may_stand(*c) || matches!(c, '\n' | '\r' | '\t')));
        assert_eq!(unfit, None, "{name}");
        assert!(!text.contains("<script>alert"), "{name}");
        // Its plan and its program are all that a page holds.
        let scripts = text.matches("<script").count();
        let most = if name.contains("tally") { 2 } else { 0 };
        assert!(scripts <= most, "{name} has {scripts} scripts");
    }
    assert!(!files.is_empty());
    true
}
