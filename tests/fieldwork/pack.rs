//! The pages to print.

use super::{GREEN, ends, packed, plain};
use crate::report::markup;
use crate::scratch::Scratch;

/// The sheets of a page.
fn sheets(page: &str) -> Vec<&str> {
    page.split("<section class=\"sheet\"").skip(1).collect()
}

fn pages(scratch: &Scratch) -> Vec<(String, String)> {
    let files = scratch.files().into_iter();
    let pages = files.filter(|(name, _)| {
        name.starts_with("pack/") && ends(name, "html") && !name.contains("tally")
    });
    pages
        .map(|(name, content)| (name, String::from_utf8(content).unwrap()))
        .collect()
}

/// Every sheet of every page says which trial, which seal, which page of how many.
#[test]
fn every_sheet_names_trial_seal_and_page() {
    let scratch = packed(&plain(), GREEN);
    let seal = scratch.read("seal.toml");
    let digest = seal
        .lines()
        .find_map(|l| l.strip_prefix("digest = \""))
        .unwrap();
    let shown = format!(
        "seal {} {} {} {}",
        &digest[..4],
        &digest[4..8],
        &digest[8..12],
        &digest[12..16]
    );
    let pages = pages(&scratch);
    assert_eq!(pages.len(), 3);
    for (name, page) in &pages {
        markup::page(name, page);
        let sheets = sheets(page);
        for (i, sheet) in sheets.iter().enumerate() {
            assert!(sheet.contains(&shown), "{name}");
            assert!(sheet.contains(">Two pairs</p>"), "{name}");
            assert!(
                sheet.contains(&format!("page {} of {}<", i + 1, sheets.len())),
                "{name}"
            );
        }
    }
}

/// A line with a box and a ring for every core of every plot on every occasion.
#[test]
fn every_core_has_a_box_and_a_ring() {
    let scratch = packed(&plain(), GREEN);
    let page = scratch.read("pack/sheets.html");
    let on_lines: String = page.split("<table class=\"lines\">").skip(1).collect();
    assert_eq!(on_lines.matches("class=\"box\"").count(), 16);
    assert_eq!(on_lines.matches("class=\"ring\"").count(), 16);
    for words in [
        "How to count",
        "Take care",
        "Larva",
        "Pupa",
        "Empty case",
        "The walk",
        ">cup</text>",
        ">wet</text>",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(
        sheets(&page)[0].contains("Take care"),
        "instructions and cautions stand on one side"
    );
}

/// Whoever holds the hidden set cannot know which plot got what: no name of a method beside a plot, no pattern, no key.
#[test]
fn the_hidden_set_tells_no_treatment() {
    let scratch = packed(&plain(), GREEN);
    let shown = scratch.read("pack/sheets.html");
    let hidden = scratch.read("pack/sheets-hidden.html");
    for sign in ["zebra", "quagga", "<pattern", ", treatment "] {
        assert!(shown.contains(sign), "{sign}");
        assert!(!hidden.contains(sign), "{sign}");
    }
    assert!(shown.contains(" tally.html ") && hidden.contains(" tally-hidden.html "));
    assert!(
        !hidden.contains(" tally.html "),
        "the other page shows treatments"
    );
    assert_eq!(sheets(&shown).len(), sheets(&hidden).len());
    assert!(!hidden.contains("nothing is drawn yet") && !hidden.contains("not drawn yet"));
}

/// In squares that a sheet is lifted from animals go on coming up: three boxes to a line.
#[test]
fn late_comers_have_boxes_of_their_own() {
    let surface = plain()
        .replace("core_diameter_mm = 100", "area_m2 = 0.25")
        .replace("larvae in cores", "larvae on the turf");
    let page = packed(&surface, GREEN).read("pack/sheets.html");
    let on_lines: String = page.split("<table class=\"lines\">").skip(1).collect();
    assert_eq!(on_lines.matches("class=\"box\"").count(), 3 * 16);
    assert!(
        page.contains(">30 min</th>") && page.contains("newly come up 15 and 30 minutes after")
    );
}

/// In a crossover a plot's line names what it gets that night.
#[test]
fn nights_have_their_own_treatment() {
    let nights =
        "name = \"first\"\nrole = \"main\"\n\n[[occasion]]\nname = \"second\"\nrole = \"main\"";
    let crossed = plain()
        .replace("\"paired\"", "\"crossover\"")
        .replace("[[occasion]]\nname = \"before\"\nrole = \"before\"\n\n", "")
        .replace("name = \"main\"\nrole = \"main\"", nights);
    let scratch = packed(&crossed, GREEN);
    let layout = scratch.read("layout.csv");
    let page = scratch.read("pack/sheets.html");
    let mut looked_at = 0;
    for line in layout.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (plot, night, treatment) = (cells[0], cells[2], cells[4]);
        let name = if treatment == "U" { "quagga" } else { "zebra" };
        let title = if night == "1" {
            "<h2>first</h2>"
        } else {
            "<h2>second</h2>"
        };
        let sheet = sheets(&page)
            .into_iter()
            .find(|s| s.contains(title))
            .unwrap();
        let cell = format!(">{plot}<small><b>{treatment}</b> {name}</small>");
        assert!(sheet.contains(&cell), "{title}: {cell}");
        looked_at += 1;
    }
    assert_eq!(looked_at, 8);
}

/// Every green has its own marks, map and walk, and its name stands on them.
#[test]
fn several_greens_have_their_own_pages() {
    let greens = "[[green]]\nname = \"ninth\"\noutline = \"ninth.csv\"\n\n[[green]]\nname = \"tenth\"\noutline = \"tenth.csv\"\n\n[plot]";
    let scratch = Scratch::empty();
    scratch.put("trial.toml", plain().replace("[plot]", greens));
    scratch.put("ninth.csv", GREEN);
    scratch.put("tenth.csv", crate::scratch::EDGE);
    for words in [["layout", ".", "--seed", "3"].as_slice(), &["pack", "."]] {
        let run = scratch.run(words);
        assert_eq!(run.code(), Some(0), "{}", run.err());
    }
    let pegs = scratch.read("pack/pegging.csv");
    assert!(pegs.starts_with("green,plot,peg,"));
    assert_eq!(pegs.matches(",mark P,").count(), 2);
    assert_eq!(pegs.lines().count(), 1 + 2 * 2 + 4 * 4);
    let page = scratch.read("pack/pegging.html");
    assert!(page.contains("<h2>Marks: ninth</h2>") && page.contains("<h2>Marks: tenth</h2>"));
    let page = scratch.read("pack/sheets.html");
    assert!(page.contains("<h2>Map: tenth</h2>") && page.contains("<h2>The walk: ninth</h2>"));
    for name in ["pack/map-ninth.svg", "pack/map-tenth.svg"] {
        assert!(scratch.path(name).is_file(), "{name}");
    }
}

/// The page that counts on a phone goes out with the rest, as the room that knows it makes it; readings have none.
#[test]
fn the_phone_page_is_in_the_pack() {
    let scratch = packed(&plain(), GREEN);
    let shown = scratch.read("pack/tally.html");
    let hidden = scratch.read("pack/tally-hidden.html");
    assert!(shown.contains("zebra") && !hidden.contains("zebra"));
    assert!(
        shown.starts_with("<!DOCTYPE html>") || shown.starts_with("<!doctype html>"),
        "{}",
        &shown[..40]
    );
    let scored = plain()
        .replace(
            "name = \"larvae in cores\"",
            "name = \"cover\"\nkind = \"cover\"",
        )
        .replace("core_diameter_mm = 100\n", "")
        .replace(
            "worthwhile_reduction_percent = 50",
            "worthwhile_difference = 5",
        );
    assert!(!packed(&scored, GREEN).path("pack/tally.html").exists());
}
