//! A trial that cannot tell yet: one size for next season, whoever is asked, and laid out on the trial's own ground.

use std::sync::LazyLock;

use serde_json::{Value, json};

use super::agreement::check;
use super::{Told, Trial, Unit};

/// Clumped counts, somewhat fewer under sheets.
fn unclear(unit: &Unit<'_>) -> u64 {
    let clump = [0, 7, 2, 12, 1, 4, 0, 9, 3][((unit.plot * 5 + unit.sample * 2) % 9) as usize];
    if unit.treatment == "U" {
        clump + 1
    } else {
        clump / 2
    }
}

/// The trial on a green that holds little more than it, and what `next` says of it as a user asks.
static OPEN: LazyLock<(Told, Value)> = LazyLock::new(|| {
    let mut trial = Trial::paired(unclear).with("blocks = 8", "blocks = 5");
    trial.files = vec![("t/outline.csv", "x_m,y_m\n0,0\n20,0\n20,10\n0,10\n")];
    let told = trial.carried_out();
    let next = told.next(json!({ "dir": "t" })).unwrap();
    (told, next.result)
});

#[test]
fn one_size_for_all_who_ask() {
    let (told, next) = &*OPEN;
    assert_eq!(told.call(), "cannot-tell");
    assert_eq!(next["follows"]["step"], "same-question");
    check(told, Some(next), &["cannot hold a trial"]);
    // The table agrees: nothing cheaper with room stands as good enough, and the plan stands in it.
    let plan = &next["suggestion"]["plan"];
    let table = next["table"].as_array().unwrap();
    assert!(table.contains(plan));
    // The picture's words name the same plan.
    let power = &told.pages["power.svg"];
    let sentence = next["suggestion"]["sentence"].as_str().unwrap();
    let plan = sentence.split(':').next().unwrap();
    assert!(power.contains(plan), "{plan}");
}

/// What is suggested is laid out as `layout` would, and if it does not fit that is said with what would.
#[test]
fn a_plan_that_layout_refuses_is_not_suggested_without_saying_so() {
    let (told, next) = &*OPEN;
    let room = &next["suggestion"]["room"];
    let plan = &next["suggestion"]["plan"];
    let blocks = plan["blocks"].as_u64().unwrap();
    let laid = |protocol: &str| {
        let texts = told.texts.clone().with("t/trial.toml", protocol);
        let texts = without_counts(&texts);
        super::asked(
            "layout",
            json!({ "dir": "t", "seed": 1, "replace": true }),
            &texts,
        )
        .is_ok()
    };
    let sized = |blocks: u64| super::PAIRED.replace("blocks = 8", &format!("blocks = {blocks}"));
    assert_eq!(laid(&sized(blocks)), room["fits"].as_bool().unwrap());
    let most = room["most_blocks"].as_u64().unwrap();
    assert!(laid(&sized(most)) && !laid(&sized(most + 1)), "{most}");
    for cell in next["table"].as_array().unwrap() {
        let blocks = cell["blocks"].as_u64().unwrap();
        assert_eq!(cell["fits"].as_bool().unwrap(), blocks <= most, "{cell}");
    }
    let sentence = next["suggestion"]["sentence"].as_str().unwrap();
    if room["fits"] == false {
        assert!(sentence.contains("does not fit"), "{sentence}");
        if let Some(plot) = room["smaller_plots"].as_object() {
            let smaller = sized(blocks)
                .replace(
                    "length_m = 3.0",
                    &format!("length_m = {}", plot["length_m"]),
                )
                .replace("width_m = 2.0", &format!("width_m = {}", plot["width_m"]));
            assert!(laid(&smaller), "{plot:?}");
        }
        assert!(sentence.contains("another green"), "{sentence}");
        assert!(
            told.members().contains("There is no room for so many"),
            "{}",
            told.members()
        );
    }
}

/// The trial's texts as they were before anything was counted or drawn.
fn without_counts(texts: &halfgreen::store::Texts) -> halfgreen::store::Texts {
    use halfgreen::store::Sources;
    let kept = ["t/trial.toml", "t/outline.csv"];
    let mut bare = halfgreen::store::Texts::default();
    for name in kept {
        bare.put(name, texts.text(std::path::Path::new(name)).unwrap());
    }
    bare
}

/// The same counts on a green with room for hundreds: the size stays, and there is room.
#[test]
fn a_large_green_has_room() {
    let large = "x_m,y_m\n0,0\n200,0\n200,200\n0,200\n";
    let (told, _) = &*OPEN;
    let texts = told.texts.clone().with("t/outline.csv", large);
    let request = json!({ "dir": "t", "trials": 50, "blocks": [40], "cores": [4] });
    let next = super::asked("next", request, &texts).unwrap().result;
    assert_eq!(
        next["suggestion"]["room"]["fits"], true,
        "{}",
        next["suggestion"]
    );
}

/// Where it would take more than any club lays out, plans are looked at up to three times the room, and that is said.
#[test]
fn what_no_ground_holds_is_said() {
    let (told, _) = &*OPEN;
    let request = json!({ "dir": "t", "trials": 50, "cores": [1], "reduction": 10 });
    let next = super::asked("next", request, &told.texts).unwrap().result;
    assert_eq!(next["suggestion"]["reached"], false);
    let most = next["suggestion"]["room"]["most_blocks"].as_u64().unwrap();
    let table = next["table"].as_array().unwrap();
    let largest = table
        .iter()
        .map(|c| c["blocks"].as_u64().unwrap())
        .max()
        .unwrap();
    assert!(largest > most && largest <= 6 * most, "{largest} {most}");
    let sentence = next["suggestion"]["sentence"].as_str().unwrap();
    assert!(
        sentence.starts_with("No plan in the table") && sentence.contains("by formula"),
        "{sentence}"
    );
}

/// Prices of the protocol are those of the plan.
#[test]
fn prices_of_the_protocol_count() {
    let (told, _) = &*OPEN;
    let priced = super::PAIRED.replace("blocks = 8", "blocks = 5")
        + "\n[cost]\nplot = 10\ncore = 2\nperson_hour = 20\ncurrency = \"GBP\"\n";
    let texts = told.texts.clone().with("t/trial.toml", priced.as_str());
    let request = json!({ "dir": "t", "trials": 50, "blocks": [6], "cores": [2] });
    let answer = super::asked("next", request.clone(), &texts).unwrap();
    // Twelve plots at 10 and 24 cores at 2.
    assert_eq!(answer.result["suggestion"]["plan"]["cost"], 168.0);
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.code == "hours-not-counted")
    );
    assert!(answer.warnings.iter().all(|w| w.code != "cost-not-priced"));
    // Half an hour a plot lets the hours count: six hours at 20.
    let mut timed = request;
    timed["minutes_plot"] = json!(30.0);
    let answer = super::asked("next", timed, &texts).unwrap();
    assert_eq!(answer.result["suggestion"]["plan"]["cost"], 288.0);
}
