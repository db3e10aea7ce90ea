//! Numbers, names and files beyond what anybody means: each is refused at the door, or said.
#![expect(
    clippy::disallowed_methods,
    reason = "the page of ranges is a file that a test reads"
)]

mod cells;

use std::path::Path;

use halfgreen::commands::{self, Refusal, Surroundings};
use halfgreen::ranges::page::page;
use halfgreen::store::Texts;
use serde_json::{Value, json};

/// The errors of a request on some texts.
fn refused(name: &str, request: Value, texts: &Texts) -> Refusal {
    let at = Surroundings::new(texts, "2026-09-08T16:30:00Z", 7);
    let shown = request.to_string();
    match commands::run(name, request, &at) {
        Err(refusal) => refusal,
        Ok(_) => panic!("{name} took {shown}"),
    }
}

/// `HALFGREEN_REWRITE=1` writes the page anew.
#[test]
fn the_page_of_ranges_is_that_of_the_table() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../notebooks-md/6-ranges.md");
    if std::env::var("HALFGREEN_REWRITE").is_ok() {
        std::fs::write(&file, page()).unwrap();
    }
    let written = std::fs::read_to_string(&file).unwrap();
    assert!(written == page(), "{} is not up to date", file.display());
}

/// Numbers that once made a command panic, run for ever or answer nonsense; each with the field that is named.
#[test]
fn numbers_beyond_their_range_are_refused_by_field_range_and_reason() {
    let outline = "x_m,y_m\n0,0\n20,0\n20,12\n0,12\n";
    let counts = "x,y,larvae,wet\n0,0,3,1\n1,0,4,2\n0,1,0,3\n1,1,2,4\n";
    let texts = Texts::default()
        .with("outline.csv", outline)
        .with("counts.csv", counts);
    let next = |field: &str, value: Value| {
        let mut request = json!({ "k": 1.0, "mean": 3.0, "reduction": 50.0 });
        request[field] = value;
        request
    };
    let stop = |law: Value| json!({ "lower": 1.0, "upper": 3.0, "law": law });
    let places = |field: &str, value: f64| {
        let mut request = json!({ "counts": "counts.csv", "x": "x", "y": "y", "count": "larvae", "outline": "outline.csv" });
        request[field] = json!(value);
        request
    };
    let judged = |alpha: f64| json!({ "counts": "counts.csv", "count": "larvae", "treatment": "wet", "control": "1", "alpha": alpha });
    let grid = |margin: f64| json!({ "outline": "outline.csv", "points": 9, "margin": margin });
    let cases = [
        ("judge", judged(1e-250), "alpha"),
        ("judge", judged(0.9), "alpha"),
        ("grid", grid(1e300), "margin"),
        ("hotspots", places("strip_length", 1e-300), "strip_length"),
        ("hotspots", places("strip_length", 0.001), "strip_length"),
        ("hotspots", places("lap", 1.999_999_9), "lap"),
        ("hotspots", places("direction", 1e308), "direction"),
        ("hotspots", places("permutations", 1e6), "permutations"),
        ("next", next("methods", json!(u64::MAX)), "methods"),
        ("next", next("mean", json!(1e308)), "mean"),
        ("next", next("mean", json!(1e9)), "mean"),
        ("next", next("k", json!(1e-300)), "k"),
        ("next", next("k_plot", json!(5e-324)), "k_plot"),
        ("next", next("power", json!(0.999_999_999_9)), "power"),
        ("next", next("alpha", json!(1e-250)), "alpha"),
        ("next", next("looks", json!([0.0])), "looks"),
        ("next", next("looks", json!([1.0, 0.5])), "looks"),
        ("next", next("trials", json!(1_000_000_000)), "trials"),
        ("next", next("missing", json!(0.99)), "missing"),
        ("next", next("cost_core", json!(1e300)), "cost_core"),
        ("next", next("blocks", json!([1001])), "blocks"),
        ("next", next("blocks", json!(vec![1000; 3])), "blocks"),
        ("stopline", stop(json!({ "k": 1e-4 })), "law.k"),
        (
            "stopline",
            stop(json!({ "iwao": { "alpha": 2.0, "beta": 1e308 } })),
            "law.iwao",
        ),
        (
            "stopline",
            json!({ "lower": 1.0, "upper": 3.0, "tally": u64::MAX }),
            "tally",
        ),
        (
            "stopline",
            json!({ "lower": 400.0, "upper": 410.0, "law": { "k": 0.05 }, "cores": 1000 }),
            "cores",
        ),
    ];
    for (name, request, field) in cases {
        let refusal = refused(name, request.clone(), &texts);
        let found = &refusal.errors[0];
        assert_eq!(found.field.as_deref(), Some(field), "{request}: {found}");
        let text = found.to_string();
        // Numbers are shown as they were written, not in hundreds of figures.
        assert!(text.len() < 600 && text.contains(": "), "{text}");
    }
}

/// A column cannot be two things.
#[test]
fn a_column_named_for_two_things_is_refused() {
    let texts = Texts::default().with("t.csv", "x,how\n1,U\n2,S\n3,U\n4,S\n");
    let judged = json!({ "counts": "t.csv", "count": "X", "treatment": "x", "control": "1" });
    let described = json!({ "file": "t.csv", "count": "x", "frequency": "x" });
    let mapped = json!({ "counts": "t.csv", "count": "x", "x": "x", "y": "how" });
    for (name, request, field) in [
        ("judge", judged, "treatment"),
        ("describe", described, "frequency"),
        ("hotspots", mapped, "y"),
    ] {
        let found = &refused(name, request, &texts).errors[0];
        let named = found.field.as_deref();
        assert!(named == Some(field) || named == Some("count"), "{found}");
        assert!(found.what.contains("already"), "{found}");
    }
}

/// Numbers of a protocol, each with its line.
#[test]
fn a_protocol_says_which_number_is_beyond_its_range_and_why() {
    let outline = "x_m,y_m\n0,0\n20,0\n20,12\n0,12\n";
    for (sound, beyond) in [
        ("area_m2 = 0.01", "area_m2 = 1e300"),
        ("area_m2 = 0.01", "area_m2 = 1e15"),
        ("blocks = 2", "blocks = 9223372036854775807"),
        ("cores_per_plot = 2", "cores_per_plot = 100000"),
        ("length_m = 4.0", "length_m = 1e-300"),
        ("width_m = 2.0", "width_m = -0.0"),
        (
            "worthwhile_reduction_percent = 50",
            "alpha = 1e-250\nworthwhile_reduction_percent = 50",
        ),
    ] {
        let text = crate::scratch::PROTOCOL.replace(sound, beyond);
        let texts = Texts::default()
            .with("trial.toml", text)
            .with("outline.csv", outline);
        let refusal = refused("layout", json!({ "dir": "." }), &texts);
        let found = refusal.errors[0].to_string();
        let written = beyond
            .lines()
            .next()
            .and_then(|l| l.split(" = ").nth(1))
            .unwrap();
        assert!(found.starts_with("trial.toml:"), "{found}");
        assert!(
            found.contains(&format!("is {written}, but must be")),
            "{found}"
        );
    }
}

/// A file that stands in itself many times over has thousands of faults.
#[test]
fn of_a_protocol_with_a_thousand_faults_the_first_are_told_and_the_rest_counted() {
    let slips = "[plot]\nlength_m = -1\nlenght = 3\n";
    let text = format!("{}{}", crate::scratch::PROTOCOL, slips.repeat(600));
    let texts = Texts::default()
        .with("trial.toml", text)
        .with("outline.csv", crate::scratch::EDGE);
    let refusal = refused("layout", json!({ "dir": "." }), &texts);
    assert_eq!(refusal.errors.len(), 51);
    let last = refusal.errors[50].to_string();
    assert!(last.contains("more faults follow"), "{last}");
}
