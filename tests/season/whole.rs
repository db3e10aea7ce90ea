//! The example of the invented club, with its trial, from the file to the pages.

use crate::scratch::{Scratch, example};

/// The example beside the demonstration's trial.
fn example_season() -> Scratch {
    let scratch = Scratch::club();
    let text = example("season/season.toml");
    let text = text
        .replace("../demo-club/outline.csv", "club/outline.csv")
        .replace("../demo-club", "club");
    scratch.put("season.toml", text);
    scratch
}

/// The trial's own ratio and call, larvae of its control, the pages beside the file.
#[test]
fn the_example_goes_from_trial_to_pages() {
    let scratch = example_season();
    let run = scratch.run(&["season", "season.toml", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let plan = run.json()["result"].take();
    let judged = scratch.run(&["judge", "club", "--json"]).json()["result"].take();
    assert_eq!(plan["effect"]["ratio"], judged["contrasts"][0]["ratio"]);
    assert_eq!(plan["effect"]["call"], judged["verdicts"][0]["call"]);
    assert_eq!(
        plan["greens"][0]["per_m2"]["estimate"],
        judged["means"][0]["marginal_mean"]
    );
    assert_eq!(
        plan["greens"][0]["per_m2"]["high"],
        judged["means"][0]["high"]
    );
    let page = scratch.read("season/season.html");
    for part in [
        "Which greens on which night",
        "What would change the answer",
        "Cautions",
        "for 1 000 removed",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(
        !page.contains("http://")
            || page.matches("http://").count() == page.matches("http://www.w3.org").count()
    );
    let table = scratch.read("season/plan.csv");
    assert!(
        table
            .starts_with("night,date,people,green,piece,of_pieces,area_m2,sheet_m2,person_hours\n")
    );
    assert!(table.lines().count() > 5 && scratch.read("season/plan.svg").contains("</svg>"));
    // No night holds more than there is.
    for night in plan["nights"].as_array().unwrap() {
        assert!(
            night["sheet_m2"].as_f64().unwrap() <= 620.0 + 1e-6,
            "{night}"
        );
        assert!(
            night["hours"].as_f64().unwrap() <= night["hours_available"].as_f64().unwrap() + 1e-6
        );
    }
    // The same again replaces its own files; a changed one is not touched.
    assert_eq!(scratch.run(&["season", "season.toml"]).code(), Some(0));
    scratch.put("season/plan.csv", "mine\n");
    let run = scratch.run(&["season", "season.toml"]);
    assert_eq!(run.code(), Some(1), "{}", run.out());
    assert_eq!(scratch.read("season/plan.csv"), "mine\n");
}

/// A night on which all greens fit covers all, earliest first; dates are told.
#[test]
fn nights_with_dates_are_told_by_them() {
    let scratch = example_season();
    let text = scratch.read("season.toml");
    let night = |d: u8| format!("[[night]]\ndate = 2027-10-0{d}\npeople = 4\nhours = 4\n\n");
    let nights = [1, 2, 3, 4, 5, 6].map(night).concat();
    let from = text.find("[nights]").unwrap();
    let to = text.find("# Your own rate").unwrap();
    scratch.put(
        "season.toml",
        format!("{}{nights}{}", &text[..from], &text[to..]),
    );
    let run = scratch.run(&["season", "season.toml"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    assert!(
        run.out().contains("1 to 3 (2027-10-01 to 2027-10-03)"),
        "{}",
        run.out()
    );
    assert!(scratch.read("season/plan.csv").contains("2027-10-06"));
}
