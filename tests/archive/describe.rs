//! Sums of an archive and of a table, against sums by hand; and what trials teach for the next one.

use std::fmt::Write as _;

use std::collections::BTreeMap;

use serde_json::Value;

use super::{archived, filled, table};
use crate::scratch::Scratch;

/// Mean and variance by club and treatment of the lines that are wanted, in two passes over the counts.
fn by_hand(
    text: &str,
    wanted: impl Fn(&str) -> bool,
) -> BTreeMap<(String, String), (usize, f64, f64)> {
    let mut groups: BTreeMap<(String, String), Vec<f64>> = BTreeMap::new();
    for line in text.lines().skip(1).filter(|l| wanted(l)) {
        let quoted: Vec<&str> = line.split('"').collect();
        let cells: Vec<&str> = quoted[2].split(',').collect();
        let group = (quoted[1].to_owned(), cells[7].to_owned());
        groups
            .entry(group)
            .or_default()
            .push(cells[9].parse().unwrap());
    }
    let told = |counts: Vec<f64>| {
        let n = counts.len() as f64;
        let mean = counts.iter().sum::<f64>() / n;
        let squares: f64 = counts.iter().map(|c| (c - mean).powi(2)).sum();
        (counts.len(), mean, squares / (n - 1.0))
    };
    groups
        .into_iter()
        .map(|(group, counts)| (group, told(counts)))
        .collect()
}

fn held_to(found: &Value, wanted: &BTreeMap<(String, String), (usize, f64, f64)>) {
    let groups = found["groups"].as_array().unwrap();
    assert_eq!(groups.len(), wanted.len());
    assert!(!groups.is_empty());
    for (group, (names, (n, mean, variance))) in groups.iter().zip(wanted) {
        assert_eq!(
            (group["club"].as_str(), group["treatment"].as_str()),
            (Some(&*names.0), Some(&*names.1))
        );
        assert_eq!(group["n"].as_u64(), Some(*n as u64));
        // The two passes over some hundred floats round; the whole numbers do not.
        let close = |key: &str, value: f64| {
            (group[key].as_f64().unwrap() - value).abs() <= 1e-12 * value.abs()
        };
        assert!(
            close("mean", *mean) && close("variance", *variance),
            "{group}"
        );
    }
}

#[test]
fn sums_are_those_by_hand() {
    let scratch = filled(9);
    let text = table(9);
    held_to(
        &archived(&scratch, "describe county"),
        &by_hand(&text, |_| true),
    );
    held_to(
        &archived(&scratch, "describe county --season 2026"),
        &by_hand(&text, |l| l.contains(",2026,")),
    );
    held_to(
        &archived(&scratch, "describe county --soil clay --month 9"),
        &by_hand(&text, |l| l.contains(",clay,")),
    );
    held_to(
        &archived(&scratch, "describe county --method C"),
        &by_hand(&text, |l| l.contains(",C,")),
    );
    assert_eq!(archived(&scratch, "describe county --month 8")["trials"], 0);
    let of_table = "describe counts.csv --count count --club club --treatment treatment";
    held_to(&archived(&scratch, of_table), &by_hand(&text, |_| true));
    assert_eq!(
        scratch
            .run(&["archive", "describe", "county", "--month", "13"])
            .code(),
        Some(1)
    );
}

/// Blocks of some megabytes are cut anywhere, also in a quoted cell with a line break.
#[test]
fn a_table_of_many_blocks_is_summed_as_a_whole() {
    let scratch = Scratch::empty();
    let mut text = String::from("note,club,treatment,count\n");
    let (mut n, mut total) = (0_u64, 0_u64);
    while text.len() < 40_000_000 {
        let count = n * 7 % 13;
        let treatment = if n / 5 % 2 == 0 { "U" } else { "C" };
        let club = n % 5;
        writeln!(
            text,
            "\"a, b\n{n} \"\"c\"\"\",Club {club},{treatment},{count}"
        )
        .unwrap();
        (n, total) = (n + 1, total + count);
    }
    text.push_str("x,Club 0,U,\nx,Club 0,U,many\n");
    scratch.put("t.csv", &text);
    let found = archived(
        &scratch,
        "describe t.csv --count count --club club --treatment treatment --threads 2",
    );
    assert_eq!(
        (found["counts"].as_u64(), found["not_counted"].as_u64()),
        (Some(n), Some(2))
    );
    let groups = found["groups"].as_array().unwrap();
    assert_eq!(groups.len(), 10);
    assert_eq!(
        groups
            .iter()
            .map(|g| g["total"].as_u64().unwrap())
            .sum::<u64>(),
        total
    );
    let one = scratch.run(&"archive describe t.csv --count count --club club --treatment treatment --threads 1 --json".split(' ').collect::<Vec<_>>());
    assert_eq!(one.json()["result"], found);
}

#[test]
fn what_trials_teach_sizes_the_next_one() {
    let scratch = filled(8);
    assert_eq!(archived(&scratch, "describe county")["to_judge"], 8);
    archived(&scratch, "judge county");
    let found = archived(&scratch, "describe county");
    let settings = found["settings"].as_array().unwrap();
    let named: Vec<&str> = settings
        .iter()
        .map(|s| s["setting"]["soil"].as_str().unwrap())
        .collect();
    assert_eq!(named, ["clay", "sand"]);
    for setting in settings {
        assert_eq!(setting["trials"], 4);
        assert_eq!(setting["setting"]["month"], "September");
        let next = setting["next"].as_str().unwrap();
        let words: Vec<&str> = next
            .split_whitespace()
            .skip(1)
            .chain(["--trials", "50", "--blocks", "4", "--cores", "2"])
            .collect();
        let run = scratch.run(&words);
        assert_eq!(run.code(), Some(0), "{next}: {}", run.err());
    }
    let whole = archived(&scratch, "describe county --by season");
    assert_eq!(whole["settings"].as_array().unwrap().len(), 2);
    assert_eq!(whole["settings"][1]["setting"]["season"], "2026");
}
