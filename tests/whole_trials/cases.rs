//! The twelve trials, each with what its own pages must and must not say.

use serde_json::{Value, json};

use super::agreement::check;
use super::{GREEN, Told, Trial, Unit, quick};

/// Few under a sheet or a method, many without.
fn fewer(unit: &Unit<'_>) -> u64 {
    let many = 6 + (unit.plot * 7 + unit.sample * 3) % 5;
    if unit.treatment == "U" {
        many
    } else {
        unit.plot % 2
    }
}

fn more(unit: &Unit<'_>) -> u64 {
    let few = (unit.plot + unit.sample) % 2;
    if unit.treatment == "U" {
        few
    } else {
        9 + unit.plot % 4
    }
}

/// What `next` answers, checked with the pages.
fn agreed(told: &Told, never: &[&str]) -> Value {
    let next = told.next(quick()).unwrap();
    check(told, Some(&next.result), never);
    next.result
}

fn blocks(trial: Trial<'_>) -> Trial<'_> {
    trial
        .with("\"paired\"", "\"randomised-blocks\"")
        .with("length_m = 3.0", "length_m = 2.0")
}

const SLIT: &str = "[[treatment]]\ncode = \"S\"\nname = \"slit\"\nkind = \"aeration\"\n\n[design]";

#[test]
fn paired() {
    let told = Trial::paired(fewer).carried_out();
    assert_eq!(told.call(), "beat-the-control");
    let next = agreed(&told, &["cannot tell", "might tell"]);
    assert_eq!(next["follows"]["step"], "next-question");
    assert!(
        told.members()
            .contains("took 32 cores of turf from all of them"),
        "{}",
        told.members()
    );
    assert!(told.members().contains("whether it lasts"));
}

#[test]
fn randomised_blocks() {
    let told = blocks(Trial::paired(fewer)).carried_out();
    assert_eq!(told.call(), "beat-the-control");
    agreed(&told, &[" pairs"]);
}

#[test]
fn three_methods() {
    let counts = |unit: &Unit<'_>| match unit.treatment {
        "S" => 7 + (unit.plot * 5 + unit.sample) % 5,
        _ => fewer(unit),
    };
    let told = blocks(Trial::paired(counts))
        .with("[design]", SLIT)
        .with(
            "[design]",
            &SLIT.replace("\"S\"", "\"D\"").replace("slit", "drenched"),
        )
        .carried_out();
    let verdicts = told.results["result"]["verdicts"].as_array().unwrap();
    let calls: Vec<&str> = verdicts
        .iter()
        .map(|v| v["call"].as_str().unwrap())
        .collect();
    assert_eq!(calls[0], "beat-the-control");
    let next = told.next(quick()).unwrap().result;
    if calls.contains(&"cannot-tell") {
        // Only what is open is tried again.
        assert_eq!(next["follows"]["step"], "same-question");
        assert_eq!(next["follows"]["open"], json!(["S"]));
        assert_eq!(next["assumptions"]["request"]["methods"], 1);
        assert!(
            told.members()
                .contains("Next season: Only slit is still open."),
            "{}",
            told.members()
        );
    }
    check(&told, None, &[]);
}

/// Sheeting and slitting, each with and without the other.
pub(super) fn of_two_factors() -> Trial<'static> {
    let factors = "[[factor]]\nname = \"sheeting\"\nkind = \"covering\"\nlevels = [\"none\", \"one night\"]\ncodes = [\"C\"]\n\n\
                   [[factor]]\nname = \"slitting\"\nkind = \"aeration\"\nlevels = [\"none\", \"slit\"]\ncodes = [\"S\"]\n\n[design]";
    let counts = |unit: &Unit<'_>| {
        let many = 8 + (unit.plot * 7 + unit.sample) % 5;
        if unit.treatment.contains('C') {
            1
        } else {
            many
        }
    };
    let trial = blocks(Trial::paired(counts));
    let start = trial.protocol.find("[[treatment]]").unwrap();
    let end = trial.protocol.find("[design]").unwrap();
    let named = trial.protocol[start..end].to_owned() + "[design]";
    trial.with(&named, factors)
}

#[test]
fn factorial() {
    let told = of_two_factors().carried_out();
    check(&told, None, &[]);
    assert!(told.next(quick()).is_ok());
}

/// Nights in order, every plot counted on each.
#[test]
fn crossover() {
    let nights = "name = \"night-1\"\nrole = \"main\"\ndate = 2026-09-24\n\n[[occasion]]\nname = \"night-2\"\nrole = \"main\"\ndate = 2026-09-26";
    let mut trial = Trial::paired(fewer)
        .with("\"paired\"", "\"crossover\"")
        .with(
            "name = \"main\"\nrole = \"main\"\ndate = 2026-09-24",
            nights,
        );
    trial.occasions = vec!["night-1", "night-2"];
    let told = trial.carried_out();
    assert_eq!(told.call(), "beat-the-control");
    let next = agreed(&told, &[]);
    // Every plot gives each treatment a turn.
    let suggestion = &next["suggestion"];
    assert_eq!(suggestion["room"]["plots"], suggestion["plan"]["blocks"]);
}

#[test]
fn split_plot() {
    let groups = "kind = \"split-plot\"\nwhole_plots = [[\"U\", \"C\"], [\"S\", \"D\"]]";
    let told = Trial::paired(fewer)
        .with("[design]", SLIT)
        .with(
            "[design]",
            &SLIT
                .replace("\"S\"", "\"D\"")
                .replace("slit", "slit and covered"),
        )
        .with("kind = \"paired\"", groups)
        .with("length_m = 3.0", "length_m = 2.0")
        .carried_out();
    check(&told, None, &[]);
    assert!(told.next(quick()).is_ok());
}

#[test]
fn several_greens() {
    let greens = "[[green]]\nname = \"ninth\"\noutline = \"outline.csv\"\nblocks = 4\n\n\
                  [[green]]\nname = \"tenth\"\noutline = \"tenth.csv\"\nblocks = 4\n\n[plot]";
    let mut trial = Trial::paired(fewer).with("[plot]", greens);
    trial.files.push(("t/tenth.csv", GREEN));
    let told = trial.carried_out();
    agreed(&told, &["On this green,", "on the green and"]);
    assert!(told.members().contains("on these greens"));
}

#[test]
fn all_zeros() {
    let told = Trial::paired(|_| 0).carried_out();
    assert_eq!(told.call(), "cannot-tell");
    check(
        &told,
        None,
        &[
            "differ so much from place to place",
            "might tell",
            "plan in the table",
        ],
    );
    assert!(
        told.members().contains("Nothing was found in any plot"),
        "{}",
        told.members()
    );
    assert!(told.report().contains("No size can be suggested"));
    let refused = told.next(quick()).unwrap_err();
    assert!(
        refused.errors[0].what.contains("nothing was found"),
        "{:?}",
        refused.errors
    );
    // Figures of other ground stand in.
    let other =
        json!({ "dir": "t", "mean": 3.0, "k": 1.0, "trials": 50, "blocks": [8], "cores": [2] });
    assert!(told.next(other).is_ok());
}

#[test]
fn did_worse() {
    let told = Trial::paired(more).carried_out();
    assert_eq!(told.call(), "did-worse");
    let next = agreed(&told, &["worked", "whether it lasts"]);
    assert_eq!(next["follows"]["step"], "no-larger-trial");
}

#[test]
fn more_is_better() {
    let told = Trial::paired(more)
        .with(
            "name = \"larvae in cores\"",
            "name = \"larvae on the surface at dawn\"\nbetter = \"more\"",
        )
        .with("core_diameter_mm = 108", "area_m2 = 0.25")
        .with(
            "worthwhile_reduction_percent",
            "worthwhile_increase_percent",
        )
        .carried_out();
    assert_eq!(told.call(), "beat-the-control");
    check(
        &told,
        None,
        &[
            "turf in",
            "cores were",
            "cores summed",
            "thins the larvae",
            "of turf",
        ],
    );
    let members = told.members();
    assert!(members.contains("looked at 32 marked squares"), "{members}");
    assert!(members.contains("we need not ask it again"), "{members}");
    let refused = told.next(quick()).unwrap_err();
    assert!(refused.errors[0].what.contains("an increase"));
}

#[test]
fn readings() {
    let mut trial = Trial::paired(|unit| {
        if unit.treatment == "U" {
            6 + unit.plot % 2
        } else {
            4 + unit.sample % 2
        }
    })
    .with(
        "name = \"larvae in cores\"",
        "name = \"colour\"\nkind = \"score\"",
    )
    .with("core_diameter_mm = 108\n", "")
    .with(
        "worthwhile_reduction_percent = 50",
        "worthwhile_difference = 1",
    );
    trial.column = "reading";
    let told = trial.carried_out();
    check(&told, None, &["cores were", "cores of", "larvae found"]);
    let refused = told.next(quick()).unwrap_err();
    assert!(refused.errors[0].what.contains("takes readings"));
}

/// Only what happened before the count, and touches cover, changes sides.
#[test]
fn events() {
    let plain = Trial::paired(fewer).carried_out();
    let covered = plain.results["result"]["plots"].as_array().unwrap();
    let of = |treatment: &str| -> Vec<&str> {
        let mut plots: Vec<&str> = covered
            .iter()
            .filter(|p| p["treatment"] == treatment)
            .map(|p| p["plot"].as_str().unwrap())
            .collect();
        plots.sort_unstable();
        plots
    };
    let (sheeted, bare) = (of("C"), of("U"));
    let text = format!(
        "plot,date,event,covered_fraction,note\n{},2026-09-20,blown off,,gale\n{},2026-12-24,blown off,0,\n{},2026-09-21,flood,,\n",
        sheeted[0], sheeted[1], bare[0]
    );
    let told = plain.again_with("t/events.csv", &text);
    agreed(&told, &[]);
    let changed = told.results["result"]["as_treated"]["plots"]
        .as_array()
        .unwrap();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert_eq!(changed[0]["plot"], sheeted[0]);
    let report = told.report();
    for words in [
        "dated after the plot was counted",
        "(flood, 2026-09-21)",
        "Read of events.csv",
    ] {
        assert!(report.contains(words), "{words}: {report}");
    }
    assert!(
        told.members()
            .contains(&format!("Plot {} did not stay", sheeted[0]))
    );
    // A word that says nothing is not let by.
    let wrong = text.replace("flood", "flod");
    let texts = told.texts.clone().with("t/events.csv", wrong.as_str());
    let refused = super::asked("report", json!({ "dir": "t" }), &texts).unwrap_err();
    let said = refused.errors[0].to_string();
    assert!(
        said.contains("events.csv:4:3") && said.contains("`flood`"),
        "{said}"
    );
}
