//! Twelve trials from layout to report and next season, in memory: no page of one contradicts another.

mod agreement;
mod cases;
mod combinations;
mod numbers;
mod open;
mod readability;
mod sentences;

use std::collections::BTreeMap;
use std::fmt::Write;

use halfgreen::commands::{self, Answer, Refusal, Surroundings};
use halfgreen::store::Texts;
use serde_json::{Value, json};

/// A trial of sheets against nothing, to be changed by who needs another.
const PAIRED: &str = r#"[trial]
title = "Sheets on the ninth"
question = "Do fewer larvae remain after a night under sheets?"

[[treatment]]
code = "U"
name = "uncovered"
control = true

[[treatment]]
code = "C"
name = "covered"
kind = "covering"

[design]
kind = "paired"
blocks = 8

[plot]
length_m = 3.0
width_m = 2.0
guard_m = 0.5

[response]
name = "larvae in cores"
cores_per_plot = 2
core_diameter_mm = 108

[[occasion]]
name = "main"
role = "main"
date = 2026-09-24

[decision]
worthwhile_reduction_percent = 50
"#;

/// A green of 40 m by 30 m.
const GREEN: &str = "x_m,y_m\n0,0\n40,0\n40,30\n0,30\n";

/// A unit to be counted: a plot, or a plot on a night.
struct Unit<'a> {
    treatment: &'a str,
    plot: u64,
    sample: u64,
}

/// What a trial is made of.
struct Trial<'a> {
    protocol: String,
    files: Vec<(&'a str, &'a str)>,
    occasions: Vec<&'a str>,
    /// Heading of the counts: `count` or `reading`.
    column: &'a str,
    counts: Box<dyn Fn(&Unit<'_>) -> u64>,
}

impl Trial<'_> {
    /// The paired trial with other counts.
    fn paired(counts: impl Fn(&Unit<'_>) -> u64 + 'static) -> Self {
        Self {
            protocol: PAIRED.to_owned(),
            files: vec![("t/outline.csv", GREEN)],
            occasions: vec!["main"],
            column: "count",
            counts: Box::new(counts),
        }
    }

    /// The same with a text of its protocol replaced.
    fn with(mut self, old: &str, new: &str) -> Self {
        assert!(self.protocol.contains(old), "{old}");
        self.protocol = self.protocol.replacen(old, new, 1);
        self
    }

    /// Lays it out, counts it, reports it.
    fn carried_out(&self) -> Told {
        let mut texts = Texts::default().with("t/trial.toml", self.protocol.as_str());
        for (name, text) in &self.files {
            texts.put(*name, *text);
        }
        let laid = asked("layout", json!({ "dir": "t", "seed": 5 }), &texts).unwrap();
        for file in &laid.files {
            texts.put(file.path(), file.content.as_slice());
        }
        texts.put("t/counts.csv", self.counted(&laid.result));
        Told::of(texts)
    }

    /// The counts of all plots.
    fn counted(&self, laid: &Value) -> String {
        let mut text = format!("plot,sample,occasion,{}\n", self.column);
        for plot in laid["plots"].as_array().unwrap() {
            let name = plot["plot"].as_str().unwrap();
            let night = |o: &str| {
                plot["row"]
                    .as_str()
                    .is_some_and(|row| o == format!("night-{row}"))
            };
            for occasion in &self.occasions {
                if occasion.starts_with("night") && !night(occasion) {
                    continue;
                }
                for sample in 1..=2 {
                    let count = (self.counts)(&Unit {
                        treatment: plot["treatment"].as_str().unwrap(),
                        plot: name.parse().unwrap(),
                        sample,
                    });
                    writeln!(text, "{name},{sample},{occasion},{count}").unwrap();
                }
            }
        }
        text
    }
}

/// Runs a command on texts held in memory.
fn asked(name: &str, request: Value, texts: &Texts) -> Result<Answer, Refusal> {
    let at = Surroundings::new(texts, "2026-09-08T16:30:00Z", 7);
    commands::run(name, request, &at)
}

/// A trial that was reported.
struct Told {
    texts: Texts,
    pages: BTreeMap<String, String>,
    results: Value,
}

impl Told {
    fn of(texts: Texts) -> Self {
        let report = asked("report", json!({ "dir": "t" }), &texts).unwrap();
        let mut pages = BTreeMap::new();
        let mut results = Value::Null;
        for file in report.files {
            let name = file
                .path()
                .file_name()
                .unwrap()
                .to_str()
                .unwrap()
                .to_owned();
            if name == "results.json" {
                results = serde_json::from_slice(&file.content).unwrap();
            } else {
                pages.insert(name, file.text().into_owned());
            }
        }
        Self {
            texts,
            pages,
            results,
        }
    }

    /// The same with a file put in place before it is reported again.
    fn again_with(&self, name: &str, text: &str) -> Self {
        Self::of(self.texts.clone().with(name, text))
    }

    /// What can be read on a page.
    fn text(&self, page: &str) -> String {
        agreement::readable(&self.pages[page])
    }

    /// The same of the members' page.
    fn members(&self) -> String {
        self.text("members.html")
    }

    fn report(&self) -> String {
        self.text("report.html")
    }

    /// What `next` says, sized by a few quick plans unless `request` says otherwise.
    fn next(&self, request: Value) -> Result<Answer, Refusal> {
        asked("next", request, &self.texts)
    }

    /// The call of the first method.
    fn call(&self) -> &str {
        self.results["result"]["verdicts"][0]["call"]
            .as_str()
            .unwrap()
    }
}

/// A request for a quick look at next season.
fn quick() -> Value {
    json!({ "dir": "t", "trials": 50, "blocks": [4, 8], "cores": [2] })
}
