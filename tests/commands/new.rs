//! `new`.

use crate::scratch::Scratch;

#[test]
fn a_starter_folder_holds_together() {
    let scratch = Scratch::empty();
    let run = scratch.run(&["new", "green"]);
    assert_eq!((run.code(), run.err().as_str()), (Some(0), ""));
    assert!(
        run.out().contains("halfgreen layout green"),
        "{}",
        run.out()
    );
    assert!(scratch.path("green/trial.toml").exists());
    assert!(scratch.path("green/outline.csv").exists());
}

#[test]
fn nothing_is_overwritten_and_nothing_is_left_behind() {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", "[trial]\n");
    let run = scratch.run(&["new", "."]);
    assert_eq!((run.code(), run.out().as_str()), (Some(1), ""));
    assert!(
        run.err().contains("trial.toml: a file of this name"),
        "{}",
        run.err()
    );
    assert_eq!(scratch.names(), ["trial.toml"]);
}

#[test]
fn a_green_that_was_measured_gets_no_second_outline() {
    for outline in ["outline.csv", "outline.geojson", "outline.gpx"] {
        let scratch = Scratch::empty();
        scratch.put(outline, "as measured");
        let run = scratch.run(&["new", "."]);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        let left = format!("{outline} is there already and is left as it is");
        assert!(run.out().contains(&left), "{}", run.out());
        let names = [outline, "trial.toml", "written-by-halfgreen.toml"];
        assert_eq!(scratch.names(), names);
        assert_eq!(scratch.read(outline), "as measured");
    }
}

#[test]
fn the_document_has_the_agreed_keys() {
    let scratch = Scratch::empty();
    let document = scratch
        .run(&["new", "green", "--json", "--seed", "3"])
        .json();
    let keys: Vec<&String> = document.as_object().unwrap().keys().collect();
    assert_eq!(keys, ["command", "halfgreen", "result", "seed", "warnings"]);
    assert_eq!(document["command"], "new");
    assert_eq!(document["halfgreen"], env!("CARGO_PKG_VERSION"));
    assert_eq!(document["result"]["files"].as_array().unwrap().len(), 2);
}

#[test]
fn wrong_use_ends_with_2_and_help_with_0() {
    let scratch = Scratch::empty();
    for arguments in [
        &["chek", "x"][..],
        &["new"],
        &["new", "x", "--threads", "0"],
        &[],
    ] {
        assert_eq!(scratch.run(arguments).code(), Some(2), "{arguments:?}");
    }
    for arguments in [&["--help"][..], &["--version"], &["check", "--help"]] {
        assert_eq!(scratch.run(arguments).code(), Some(0), "{arguments:?}");
    }
    assert_eq!(scratch.names(), Vec::<String>::new());
}
