//! Cells and lines beyond what anybody means.

use halfgreen::design::{Layout, Protocol, read_layout, read_protocol};
use halfgreen::intake::check_counts;
use halfgreen::store::Texts;
use serde_json::json;

use super::refused;
use crate::scratch::{LAYOUT, PROTOCOL};

fn protocol() -> Protocol {
    read_protocol("trial.toml", PROTOCOL).unwrap().protocol
}

fn layout() -> Layout {
    read_layout("layout.csv", LAYOUT, &[]).unwrap()
}

/// What the check says of counts, one text for each problem.
fn said(counts: &str) -> Vec<String> {
    let found = check_counts("counts.csv", counts, &protocol(), &layout())
        .result
        .problems;
    let shown = |p: &halfgreen::table::Problem| format!("{}: {}", p.place(), p.complaint);
    found.iter().map(shown).collect()
}

#[test]
fn a_stray_quotation_mark_is_told_with_both_of_its_places() {
    let counts = "plot,sample,occasion,count,note\n1,1,main,3,\n1,2,main,4,\"wet\n2,1,main,5,\n2,2,main,6,\n3,1,main,7,\"\n3,2,main,1,\n";
    let said = said(counts);
    assert!(said[0].starts_with("counts.csv:3:5"), "{said:?}");
    assert!(
        said[0].contains("opens on line 3 and closes on line 6"),
        "{said:?}"
    );
    let table = "block,how,larvae,note\n1,U,4,\n1,S,1,\"a\n2,U,3,\n2,S,0,b\"\n3,U,9,\n3,S,2,\n";
    let texts = Texts::default().with("t.csv", table);
    for (name, request) in [
        (
            "judge",
            json!({ "counts": "t.csv", "count": "larvae", "treatment": "how", "control": "U" }),
        ),
        ("describe", json!({ "file": "t.csv", "count": "larvae" })),
    ] {
        let found = refused(name, request, &texts).errors[0].to_string();
        assert!(
            found.contains("opens on line 3 and closes on line 5"),
            "{found}"
        );
    }
}

#[test]
fn what_stands_under_no_heading_is_said() {
    let said = said("plot,sample,occasion,count,\n1,1,main,3,\n1,2,main,4,77\n");
    assert!(
        said.iter()
            .any(|s| s.starts_with("counts.csv:3:5") && s.contains("no heading")),
        "{said:?}"
    );
}

#[test]
fn treatments_that_nobody_can_tell_apart_are_refused() {
    for (other, words) in [("c", "capitals alone"), ("C\u{200b}", "nobody sees")] {
        let table = format!("how,larvae\nU,4\nC,1\nU,3\n{other},0\n");
        let texts = Texts::default().with("t.csv", table);
        let request =
            json!({ "counts": "t.csv", "count": "larvae", "treatment": "how", "control": "U" });
        let found = refused("judge", request, &texts).errors[0].to_string();
        assert!(
            found.starts_with("t.csv:5:1") && found.contains(words),
            "{found}"
        );
    }
}

#[test]
fn a_year_that_nobody_plans_for_is_refused() {
    let said = said("plot,sample,occasion,date,count\n1,1,main,3000-06-01,3\n");
    assert!(
        said[0].contains("the year 3000") && said[0].contains("so far ahead"),
        "{said:?}"
    );
}

#[test]
fn plots_without_length_and_places_without_end_are_refused() {
    for (sound, beyond, column) in [
        (",4,2,0\n2", ",0,2,0\n2", 8),
        (",4,2,0\n2", ",-4,2,0\n2", 8),
        (",4,2,0\n2", ",4,1e308,0\n2", 9),
        ("U,2,1", "U,1e308,1", 6),
    ] {
        let text = LAYOUT.replacen(sound, beyond, 1);
        let found = read_layout("layout.csv", &text, &[]).unwrap_err();
        assert_eq!(found.place, format!("layout.csv:2:{column}"), "{found}");
    }
    for cell in ["1e308", "-1e308"] {
        let table = format!("x,y,larvae,wet\n{cell},0,3,1\n1,0,4,2\n0,1,0,3\n");
        let texts = Texts::default().with("t.csv", table);
        let request = json!({ "counts": "t.csv", "x": "x", "y": "y", "count": "larvae" });
        let found = refused("hotspots", request, &texts).errors[0].to_string();
        assert!(found.contains(&format!("{cell} is not from")), "{found}");
        let table = format!("x,y,larvae,wet\n0,0,3,{cell}\n1,0,4,2\n0,1,0,3\n");
        let texts = Texts::default().with("t.csv", table);
        let request =
            json!({ "counts": "t.csv", "x": "x", "y": "y", "count": "larvae", "with": "wet" });
        let found = refused("hotspots", request, &texts).errors[0].to_string();
        assert!(found.contains(&format!("{cell} is not from")), "{found}");
    }
}

#[test]
fn the_same_slip_on_a_thousand_lines_is_told_twenty_times_and_counted() {
    let rows: Vec<String> = (0..1000).map(|i| format!("1,{i},main,x{i}\n")).collect();
    let said = said(&format!("plot,sample,occasion,count\n{}", rows.concat()));
    assert_eq!(said.len(), 21);
    assert!(said[20].contains("980 more like these"), "{}", said[20]);
}

#[test]
fn tables_larger_than_any_are_refused_before_they_are_kept() {
    let long = format!("larvae\n{}\n", "1".repeat(40_000));
    let wide = format!("larvae{}\n1\n", ",a".repeat(300));
    let tall = format!("larvae\n{}", "1\n".repeat(6_500_000));
    for (table, words) in [
        (long, "40000 characters"),
        (wide, "301 columns"),
        (tall, "6500000 rows"),
    ] {
        let texts = Texts::default().with("t.csv", table);
        let found = refused(
            "describe",
            json!({ "file": "t.csv", "count": "larvae" }),
            &texts,
        );
        let found = found.errors[0].to_string();
        assert!(found.contains(words) && found.len() < 400, "{found}");
    }
}

#[test]
fn minus_nothing_is_answered_with_a_count() {
    let said = said("plot,sample,occasion,count\n1,1,main,-0\n");
    assert!(said[0].contains("Write 0."), "{said:?}");
}

/// A table has no protocol in which a kind of design could be mended.
#[test]
fn a_square_too_large_to_be_drawn_is_refused_in_the_words_of_its_table() {
    let cells = (0..144).map(|i| (i / 12, i % 12));
    let rows = cells.map(|(r, c)| format!("T{},{r},{c},{}\n", (r + c) % 12, (r * c) % 5));
    let table = format!("how,row,col,larvae\n{}", rows.collect::<String>());
    let texts = Texts::default().with("t.csv", table);
    let request = json!({ "counts": "t.csv", "count": "larvae", "treatment": "how", "control": "T0", "row": "row", "column": "col" });
    let found = refused("judge", request, &texts).errors[0].to_string();
    assert!(
        found.contains("rows and columns") && !found.contains("trial.toml"),
        "{found}"
    );
    assert!(found.contains("--not-randomised"), "{found}");
}
