//! Three greens with two pairs each, from protocol to report; and tables with several plots of a treatment in a block.

use std::fmt::Write as _;

use serde_json::Value;

use crate::scratch::{PROTOCOL, Run, Scratch};

const GREENS: [&str; 3] = ["oak", "mill", "church"];

/// The trial on the first `greens`, with a line of its own under `[decision]`.
fn protocol(greens: usize, decision: &str) -> String {
    protocol_of(2, greens, decision)
}

/// The same with `pairs` on each green.
fn protocol_of(pairs: usize, greens: usize, decision: &str) -> String {
    let green =
        |g: &str| format!("[[green]]\nname = \"{g}\"\noutline = \"{g}.csv\"\nblocks = {pairs}\n\n");
    let list = GREENS[..greens]
        .iter()
        .map(|g| green(g))
        .collect::<Vec<_>>();
    let list = list.concat();
    let blocks = format!("blocks = {}", pairs * greens);
    PROTOCOL
        .replace("blocks = 2", &blocks)
        .replace("cores_per_plot = 2", "cores_per_plot = 1")
        .replace("[[occasion]]\nname = \"before\"\nrole = \"before\"\n\n", "")
        .replace("[plot]", &format!("{list}[plot]"))
        + decision
}

/// Laid out; `ratio` is each green's count under the cover for 100 without.
fn counted(greens: usize, decision: &str, covered: [u32; 3]) -> Scratch {
    counted_by(&protocol(greens, decision), covered)
}

fn counted_by(protocol: &str, covered: [u32; 3]) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", protocol);
    for green in GREENS {
        scratch.put(&format!("{green}.csv"), "x_m,y_m\n0,0\n18,0\n18,16\n0,16\n");
    }
    let laid = scratch.run(&["layout", ".", "--seed", "7"]);
    assert_eq!(laid.code(), Some(0), "{}", laid.err());
    let mut counts = "plot,sample,occasion,count\n".to_owned();
    for (line, extra) in scratch
        .read("layout.csv")
        .lines()
        .skip(1)
        .zip([0, 4, 7, 2].iter().cycle())
    {
        let cells: Vec<&str> = line.split(',').collect();
        let at = GREENS.iter().position(|g| cells[1].starts_with(g)).unwrap();
        let count = if cells[4] == "U" {
            40 + extra
        } else {
            covered[at] + extra / 2
        };
        writeln!(counts, "{},1,main,{count}", cells[0]).unwrap();
    }
    scratch.put("counts.csv", counts);
    scratch
}

/// Three greens, on which covers do not the same.
pub(crate) fn three_greens() -> Scratch {
    counted(3, "", [6, 9, 12])
}

/// Three greens with plots enough on each to map its ground.
pub(crate) fn three_larger_greens() -> Scratch {
    counted_by(&protocol_of(3, 3, ""), [6, 9, 12])
}

fn judged(scratch: &Scratch) -> Value {
    let run = scratch.run(&["judge", ".", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()["result"].clone()
}

fn said(run: &Run) -> String {
    format!("{}{}", run.out(), run.err())
}

#[test]
fn three_greens_speak_of_greens_like_them_unless_told_otherwise() {
    let scratch = counted(3, "", [6, 9, 12]);
    assert!(
        scratch
            .read("seal.toml")
            .contains("verdict_about = \"greens-like-these\"")
    );
    assert!(
        scratch
            .read("seal.toml")
            .contains("# The verdict will be about greens like these")
    );
    let found = judged(&scratch);
    assert_eq!(found["by_group"]["about"], "greens-like-these");
    assert_eq!(found["primary_test"], "model");
    assert_eq!(found["contrasts"][0]["df"], 2.0);
    let sentence = found["verdicts"][0]["sentence"].as_str().unwrap();
    assert!(sentence.contains("on greens like these"), "{sentence}");
    let greens = found["greens"].as_array().unwrap();
    assert_eq!(greens.len(), 3);
    for (row, name) in greens.iter().zip(GREENS) {
        assert_eq!(
            (&row["green"], &row["treatment"]),
            (&name.into(), &"C".into())
        );
        let number = |key: &str| row[key].as_f64().unwrap();
        assert!(number("low") < number("ratio") && number("ratio") < number("high"));
    }
    let spread = &found["by_group"]["spread"][0];
    assert_eq!(spread["df"], serde_json::json!([2, 3]));
    assert!(spread["low"].as_f64().unwrap() <= spread["sd"].as_f64().unwrap());
    let other = &found["by_group"]["other"];
    assert_eq!(other["about"], "these-greens");
    // A trial has one verdict: the other question is described.
    let second = other["descriptions"][0].as_str().unwrap();
    assert!(
        second.contains("on these greens") && !second.contains("beat"),
        "{second}"
    );

    let scratch = counted(3, "verdict_about = \"these-greens\"\n", [6, 9, 12]);
    assert!(
        scratch
            .read("seal.toml")
            .contains("verdict_about = \"these-greens\"")
    );
    let found = judged(&scratch);
    assert_eq!(found["contrasts"][0]["df"], 5.0);
    assert_eq!(found["by_group"]["other"]["about"], "greens-like-these");
    // The same two questions, the other way round.
    assert_eq!(
        found["contrasts"][0]["p_model"],
        other["contrasts"][0]["p_model"]
    );
}

/// It worked on two greens of three: a finding about these, none about others, and both are told.
#[test]
fn an_effect_that_differs_is_told_of() {
    let words = "verdict_about = \"these-greens\"\n";
    let found = judged(&counted(3, "", [4, 4, 24]));
    assert_eq!(found["verdicts"][0]["call"], "cannot-tell");
    assert!(
        found["verdicts"][0]["sentence"]
            .as_str()
            .unwrap()
            .ends_with("More greens might tell.")
    );
    let scratch = counted(3, words, [4, 4, 24]);
    assert_eq!(judged(&scratch)["verdicts"][0]["call"], "beat-the-control");
    let run = scratch.run(&["judge", "."]);
    assert!(
        said(&run).contains("differs from green to green by more than plots scatter"),
        "{}",
        said(&run)
    );
}

#[test]
fn pages_speak_of_greens() {
    let scratch = counted(3, "", [6, 9, 12]);
    let run = scratch.run(&["report", "."]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let report = scratch.read("report/report.html");
    for words in [
        "From green to green",
        "church",
        "A second analysis, on these greens alone",
        "about greens like these",
    ] {
        assert!(report.contains(words), "{words}");
    }
    assert!(report.contains("Verdict about, as sealed"));
    let members = scratch.read("report/members.html");
    assert!(members.contains("plots on the greens") && !members.contains("this green"));
}

#[test]
fn layout_says_what_one_or_two_greens_cannot_tell() {
    let advice = |greens: usize, decision: &str| {
        let scratch = Scratch::empty();
        scratch.put("trial.toml", protocol(greens, decision));
        for green in GREENS {
            scratch.put(&format!("{green}.csv"), "x_m,y_m\n0,0\n18,0\n18,16\n0,16\n");
        }
        let laid = scratch.run(&["layout", ".", "--json"]);
        assert_eq!(laid.code(), Some(0), "{}", laid.err());
        laid.json()["result"]["advice"].to_string()
    };
    assert!(advice(1, "").contains("\"one-green\""));
    assert!(advice(2, "").contains("about these two greens"));
    assert!(
        advice(2, "verdict_about = \"greens-like-these\"\n")
            .contains("hardly anything can be known")
    );
    let three = advice(3, "");
    assert!(three.contains("\"greens-like-these\"") && three.contains("Only 2 degrees of freedom"));
    assert!(three.contains("More greens would raise them") && !three.contains("\"one-green\""));
}

#[test]
fn what_the_verdict_is_about_is_asked_of_several_greens_only() {
    let scratch = Scratch::empty();
    scratch.put(
        "trial.toml",
        PROTOCOL.to_owned() + "verdict_about = \"greens-like-these\"\n",
    );
    scratch.put("outline.csv", "x_m,y_m\n0,0\n18,0\n18,16\n0,16\n");
    let refused = scratch.run(&["layout", "."]);
    assert_eq!(refused.code(), Some(1));
    assert!(
        refused.err().contains("is for trials on several greens"),
        "{}",
        refused.err()
    );
    scratch.put(
        "trial.toml",
        protocol(3, "verdict_about = \"greens-like-this\"\n"),
    );
    let refused = scratch.run(&["layout", "."]);
    assert!(
        refused.err().contains("greens-like-these"),
        "{}",
        refused.err()
    );
}

/// Four blocks with three plots of each treatment in a table: from three blocks on the verdict is about blocks like these.
#[test]
fn a_table_with_replicates_is_about_blocks_like_these() {
    let scratch = Scratch::empty();
    let mut table = "block,treatment,count\n".to_owned();
    for (block, covered) in [("a", 4), ("b", 5), ("c", 27), ("d", 21)] {
        for extra in [0, 3, 1] {
            writeln!(
                table,
                "{block},open,{}\n{block},cover,{}",
                24 + extra,
                covered + extra
            )
            .unwrap();
        }
    }
    scratch.put("table.csv", table);
    let judge = |extra: &[&str]| {
        let asked = [
            "judge",
            "--counts",
            "table.csv",
            "--count",
            "count",
            "--treatment",
            "treatment",
            "--control",
            "open",
        ];
        let all: Vec<&str> = asked
            .iter()
            .chain(extra)
            .copied()
            .chain(["--json"])
            .collect();
        scratch.run(&all)
    };
    let like = judge(&["--block", "block"]).json()["result"].clone();
    assert_eq!(like["by_group"]["about"], "blocks-like-these");
    assert_eq!(like["verdicts"][0]["call"], "cannot-tell");
    assert_eq!(like["blocks"].as_array().unwrap().len(), 4);
    assert_eq!(like["blocks"][0]["block"], "a");
    assert!(like.get("greens").is_none());
    let these = judge(&["--block", "block", "--verdict-about", "these"]).json()["result"].clone();
    assert_eq!(these["verdicts"][0]["call"], "beat-the-control");
    assert!(
        these["verdicts"][0]["sentence"]
            .as_str()
            .unwrap()
            .contains("in these blocks")
    );
    let refused = judge(&["--verdict-about", "like-these"]);
    assert_eq!(refused.code(), Some(1));
    assert!(
        refused.err().contains("--verdict-about"),
        "{}",
        refused.err()
    );
}
