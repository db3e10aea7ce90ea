//! The example of the invented club, with its trial, from the file to the pages.

use std::fmt::Write as _;

use super::SEASON;
use crate::scratch::{EDGE, PROTOCOL, Scratch, example};

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

/// Four blocks of three plots: none, sheet, spikes; larvae in the one core of each plot.
const COUNTS: [[u32; 3]; 4] = [[14, 5, 12], [22, 6, 17], [17, 7, 18], [27, 6, 20]];

/// Sheet and other method both stand by the contrasts of one trial, and the method by its own.
#[test]
fn other_methods_of_the_trial_stand_beside_the_sheet() {
    let scratch = Scratch::empty();
    let protocol = PROTOCOL
        .replace(
            "\"paired\"\nblocks = 2",
            "\"randomised-blocks\"\nblocks = 4",
        )
        .replace("cores_per_plot = 2", "cores_per_plot = 1")
        .replace(
            "[design]",
            "[[treatment]]\ncode = \"S\"\nname = \"spiked\"\nkind = \"aeration\"\n\n[design]",
        );
    let mut layout =
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n".to_owned();
    let mut counts = "plot,sample,occasion,count\n".to_owned();
    for (block, found) in COUNTS.iter().enumerate() {
        for (place, (code, count)) in ["U", "C", "S"].into_iter().zip(found).enumerate() {
            let plot = 3 * block + place + 1;
            let (x, y) = (3 + 6 * block, 2 + 4 * place);
            writeln!(layout, "{plot},{},,,{code},{x},{y},4,2,0", block + 1).unwrap();
            writeln!(counts, "{plot},1,main,{count}").unwrap();
        }
    }
    scratch.put("trial/trial.toml", protocol);
    scratch.put("trial/layout.csv", layout);
    scratch.put("trial/counts.csv", counts);
    scratch.put("trial/outline.csv", EDGE);
    let season = SEASON
        .replace(
            "ratio = 0.4\nlow = 0.25\nhigh = 0.64",
            "trial = \"trial\"\ntreatment = \"C\"",
        )
        .replace("ratio = 0.8\nlow = 0.6\nhigh = 1.1", "treatment = \"S\"");
    scratch.put("s.toml", &season);
    let run = scratch.run(&["season", "s.toml", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let plan = run.json()["result"].take();
    let judged = scratch.run(&["judge", "trial", "--json"]).json()["result"].take();
    let left = |row: usize| judged["contrasts"][row]["ratio"].as_f64().unwrap();
    for (what, ratio) in [("all-greens", left(0)), ("method", left(1))] {
        let all = plan["options"].as_array().unwrap();
        let option = all.iter().find(|o| o["what"] == what).unwrap();
        let gone = option["removed"]["estimate"].as_f64().unwrap();
        assert!(
            (gone - 80_000.0 * (1.0 - ratio)).abs() < 1e-6,
            "{what}: {gone}"
        );
    }
    scratch.put("s.toml", season.replace("treatment = \"C\"\n", ""));
    let run = scratch.run(&["season", "s.toml"]);
    assert!(
        run.err().contains("the trial has several methods: C, S"),
        "{}",
        run.err()
    );
}
