//! Archives of many trials: tables that are taken in, and the files that an archive keeps, damaged.

use std::sync::LazyLock;

use halfgreen::store::{Disk, Texts};
use serde_json::{Value, json};

use super::Door;
use super::tables::taken;
use crate::scratch::Scratch;

pub(super) const DOORS: [Door; 5] = [
    Door {
        name: "a table that an archive takes in",
        cost: 60,
        seeds: tables,
        enter: |text| {
            let scratch = Scratch::empty();
            scratch.put("counts.csv", text);
            let added = asked(&scratch, added());
            // Whatever was taken in can be judged.
            assert!(!added || asked(&scratch, json!({ "action": "judge" })));
            added
        },
    },
    Door {
        name: "a table whose sums are taken",
        cost: 8,
        seeds: tables,
        enter: |text| {
            let scratch = Scratch::empty();
            scratch.put("county", text);
            asked(&scratch, of_table())
        },
    },
    Door {
        name: "an archive's ledger",
        cost: 60,
        seeds: || vec![kept("ledger.jsonl")],
        enter: |text| {
            let scratch = with("ledger.jsonl", text);
            let described = asked(&scratch, json!({ "action": "describe" }));
            asked(&scratch, json!({ "action": "judge" })) && described
        },
    },
    Door {
        name: "what an archive has judged",
        cost: 30,
        seeds: || vec![kept(JUDGED)],
        enter: |text| asked(&with(JUDGED, text), json!({ "action": "gather" })),
    },
    Door {
        name: "what an archive left out, beside its effects",
        cost: 8,
        seeds: || vec![kept("effects/left-out.csv")],
        enter: |text| {
            let texts = Texts::default()
                .with("county/effects/effects.csv", kept("effects/effects.csv"))
                .with("county/effects/left-out.csv", text);
            taken("pool", json!({ "files": ["county"] }), &texts)
        },
    },
];

/// The list of all trials' answers.
const JUDGED: &str = "judged/shard-0000001-of-0000001.jsonl";

/// Two trials of four pairs and one with a word for a count; the second table has its own separator and quotation marks.
fn tables() -> Vec<String> {
    let row = |trial: &str, club: &str, (block, how, count): (usize, &str, &str)| {
        format!("{trial},{club},2026,{block},{how},{count}\n")
    };
    let pairs = |trial: &str, club: &str, counts: [[&str; 2]; 4]| -> String {
        let blocks = (1..).zip(counts);
        let rows = blocks.flat_map(|(b, [bare, sheet])| [(b, "U", bare), (b, "S", sheet)]);
        rows.map(|plot| row(trial, club, plot)).collect()
    };
    let plain = [
        "trial,club,season,block,how,larvae\n".to_owned(),
        pairs("a", "Ash", [["4", "1"], ["7", "0"], ["9", "3"], ["5", "2"]]),
        pairs(
            "b",
            "Beech",
            [["3", "3"], ["9", "2"], ["6", "1"], ["8", "4"]],
        ),
        row("c", "Cedar", (1, "U", "twleve")),
    ]
    .concat();
    let quoted = plain
        .replace(',', ";")
        .replace("Ash", "\"Ash; \"\"old\"\" course\"")
        .replace("Beech", "\"Beech\nHill\"");
    vec![plain, quoted]
}

pub(super) fn added() -> Value {
    json!({
        "action": "add", "sources": ["counts.csv"], "count": "larvae", "treatment": "how", "control": "U",
        "trial": "trial", "club": "club", "season": "season", "block": "block",
    })
}

fn of_table() -> Value {
    json!({ "action": "describe", "club": "club", "treatment": "how", "count": "larvae" })
}

/// Asks something of the archive in a folder, and tells whether it was answered.
pub(super) fn asked(scratch: &Scratch, mut request: Value) -> bool {
    request["archive"] = scratch.path("county").display().to_string().into();
    if let Some(sources) = request.get_mut("sources") {
        *sources = json!([scratch.path("counts.csv")]);
    }
    taken("archive", request, &Disk::default())
}

/// A folder with the first table and its archive, all judged.
pub(super) fn judged() -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("counts.csv", &tables()[0]);
    assert!(asked(&scratch, added()));
    assert!(asked(&scratch, json!({ "action": "judge" })));
    scratch
}

/// The files of such an archive, by their names in it.
static KEPT: LazyLock<Vec<(String, Vec<u8>)>> = LazyLock::new(|| {
    let files = judged().files().into_iter();
    files
        .filter_map(|(name, content)| Some((name.strip_prefix("county/")?.to_owned(), content)))
        .collect()
});

fn kept(name: &str) -> String {
    let found = KEPT.iter().find(|(n, _)| n == name);
    String::from_utf8(found.unwrap().1.clone()).unwrap()
}

/// The archive anew, one of its files with another text.
fn with(name: &str, text: &str) -> Scratch {
    let scratch = Scratch::empty();
    for (kept, content) in KEPT.iter() {
        scratch.put(&format!("county/{kept}"), content);
    }
    scratch.put(&format!("county/{name}"), text);
    scratch
}
