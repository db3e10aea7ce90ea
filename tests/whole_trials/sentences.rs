//! All that a trial is told in, page by page, sentence by sentence; and what no sentence of any page may be.

use std::collections::BTreeSet;
use std::fmt::Write;

use halfgreen::commands::{Answer, Line, Part};
use serde_json::json;

use super::{Told, asked};

/// What each of the pages says, in order: sentences and headings, no tables.
pub(super) struct Pages(Vec<(&'static str, Vec<String>)>);

impl Pages {
    pub(super) fn of(told: &Told) -> Self {
        let judge = asked("judge", json!({ "dir": "t" }), &told.texts).unwrap();
        let few = json!({ "dir": "t", "trials": 20, "blocks": [8], "cores": [2] });
        let next = match told.next(few) {
            // What follows; the plan is the report's, which looks at more of them.
            Ok(answer) => {
                let follows = &answer.result["follows"];
                let told = |key: &str| follows[key].as_str().unwrap();
                vec![format!("[{}] {}", told("step"), told("sentence"))]
            }
            Err(refused) => vec![refused.errors[0].to_string()],
        };
        let mut parts = told.pages["report.html"].split("id=\"appendix\"");
        let report = parts.next().unwrap();
        Self(vec![
            ("members", said(&told.members())),
            ("report", said(&super::agreement::readable(report))),
            ("judge", spoken(&judge)),
            ("next", next),
        ])
    }

    /// The sentences.
    fn all(&self) -> impl Iterator<Item = &str> {
        self.0.iter().flat_map(|(_, said)| said).map(String::as_str)
    }
}

/// Headings and sentences of a page, those in pieces put together.
fn said(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for line in text.lines().map(str::trim).filter(|l| !l.is_empty()) {
        match out.last_mut() {
            // A name in quotation marks, and what is set apart, goes on in its sentence.
            Some(open) if goes_on(open, line) => {
                open.push(' ');
                open.push_str(line);
            }
            _ => out.push(line.to_owned()),
        }
    }
    out.retain(|line| is_told(line));
    out.dedup();
    out
}

/// A sentence, or a heading that says something; no cell of a table.
fn is_told(line: &str) -> bool {
    let words = line.split_whitespace().count();
    let sentence = line.ends_with(['.', '?', '!']);
    let figures = line.chars().any(|c| c.is_ascii_digit());
    words > 2 && (sentence || !figures)
}

fn goes_on(before: &str, line: &str) -> bool {
    let open = before.split_whitespace().count() > 3 && !before.ends_with(['.', '?', '!', ':']);
    open && line.chars().next().is_some_and(|c| !c.is_uppercase())
}

/// Sentences of what a command says.
fn spoken(answer: &Answer) -> Vec<String> {
    let text = |line: &Line| line.spans.iter().map(|s| s.text.as_str()).collect();
    let mut out = Vec::new();
    for part in &answer.words.parts {
        match part {
            Part::Paragraph(lines) => out.extend(lines.iter().map(text)),
            Part::Section { heading, lines } => {
                out.push(format!("[{heading}]"));
                out.extend(lines.iter().map(text));
            }
            Part::Table(_) | Part::AsWritten(_) => {}
        }
    }
    out
}

/// The pages of several trials: what all say once, then what each says by itself.
pub(super) fn told_of(trials: &[(String, Pages)]) -> String {
    let mut common: Vec<BTreeSet<&str>> = Vec::new();
    for (_, pages) in trials {
        let own = pages
            .0
            .iter()
            .map(|(_, said)| said.iter().map(String::as_str).collect());
        let own: Vec<BTreeSet<&str>> = own.collect();
        if common.is_empty() {
            common = own;
        } else {
            for (all, own) in common.iter_mut().zip(own) {
                all.retain(|s| own.contains(s));
            }
        }
    }
    let mut text = "ALL OF THEM\n".to_owned();
    let (_, first) = &trials[0];
    for ((page, said), all) in first.0.iter().zip(&common) {
        for sentence in said.iter().filter(|s| all.contains(s.as_str())) {
            writeln!(text, "{page:>8}  {sentence}").unwrap();
        }
    }
    for (name, pages) in trials {
        writeln!(text, "\n{}", name.to_uppercase()).unwrap();
        for ((page, said), all) in pages.0.iter().zip(&common) {
            for sentence in said.iter().filter(|s| !all.contains(s.as_str())) {
                writeln!(text, "{page:>8}  {sentence}").unwrap();
            }
        }
    }
    text
}

/// Words that presume an effect, promise one, or take the lack of evidence for the lack of an effect.
const NEVER: [&str; 13] = [
    "likely 0 or more",
    "times more",
    "times fewer",
    "no effect was",
    "has no effect",
    "had no effect",
    "does not work",
    "did not work",
    "would tell",
    "will tell",
    "could never have shown",
    "NaN",
    "inf ",
];

/// Refuses what no sentence of any page may be: a negative per cent, a number with a sign, a range in two units, a limit that is ruled out and
/// allowed at once, words that say more than the counts do.
pub(super) fn check(pages: &Pages) {
    for sentence in pages.all() {
        for phrase in NEVER {
            assert!(!sentence.contains(phrase), "`{phrase}` in `{sentence}`");
        }
        assert!(!negative_percent(sentence), "{sentence}");
        assert!(!signed_number(sentence), "{sentence}");
        for range in sentence.split("between ").skip(1) {
            let range = range.split(['.', ';', ')', ':']).next().unwrap();
            let ends: Vec<&str> = range.splitn(2, " and ").collect();
            let unit = |end: &&str| end.contains(" % ");
            if ends.len() == 2 && ends[1].contains("times as many") {
                assert!(!unit(&ends[0]), "two units in `{sentence}`");
            }
        }
        if let Some((before, range)) = sentence.split_once(" is ruled out (likely between ") {
            let bar = before.rsplit("as large as ").next().unwrap();
            assert!(
                !range.contains(bar),
                "`{bar}` is ruled out and allowed: {sentence}"
            );
        }
    }
}

/// Whether a number with a sign stands in a sentence, where words say more or less.
fn signed_number(text: &str) -> bool {
    text.split_whitespace().any(|word| {
        let digits = word.strip_prefix(['-', '+', '\u{2212}']);
        digits.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    })
}

/// Whether a per cent stands there with a minus before it.
fn negative_percent(text: &str) -> bool {
    text.match_indices(" %").any(|(at, _)| {
        let number = text[..at]
            .rsplit(|c: char| c.is_whitespace() || c == '(')
            .next();
        number.is_some_and(|n| n.starts_with('-') && n.len() > 1 && n != "+-")
    })
}

#[test]
fn a_number_with_a_sign_is_found() {
    assert!(signed_number("between -0.60 and +1.80."));
    assert!(!signed_number(
        "on 2026-09-18, 40 % - 3, by the 5-point scale"
    ));
}

#[test]
fn a_negative_per_cent_is_found() {
    assert!(negative_percent("S: -1314 % (x)"));
    assert!(negative_percent("(-3 % to 4)"));
    assert!(!negative_percent("46.5 +-7.1 % or 40 % - 3"));
}
