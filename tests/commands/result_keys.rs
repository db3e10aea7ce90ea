//! The page of result keys against what the commands print: nothing that occurs is missing there, nothing that stands
//! there never occurs.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::judgement::{crossover, factorial, second_answers, several_greens};
use crate::report::told_apart::changed_after_sealing;
use crate::scratch::{PROTOCOL, Scratch, example};

/// What the page says of one command.
struct Documented {
    keys: BTreeSet<String>,
    /// A row, and the row whose keys it has too.
    alike: Vec<(String, String)>,
}

/// The table under a heading of the page.
fn documented(heading: &str) -> Documented {
    let page = include_str!("../../notebooks-md/5-results.md");
    let section = page
        .split("\n## ")
        .find(|s| s.starts_with(heading))
        .unwrap();
    let mut found = Documented {
        keys: BTreeSet::new(),
        alike: Vec::new(),
    };
    let rows = section
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once("` | "));
    for (key, meaning) in rows {
        assert!(
            found.keys.insert(key.to_owned()),
            "{key} stands there twice"
        );
        assert!(meaning.len() > 5, "nothing is said of {key}");
        if let Some((_, rest)) = meaning.split_once("The keys of `") {
            let (like, _) = rest.split_once('`').unwrap();
            found.alike.push((key.to_owned(), like.to_owned()));
        }
    }
    assert!(found.keys.len() > 1, "{heading}");
    found
}

impl Documented {
    /// Whether a key stands there, by itself or by a row that has the keys of another.
    fn holds(&self, key: &str) -> bool {
        self.keys.contains(key)
            || self.alike.iter().any(|(row, like)| {
                let rest = key.strip_prefix(row.as_str());
                let rest = rest.filter(|r| r.starts_with(['.', '[']));
                // "result" is the whole, whose keys have nothing before them.
                rest.is_some_and(|rest| match like.as_str() {
                    "result" => self.holds(rest.trim_start_matches("[].")),
                    _ => self.holds(&format!("{like}{rest}")),
                })
            })
    }
}

/// Every key of a value, `[]` for the rows of a list.
fn occurring(value: &Value, before: &str, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                let key = if before.is_empty() {
                    key.clone()
                } else {
                    format!("{before}.{key}")
                };
                // Sentences by the key of what they explain.
                if key != "meanings" {
                    occurring(inner, &key, into);
                }
                into.insert(key);
            }
        }
        Value::Array(rows) => {
            for row in rows.iter().filter(|row| row.is_object()) {
                occurring(row, &format!("{before}[]"), into);
            }
        }
        _ => {}
    }
}

/// Holds the answers to the table under a heading.
pub(crate) fn compared(heading: &str, answers: &[Value]) {
    let told = documented(heading);
    let mut met = BTreeSet::new();
    for answer in answers {
        occurring(answer, "", &mut met);
    }
    let missing: Vec<&String> = met.iter().filter(|key| !told.holds(key)).collect();
    assert!(
        missing.is_empty(),
        "give these rows under {heading}: {missing:#?}"
    );
    let never: Vec<&String> = told.keys.difference(&met).collect();
    assert!(
        never.is_empty(),
        "these rows under {heading} never occur: {never:#?}"
    );
}

fn result(scratch: &Scratch, words: &[&str]) -> Value {
    let run = scratch.run(&[words, &["--json"]].concat());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()["result"].take()
}

/// A folder with one table.
fn table(text: &str) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("t.csv", text);
    scratch
}

const ASKED: [&str; 9] = [
    "judge",
    "--counts",
    "t.csv",
    "--count",
    "n",
    "--treatment",
    "m",
    "--control",
    "none",
];

#[test]
fn every_key_of_judge_is_told() {
    let several = table(
        "m,n,b\nnone,30,1\nold,9,1\nnew,10,1\nnone,24,2\nold,7,2\nnew,9,2\nnone,41,3\nold,13,3\nnew,11,3\nnone,26,4\nold,5,4\n\
         new,9,4\n",
    );
    let reference = [&ASKED[..], &["--block", "b", "--reference", "old"]].concat();
    let replicated = table(
        "m,n,b\nnone,30,1\nnone,22,1\nnew,10,1\nnew,14,1\nnone,24,2\nnone,35,2\nnew,9,2\nnew,4,2\nnone,41,3\nnone,28,3\nnew,11,3\n\
         new,19,3\n",
    );
    let groups = table("m,n\nnone,14\nnone,9\nnone,11\nnew,3\nnew,5\nnew,30\n");
    let over_time = second_answers::trial(&[]);
    over_time.put(
        "events.csv",
        "plot,date,event,covered_fraction,note\n2,,wind,0.2,sheet gone by dawn\n",
    );
    compared(
        "judge: counts",
        &[
            result(&over_time, &["judge", "."]),
            result(&changed_after_sealing(), &["judge", "."]),
            result(&factorial::sheets_and_slits(), &["judge", "t"]),
            result(&crossover::three_nights(), &["judge", "."]),
            result(&several_greens::three_greens(), &["judge", "."]),
            result(&several_greens::three_larger_greens(), &["judge", "."]),
            result(&several, &reference),
            result(&replicated, &[&ASKED[..], &["--block", "b"]].concat()),
            result(&groups, &ASKED),
        ],
    );
}

#[test]
fn every_key_of_layout_and_pack_is_told() {
    let several = several_greens::three_greens();
    let walked = Scratch::empty();
    walked.put("trial.toml", PROTOCOL);
    walked.put(
        "outline.geojson",
        r#"{"type":"Polygon","coordinates":[[[-1.0,52.0],[-0.9994,52.0],[-0.9994,52.0003],[-1.0,52.0003],[-1.0,52.0]]]}"#,
    );
    let laid = ["layout", ".", "--replace"];
    std::fs::remove_file(several.path("counts.csv")).unwrap();
    compared(
        "layout",
        &[result(&several, &laid), result(&walked, &["layout", "."])],
    );
    let packed = result(&walked, &["pack", "."]);
    compared("pack", &[packed]);
}

#[test]
fn every_key_of_readings_is_told() {
    let lengths = table(
        "m,n,b\nnone,8.1,1\nnew,10.2,1\nnone,7.4,2\nnew,9.1,2\nnone,8.8,3\nnew,9.9,3\nnone,7.9,4\nnew,10.8,4\nnone,8.3,5\nnew,9.2,5\n\
         none,8.0,6\nnew,9.7,6\n",
    );
    let words = [&ASKED[..], &["--block", "b", "--response", "length"]].concat();
    compared("judge: readings", &[result(&lengths, &words)]);
}

#[test]
fn every_key_of_season_is_told() {
    let scratch = Scratch::empty();
    scratch.put("s.toml", crate::season::SEASON);
    let doubtful = crate::season::SEASON.replacen("high = 0.64", "high = 1.3", 1);
    scratch.put("d.toml", doubtful);
    compared(
        "season",
        &[
            result(&scratch, &["season", "s.toml"]),
            result(&scratch, &["season", "d.toml"]),
        ],
    );
}

#[test]
fn every_key_of_describe_is_told() {
    let places = table("place,n\na,0\na,3\na,9\na,1\nb,2\nb,0\nb,14\nb,6\nc,1\nc,0\nc,0\nc,2\n");
    let words = [
        "describe",
        "t.csv",
        "--count",
        "n",
        "--group",
        "place",
        "--core-area",
        "0.01",
    ];
    compared("describe", &[result(&places, &words)]);
}

#[test]
fn every_key_of_hotspots_is_told() {
    let survey = Scratch::club();
    survey.put("cores.csv", example("ground-survey/cores.csv"));
    let words = "hotspots --counts cores.csv --x x_m --y y_m --count larvae --ground moisture_pct,shade --with moisture_pct \
                 --outline club/outline.csv --sheet 150";
    let typed: Vec<&str> = words.split_whitespace().collect();
    compared(
        "hotspots: counts with places",
        &[
            result(&survey, &typed),
            result(&survey, &["hotspots", "club"]),
        ],
    );
}

#[test]
fn every_key_of_positions_is_told() {
    let holes = Scratch::empty();
    holes.put("holes.csv", example("ground-survey/holes.csv"));
    holes.put("sheet.csv", example("ground-survey/sheet.csv"));
    let words = "hotspots --positions holes.csv --x x_m --y y_m --outline sheet.csv";
    let words: Vec<&str> = words.split_whitespace().collect();
    compared("hotspots: positions", &[result(&holes, &words)]);
}

#[test]
fn every_key_of_next_is_told() {
    let trial = Scratch::club();
    let priced = "next --k 1 --mean 2 --reduction 50 --cores 4 --blocks 12 --trials 100 --looks 0.5 --cost-plot 20 --cost-core 3";
    let priced: Vec<&str> = priced.split_whitespace().collect();
    let after = ["next", "club", "--trials", "60", "--cores", "4"];
    compared("next", &[result(&trial, &after), result(&trial, &priced)]);
}

#[test]
fn every_key_of_stopline_and_grid_is_told() {
    let club = Scratch::club();
    let typed = |words: &str| {
        let words: Vec<&str> = words.split_whitespace().collect();
        result(&club, &words)
    };
    compared(
        "stopline",
        &[
            typed("stopline --lower 50 --upper 150 --per-m2 --core-area 0.0092 --k 0.8"),
            typed("stopline --kind green --lower 1 --upper 3 --taylor 2,1.3"),
        ],
    );
    compared(
        "grid",
        &[
            typed("grid club/outline.csv --points 40"),
            typed("grid club/outline.csv --precision 0.25 --mean 3 --k 0.8 --core-area 0.0092"),
        ],
    );
}

#[test]
fn every_key_of_order_is_told() {
    let scratch = Scratch::measured(&format!("{PROTOCOL}{SHEET}"));
    compared(
        "order",
        &[result(
            &scratch,
            &["order", ".", "--whole-green", "--date", "2026-09-17"],
        )],
    );
}

#[test]
fn every_key_of_pool_is_told() {
    let effects = table(
        "trial,effect,se,plots,soil,treatment,treated_count,control_count\na,-0.7,0.4,8,sand,sheet,5,10\nb,-0.5,0.3,12,loam,sheet,5,8\nc,-0.9,0.35,10,sand,sheet,4,10\n\
         d,-0.2,0.3,14,loam,sheet,,\ne,-0.1,0.3,14,loam,slits,,\na,-0.1,0.3,14,sand,slits,,\ng,,,8,sand,sheet,0,4\nf,-0.3,x,14,loam,slits,,\n",
    );
    compared(
        "pool: many trials",
        &[result(&effects, &["pool", "t.csv", "--moderator", "soil"])],
    );
}

const SHEET: &str = "
[sheet]
roll_length_m = 12.0
roll_width_m = 2.0
lap_m = 0.2
edge_m = 0.3
opaque = true
in_stock_m2 = 24
price_per_roll = 20
grams_per_m2 = 110

[wind]
gust = \"12 mph\"

[ballast]
weight_kg = 10

[crew]
people = 3
lay_person_minutes_per_100_m2 = 20

[place]
latitude_deg = 53.4
longitude_deg = -1.9
time_zone = \"Europe/London\"
";
