//! The files of a trial: protocol, layout, counts, readings, events, seal, results.

use halfgreen::design::read_protocol;
use halfgreen::store::Texts;
use serde_json::json;

use super::Door;
use super::tables::taken;
use crate::scratch::workbook::{sheet, workbook};
use crate::scratch::{EDGE, LAYOUT, PROTOCOL, example};
use crate::season::SEASON;

/// A cover plan as far as it is read.
const PLAN: &str = r#"{"result":{"cover_plan":[
{"strip":1,"lane":1,"green":null,"x_m":5.0,"y_m":1.9,"length_m":8.0,"width_m":1.8,"angle_deg":0.0,"area_m2":14.4,"laid":true},
{"strip":2,"lane":2,"green":null,"x_m":5.0,"y_m":3.7,"length_m":7.5,"width_m":1.8,"angle_deg":0.0,"area_m2":13.5,"laid":false}]}}"#;

/// The small trial with sheet, of two sorts, and a wind.
pub(super) fn sheeted() -> String {
    format!(
        "{PROTOCOL}
[sheet]
roll_length_m = 50.0
roll_width_m = 2.0
lap_m = 0.2
edge_m = 0.3
opaque = true
in_stock_m2 = 120
price_per_roll = 62.5

[[roll]]
name = \"wide\"
roll_length_m = 30.0
roll_width_m = 4.0
price_per_roll = 70

[wind]
from_deg = 225
"
    )
}

pub(super) const DOORS: [Door; 12] = [
    Door {
        name: "trial.toml",
        cost: 8,
        seeds: protocols,
        enter: protocol,
    },
    Door {
        name: "a season file",
        cost: 8,
        seeds: || vec![SEASON.to_owned()],
        enter: |text| {
            let texts = Texts::default().with("s.toml", text);
            taken("season", json!({ "file": "s.toml" }), &texts)
        },
    },
    Door {
        name: "layout.csv",
        cost: 4,
        seeds: || vec![LAYOUT.to_owned()],
        enter: |text| checked(&with("layout.csv", text)),
    },
    Door {
        name: "counts.csv",
        cost: 4,
        seeds: counts,
        enter: |text| checked(&with("counts.csv", text)),
    },
    Door {
        name: "a phone's counts put together with the trial's",
        cost: 8,
        seeds: || vec![PHONE.to_owned()],
        enter: |text| {
            let texts = with("phone.csv", text);
            taken(
                "check",
                json!({ "dir": ".", "files": ["phone.csv"] }),
                &texts,
            )
        },
    },
    Door {
        name: "the sheet of a workbook",
        cost: 8,
        seeds: || vec![sheet(COUNTS)],
        enter: |xml| {
            let texts = with("book.xlsx", "").with("book.xlsx", workbook(&[("counts", xml)]));
            taken(
                "check",
                json!({ "dir": ".", "files": ["book.xlsx"] }),
                &texts,
            )
        },
    },
    Door {
        name: "readings in counts.csv",
        cost: 4,
        seeds: || vec![READINGS.to_owned()],
        enter: |text| {
            let texts = with("trial.toml", &scored());
            checked(&texts.with("counts.csv", text))
        },
    },
    Door {
        name: "counts of a trial that is judged",
        cost: 40,
        seeds: counts,
        enter: |text| taken("judge", json!({ "dir": "." }), &with("counts.csv", text)),
    },
    Door {
        name: "sheet that is ordered",
        cost: 40,
        seeds: || vec![sheeted()],
        enter: |text| {
            let texts = with("trial.toml", text).with("outline.csv", EDGE);
            taken("order", json!({ "dir": ".", "whole_green": true }), &texts)
        },
    },
    Door {
        name: "a cover plan that is ordered",
        cost: 8,
        seeds: || vec![PLAN.to_owned()],
        enter: |text| {
            let texts = with("trial.toml", &sheeted())
                .with("outline.csv", EDGE)
                .with("plan.json", text);
            taken("order", json!({ "dir": ".", "plan": "plan.json" }), &texts)
        },
    },
    Door {
        name: "events.csv",
        cost: 40,
        seeds: || vec![EVENTS.to_owned()],
        enter: |text| taken("judge", json!({ "dir": "." }), &with("events.csv", text)),
    },
    Door {
        name: "an outline that is laid out on",
        cost: 8,
        seeds: || vec![example("demo-club/outline.csv")],
        enter: |text| {
            let texts = with("trial.toml", PROTOCOL).with("outline.csv", text);
            let bare = Texts::default()
                .with("trial.toml", PROTOCOL)
                .with("outline.csv", text);
            let laid_out = taken("layout", json!({ "dir": "." }), &bare);
            taken(
                "grid",
                json!({ "outline": "outline.csv", "points": 9 }),
                &texts,
            ) && laid_out
        },
    },
];

const COUNTS: &str = "plot,sample,occasion,date,stage,count,area_m2,note
1,1,main,2026-09-01,,4,0.01,
1,2,main,2026-09-01,,0,0.01,\"stone, small\"
2,1,main,2026-09-01,,1,,
2,2,main,2026-09-01,,0,,
3,1,main,2026-09-01,,3,,
3,2,main,,,2,,
4,1,main,,,9,,
4,2,main,,,5,,
";

const PHONE: &str =
    "plot,sample,occasion,date,stage,count,area_m2,note,minutes_after_lift,counted_at,counter
1,1,main,2026-09-01,,4,0.01,,0,2026-09-01T06:40:00+01:00,Anna
4,3,before,,larva,2,,,,2026-08-20T06:40:00Z,\"Ben, phone 2\"
4,3,before,,larva,1,,,15,,
";

const READINGS: &str = "plot;sample;occasion;reading\n1;1;main;3,5\n1;2;main;4\n2;1;main;6\n2;2;main;7\n\
                        3;1;main;8\n3;2;main;7\n4;1;main;2\n4;2;main;1\n";

const EVENTS: &str =
    "plot,date,event,covered_fraction,note\n2,2026-09-01,sheet blown off,0.5,\"wind, west\"\n";

/// The trial of the untidy sheets, one of its files being another.
fn with(name: &str, text: &str) -> Texts {
    let whole = Texts::default()
        .with("trial.toml", PROTOCOL)
        .with("outline.csv", "x_m,y_m\n-2,-2\n14,-2\n14,8\n-2,8\n")
        .with("layout.csv", LAYOUT)
        .with("counts.csv", COUNTS);
    whole.with(name, text)
}

fn checked(texts: &Texts) -> bool {
    taken("check", json!({ "dir": "." }), texts)
}

/// The protocol of a trial that takes scores.
fn scored() -> String {
    PROTOCOL
        .replace("area_m2 = 0.01", "kind = \"score\"")
        .replace(
            "worthwhile_reduction_percent = 50",
            "worthwhile_difference = 1",
        )
}

fn protocols() -> Vec<String> {
    vec![
        PROTOCOL.to_owned(),
        scored(),
        example("demo-club/trial.toml"),
    ]
}

fn counts() -> Vec<String> {
    vec![COUNTS.to_owned()]
}

/// Reads a protocol; one that can be read is laid out on a green, unless it is refused.
fn protocol(text: &str) -> bool {
    if let Err(faults) = read_protocol("trial.toml", text) {
        assert!(!faults.is_empty() && faults.len() < 1000);
        return false;
    }
    let outline = example("demo-club/outline.csv");
    let texts = Texts::default()
        .with("trial.toml", text)
        .with("outline.csv", outline);
    taken("layout", json!({ "dir": "." }), &texts);
    true
}
