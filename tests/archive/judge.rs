//! What the trials of an archive are judged to be: as one by one, whoever judges them and with however many threads.

use super::{archived, effects, filled, table};
use crate::scratch::Scratch;

#[test]
fn a_trial_is_judged_as_by_itself() {
    let scratch = filled(4);
    let judged = archived(&scratch, "judge county");
    assert_eq!(
        (&judged["effects"], &judged["to_judge"]),
        (&4.into(), &0.into())
    );
    let effects = scratch.read("county/effects/effects.csv");
    let heads: Vec<&str> = effects.lines().next().unwrap().split(',').collect();
    let at = |name: &str| heads.iter().position(|h| *h == name).unwrap();
    for trial in 0..4 {
        // The trial's own lines on the main occasion, areas of a corer of 108 mm.
        let text = table(4);
        let of = format!("t{trial},");
        let rows = text
            .lines()
            .filter(|l| l.starts_with(&of) && l.contains(",main,"));
        let mut alone = String::from("block,plot,treatment,area,count\n");
        for row in rows {
            let (_, cells) = row.split_once(",main,").unwrap();
            let area = std::f64::consts::PI * 0.054_f64.powi(2);
            alone.push_str(&cells.replace(",108,", &format!(",{area},")));
            alone.push('\n');
        }
        scratch.put("alone.csv", alone);
        let words = "judge --counts alone.csv --count count --treatment treatment --control U --block block --plot plot --area area --json";
        let words: Vec<&str> = words.split_whitespace().collect();
        let by_itself = scratch.run(&words).json();
        let contrast = &by_itself["result"]["contrasts"][0];
        let row = effects.lines().find(|l| l.starts_with(&of)).unwrap();
        // The name of the club is quoted and holds the separator.
        let cells: Vec<&str> = row.split('"').collect();
        let rest: Vec<&str> = cells[2].split(',').collect();
        let cell = |name: &str| rest[at(name) - at("club")];
        // The counts before treatment move the estimate, so that only what was counted can be the same.
        let plots = by_itself["result"]["units"]["plots"].to_string();
        assert_eq!(cell("plots"), plots);
        assert_eq!(cell("control"), "U");
        let mean = |t: &str| {
            by_itself["result"]["means"]
                .as_array()
                .unwrap()
                .iter()
                .find(|m| m["treatment"] == t)
                .unwrap()["mean"]
                .as_f64()
                .unwrap()
        };
        let counted =
            |c: &str, e: &str| cell(c).parse::<f64>().unwrap() / cell(e).parse::<f64>().unwrap();
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-12 * b.abs();
        assert!(
            close(counted("treated_count", "treated_exposure"), mean("C")),
            "{row}"
        );
        assert!(
            close(counted("control_count", "control_exposure"), mean("U")),
            "{row}"
        );
        assert!(contrast["ratio"].as_f64().unwrap() > 0.0);
    }
}

#[test]
fn without_counts_before_the_effect_is_that_of_judge_to_the_last_bit() {
    let scratch = Scratch::empty();
    let text = table(3);
    let kept: Vec<&str> = text.lines().filter(|l| !l.contains(",before,")).collect();
    scratch.put("counts.csv", kept.join("\n") + "\n");
    archived(
        &scratch,
        &format!(
            "add county counts.csv {}",
            super::COLUMNS.replace("--before before", "")
        ),
    );
    archived(&scratch, "judge county");
    let effects = scratch.read("county/effects/effects.csv");
    for trial in 0..3 {
        let of = format!("t{trial},");
        let own: Vec<&str> = kept
            .iter()
            .copied()
            .filter(|l| l.starts_with(&of) || l.starts_with("trial"))
            .collect();
        let area = std::f64::consts::PI * 0.054_f64.powi(2);
        scratch.put(
            "alone.csv",
            own.join("\n").replace(",108,", &format!(",{area},")) + "\n",
        );
        let words = "judge --counts alone.csv --count count --treatment treatment --control U --block block --plot plot --area corer --json";
        let words: Vec<&str> = words.split_whitespace().collect();
        let contrast = scratch.run(&words).json()["result"]["contrasts"][0].take();
        let row = effects.lines().find(|l| l.starts_with(&of)).unwrap();
        let ratio = contrast["ratio"].as_f64().unwrap();
        for wanted in [
            ratio.ln(),
            contrast["low"].as_f64().unwrap(),
            contrast["high"].as_f64().unwrap(),
        ] {
            assert!(
                row.contains(&format!(",{wanted},")),
                "{row} has no {wanted}"
            );
        }
    }
}

#[test]
fn parts_come_together_to_the_same_bits_as_one_run() {
    let one = filled(12);
    let judged = archived(&one, "judge county --threads 2");
    assert_eq!(judged["judged"], 12);
    let dealt = filled(12);
    let mut by_parts = 0;
    for part in [3, 1, 4, 2] {
        let judged = archived(
            &dealt,
            &format!("judge county --shard {part}/4 --threads 1"),
        );
        by_parts += judged["judged"].as_u64().unwrap();
        assert_eq!(judged["to_judge"].as_u64().unwrap(), 12 - by_parts);
        assert_eq!(
            judged["files"].as_array().unwrap().is_empty(),
            by_parts < 12
        );
    }
    assert_eq!(by_parts, 12);
    assert_eq!(effects(&one, "county"), effects(&dealt, "county"));
    let gathered = archived(&dealt, "gather county");
    assert_eq!(gathered["effects"], 12);
    assert_eq!(effects(&one, "county"), effects(&dealt, "county"));
}

#[test]
fn what_is_judged_is_not_judged_again_and_what_changed_is() {
    let scratch = filled(6);
    archived(&scratch, "judge county");
    let before = effects(&scratch, "county");
    let again = archived(&scratch, "judge county");
    assert_eq!((&again["judged"], &again["kept"]), (&0.into(), &6.into()));
    assert_eq!(effects(&scratch, "county"), before);
    // Another count in one trial.
    let text = table(6);
    let first = text.lines().nth(1).unwrap();
    let (start, count) = first.rsplit_once(',').unwrap();
    let other = format!("{start},{}", count.parse::<u32>().unwrap() + 30);
    scratch.put("counts.csv", text.replacen(first, &other, 1));
    archived(
        &scratch,
        &format!("add county counts.csv {} --replace", super::COLUMNS),
    );
    let later = archived(&scratch, "judge county");
    assert_eq!((&later["judged"], &later["kept"]), (&1.into(), &5.into()));
    assert_ne!(effects(&scratch, "county"), before);
}

#[test]
fn a_trial_that_cannot_be_judged_is_listed_and_stops_nothing() {
    let scratch = Scratch::empty();
    let text = table(5);
    // The control is counted before treatment alone.
    let lines = text
        .lines()
        .filter(|l| !(l.starts_with("t3,") && l.contains(",main,") && l.contains(",U,")));
    scratch.put("counts.csv", lines.collect::<Vec<_>>().join("\n") + "\n");
    archived(
        &scratch,
        &format!("add county counts.csv {}", super::COLUMNS),
    );
    let judged = archived(&scratch, "judge county");
    assert_eq!(
        (&judged["effects"], &judged["to_judge"]),
        (&4.into(), &0.into())
    );
    let left_out = judged["left_out"].as_array().unwrap();
    assert_eq!(left_out.len(), 1);
    assert_eq!(left_out[0]["trial"]["trial"], "t3");
    assert!(
        left_out[0]["place"]
            .as_str()
            .unwrap()
            .starts_with("counts.csv:"),
        "{left_out:?}"
    );
}

#[test]
fn a_folder_that_is_no_archive_is_refused_and_a_damaged_file_is_named() {
    let scratch = filled(2);
    let none = scratch.run(&["archive", "judge", "elsewhere"]);
    assert_eq!(none.code(), Some(1));
    assert!(
        none.err().contains("there is no archive in this folder"),
        "{}",
        none.err()
    );
    let (name, content) = scratch
        .files()
        .into_iter()
        .find(|(n, _)| n.ends_with(".parquet"))
        .unwrap();
    scratch.put(&name, &content[..content.len() / 2]);
    let judged = archived(&scratch, "judge county");
    let reason = judged["left_out"][0]["reason"].as_str().unwrap();
    assert!(reason.contains("not as it was written"), "{reason}");
    for shard in ["0/2", "3/2", "x"] {
        assert_eq!(
            scratch
                .run(&["archive", "judge", "county", "--shard", shard])
                .code(),
            Some(2),
            "{shard}"
        );
    }
}
