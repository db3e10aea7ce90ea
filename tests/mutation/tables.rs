//! Tables that commands read by the names of their columns.

use halfgreen::commands::{self, Surroundings};
use halfgreen::store::{Sources, Texts};
use serde_json::{Value, json};

use super::Door;

pub(super) const DOORS: [Door; 6] = [
    Door {
        name: "a table that is described",
        cost: 2,
        seeds: clumped,
        enter: |text| {
            asked(
                "describe",
                json!({ "file": FILE, "count": "mites", "group": ["leaf"] }),
                text,
            )
        },
    },
    Door {
        name: "a table that is judged",
        cost: 40,
        seeds: judged,
        enter: |text| {
            let request = json!({ "counts": FILE, "count": "larvae", "treatment": "how", "control": "U", "block": "block" });
            asked("judge", request, text)
        },
    },
    Door {
        name: "readings that are judged",
        cost: 20,
        seeds: readings,
        enter: |text| {
            let request = json!({ "counts": FILE, "count": "cover", "treatment": "how", "control": "U", "response": "cover" });
            asked("judge", request, text)
        },
    },
    Door {
        name: "a table with places",
        cost: 20,
        seeds: places,
        enter: |text| {
            let request = json!({ "counts": FILE, "x": "x", "y": "y", "count": "larvae", "with": "wet", "permutations": 19 });
            asked("hotspots", request, text)
        },
    },
    Door {
        name: "a table of effects",
        cost: 4,
        seeds: effects,
        enter: |text| {
            asked(
                "pool",
                json!({ "effects": FILE, "moderator": ["soil"] }),
                text,
            )
        },
    },
    Door {
        name: "a table of counts of many trials",
        cost: 60,
        seeds: many_trials,
        enter: |text| {
            let request = json!({ "files": [FILE], "trial": "trial", "count": "larvae", "treatment": "how", "control": "U", "block": "block" });
            asked("pool", request, text)
        },
    },
];

/// Name of the table in requests.
const FILE: &str = "table.csv";

/// Runs a command on a table and tells whether it was taken.
fn asked(name: &str, request: Value, table: &str) -> bool {
    taken(name, request, &Texts::default().with(FILE, table))
}

/// Runs a command and tells whether the request was taken. What it then gives back must be whole.
pub(super) fn taken(name: &str, request: Value, sources: &dyn Sources) -> bool {
    let at = Surroundings::new(sources, "2026-09-08T16:30:00Z", 7);
    match commands::run(name, request, &at) {
        Ok(answer) => {
            let document = answer.document(name).unwrap();
            assert!(serde_json::from_str::<Value>(&document).is_ok());
            true
        }
        Err(refusal) => {
            let number = refusal.errors.len();
            assert!((1..1000).contains(&number), "{number} complaints");
            let length: usize = refusal.errors.iter().map(|e| e.to_string().len()).sum();
            // A cell may hold a thousand characters, and twenty of a kind are told.
            assert!(length < 500_000, "{length} characters of complaints");
            false
        }
    }
}

fn clumped() -> Vec<String> {
    vec![
        "mites;leaf\n0;a\n3;a\n9;b\n1;b\n7;c\n2;c\n".to_owned(),
        "leaf,mites,note\n\"top, left\",12,wet\n\"top, left\",0,\nlow,3,\nlow,4,dry\n".to_owned(),
    ]
}

fn judged() -> Vec<String> {
    let rows = (0..12).map(|i| {
        let how = if (i + i / 2) % 2 == 0 { "U" } else { "S" };
        format!("{},{how},{}\n", i / 2 + 1, (i * 7) % 13)
    });
    let plain: String = rows.collect();
    vec![
        format!("block,how,larvae\n{plain}"),
        format!(
            "larvae\tblock\thow\n{}",
            "4\tnorth\tU\n1\tnorth\tS\n9\tsouth\tS\n0\tsouth\tU\n"
        ),
    ]
}

fn readings() -> Vec<String> {
    vec!["how;cover\nU;12,5\nS;80\nU;20\nS;64,25\nS;71\nU;\nU;33\n".to_owned()]
}

fn effects() -> Vec<String> {
    vec![
        "trial,club,season,effect,se,df,soil,treatment\na,Ash,2024,-0.7,0.4,3,sand,S\nb,Beech,2025,-0.5,0.3,5,loam,S\n\
         c,Cedar,2025,-0.9,0.35,4,sand,S\nd,Dale,2025,0.1,0.3,6,loam,H\n"
            .to_owned(),
        "trial;ratio;low;high;treated_count;control_count\na;0,5;0,2;1,1;9;20\nb;0,4;0,2;0,9;5;14\nc;;;;0;12\n".to_owned(),
    ]
}

fn many_trials() -> Vec<String> {
    vec![
        "trial,block,how,larvae\na,1,U,4\na,1,S,1\na,2,S,0\na,2,U,7\nb,1,U,3\nb,1,S,3\nb,2,S,2\nb,2,U,9\n".to_owned(),
    ]
}

fn places() -> Vec<String> {
    let rows = (0..36).map(|i| format!("{};{};{};{}\n", i % 6, i / 6, (i * 7) % 11, i / 12));
    vec![format!("x;y;larvae;wet\n{}", rows.collect::<String>())]
}
