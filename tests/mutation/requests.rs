//! Requests with numbers in and about their ranges: every command, every number.

use halfgreen::ranges::Range;
use halfgreen::ranges::request::RANGES;
use halfgreen::store::Texts;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};

#[cfg(feature = "archive")]
use super::archives;
use super::tables::taken;
use super::{runner, timed};
use crate::scratch::example;

/// A number that is put in the place of one of a request.
#[derive(Debug, Clone)]
enum Pick {
    /// An end of its range, or one step beyond.
    End(bool, bool),
    /// Between the ends, on a scale of ratios.
    Between(f64),
    /// One that upsets.
    Wild(Index),
}

/// Numbers that upset.
const WILD: [f64; 10] = [
    0.0,
    -0.0,
    -1.0,
    5e-324,
    1e-300,
    1e15,
    1e308,
    -1e308,
    1.5,
    1.844_674_407_370_955_2e19,
];

/// Requests that are taken as they are.
fn seeds() -> Vec<(&'static str, Value)> {
    vec![
        ("grid", json!({ "outline": "outline.csv", "points": 9 })),
        (
            "grid",
            json!({ "outline": "outline.csv", "spacing": 3.0, "pattern": "zigzag" }),
        ),
        (
            "grid",
            json!({ "outline": "outline.csv", "precision": 0.25, "mean": 2.0, "law": { "k": 0.8 } }),
        ),
        (
            "judge",
            json!({ "counts": "judged.csv", "count": "larvae", "treatment": "how", "control": "U", "block": "block" }),
        ),
        (
            "judge",
            json!({ "counts": "judged.csv", "count": "larvae", "treatment": "how", "control": "U", "reference": "S" }),
        ),
        (
            "describe",
            json!({ "file": "judged.csv", "count": "larvae", "core_area": 0.01, "threshold": 50.0 }),
        ),
        (
            "judge",
            json!({ "counts": "judged.csv", "count": "larvae", "treatment": "how", "control": "U", "area": "block", "threshold": 50.0 }),
        ),
        (
            "hotspots",
            json!({ "counts": "places.csv", "x": "x", "y": "y", "count": "larvae", "outline": "outline.csv", "permutations": 19 }),
        ),
        (
            "order",
            json!({ "dir": "club", "whole_green": true, "angle": 12.0, "gust": "F3", "wind_from": 250.0, "people": 3 }),
        ),
        (
            "next",
            json!({ "k": 0.8, "mean": 3.0, "reduction": 50.0, "blocks": [3, 6], "cores": [1, 2], "trials": 100 }),
        ),
        (
            "next",
            json!({ "k_range": [0.5, 2.0], "mean": 3.0, "reduction": 70.0, "blocks": [4], "cores": [2], "trials": 100, "looks": [0.5, 1.0] }),
        ),
        (
            "pool",
            json!({ "files": ["pooled.csv"], "alpha": 0.05, "worthwhile": 50.0 }),
        ),
        (
            "stopline",
            json!({ "lower": 1.0, "upper": 3.0, "law": { "k": 0.8 } }),
        ),
        (
            "stopline",
            json!({ "kind": "iwao", "lower": 1.0, "upper": 3.0, "law": { "iwao": { "alpha": 0.5, "beta": 1.3 } } }),
        ),
        (
            "stopline",
            json!({ "kind": "green", "law": { "taylor": { "a": 1.5, "b": 1.2 } } }),
        ),
        (
            "stopline",
            json!({ "lower": 1.0, "upper": 3.0, "tally": 0, "law": { "k": 0.8 } }),
        ),
    ]
}

fn texts() -> Texts {
    let rows = (0..36).map(|i| format!("{};{};{};{}\n", i % 6, i / 6, (i * 7) % 11, i / 12));
    let places = format!("x;y;larvae;wet\n{}", rows.collect::<String>());
    let judged = "block,how,larvae\n1,U,4\n1,S,1\n2,S,0\n2,U,7\n3,U,3\n3,S,3\n4,S,2\n4,U,9\n";
    Texts::default()
        .with("outline.csv", example("demo-club/outline.csv"))
        .with("club/outline.csv", example("demo-club/outline.csv"))
        .with("club/trial.toml", super::trials::sheeted())
        .with("places.csv", places)
        .with("judged.csv", judged)
        .with(
            "pooled.csv",
            "trial,effect,se\na,-0.7,0.4\nb,-0.5,0.3\nc,-0.9,0.35\n",
        )
}

#[test]
fn requests_are_taken_as_they_are() {
    #[cfg(feature = "archive")]
    for request in of_archive() {
        let archive = archives::judged();
        assert!(archives::asked(&archive, request.clone()), "{request}");
    }
    for (name, request) in seeds() {
        assert!(taken(name, request.clone(), &texts()), "{name} {request}");
    }
}

/// Requests of an archive, which lies on a disk.
#[cfg(feature = "archive")]
fn of_archive() -> Vec<Value> {
    let mut add = archives::added();
    for (field, number) in [("alpha", 0.05), ("worthwhile", 50.0), ("core_area", 0.0092)] {
        add[field] = json!(number);
    }
    vec![
        add,
        json!({ "action": "describe", "month": 9 }),
        json!({ "action": "judge", "shard": "1/2" }),
    ]
}

#[test]
fn numbers_in_and_about_their_ranges_are_answered() {
    asked_beyond(ProptestConfig::default().cases / 8, 13);
}

#[cfg(feature = "archive")]
#[test]
fn numbers_of_archives_in_and_about_their_ranges_are_answered() {
    archives_asked_beyond(ProptestConfig::default().cases / 32, 13);
}

/// Asks so many requests with other numbers, and tells how many were taken.
pub(super) fn asked_beyond(cases: u32, seed: u32) -> u32 {
    let texts = texts();
    beyond(&seeds(), cases, seed, |name, request| {
        taken(name, request, &texts)
    })
}

/// The same of an archive; each request finds it as it was.
#[cfg(feature = "archive")]
pub(super) fn archives_asked_beyond(cases: u32, seed: u32) -> u32 {
    let seeds: Vec<(&str, Value)> = of_archive().into_iter().map(|r| ("archive", r)).collect();
    beyond(&seeds, cases, seed, |_, request| {
        archives::asked(&archives::judged(), request)
    })
}

/// Puts other numbers into so many requests.
fn beyond(
    seeds: &[(&str, Value)],
    cases: u32,
    seed: u32,
    taken: impl Fn(&str, Value) -> bool,
) -> u32 {
    let pick = prop_oneof![
        (any::<bool>(), any::<bool>()).prop_map(|(most, beyond)| Pick::End(most, beyond)),
        (0.0..1.0).prop_map(Pick::Between),
        any::<Index>().prop_map(Pick::Wild),
    ];
    let numbers = prop::collection::vec((any::<Index>(), pick), 1..4);
    let asked = (any::<Index>(), numbers);
    let answered = std::cell::Cell::new(0);
    runner(cases, seed)
        .run(&asked, |(which, numbers)| {
            let (name, mut request) = seeds[which.index(seeds.len())].clone();
            let ranges: Vec<Range> = of_command(name);
            for (range, pick) in &numbers {
                let range = ranges[range.index(ranges.len())];
                put(&mut request, range, number(&range, pick));
            }
            let shown = format!("{name} {request}");
            let was = timed("requests", &shown, || taken(name, request));
            answered.set(answered.get() + u32::from(was));
            Ok(())
        })
        .unwrap();
    answered.get()
}

/// Ranges of the fields of a command; what is reckoned from several is no field.
fn of_command(name: &str) -> Vec<Range> {
    let of = |range: &&Range| range.home.split(", ").any(|home| home == name);
    let fields = RANGES.iter().filter(of);
    let fields = fields.flat_map(|range| range.name.split(", ").map(|field| range.named(field)));
    fields.filter(|range| !range.name.contains(' ')).collect()
}

/// The number that was picked.
fn number(range: &Range, pick: &Pick) -> f64 {
    let (start, end) = (range.start(), range.end().min(1e12));
    match pick {
        Pick::End(false, false) => start,
        Pick::End(true, false) => end,
        Pick::End(false, true) => start - start.abs().mul_add(1e-6, 1e-9),
        Pick::End(true, true) => end + end.abs().mul_add(1e-6, 1.0),
        Pick::Between(share) => {
            let low = start.max(1e-6).ln();
            (low + share * (end.ln() - low)).exp()
        }
        Pick::Wild(which) => WILD[which.index(WILD.len())],
    }
}

/// Puts a number into a request; whole where it is whole or the field holds things that are counted.
fn put(request: &mut Value, range: Range, number: f64) {
    let whole = [
        "points",
        "permutations",
        "methods",
        "trials",
        "cores",
        "blocks",
        "tally",
        "month",
    ];
    let counted = whole.contains(&range.name);
    let lists =
        ["blocks", "looks"].contains(&range.name) || (range.name, range.home) == ("cores", "next");
    let number = if counted { number.round() } else { number };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast of a number that is too large or too small saturates"
    )]
    let value = if counted && number >= 0.0 {
        json!(number as u64)
    } else {
        json!(number)
    };
    let value = if lists { json!([value]) } else { value };
    let mut parts = range.name.split('.').peekable();
    let mut at = request;
    while let Some(part) = parts.next() {
        if parts.peek().is_none() {
            at[part] = value;
            return;
        }
        if !at[part].is_object() {
            at[part] = json!({});
        }
        at = &mut at[part];
    }
}
