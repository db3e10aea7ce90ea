//! Reports of trials that went as trials go.

use super::markup;
use crate::scratch::{PROTOCOL, Scratch, example};

/// A laid-out trial of `pairs` pairs whose plots hold what `count` says of treatment and plot number;
/// `None` for a plot that was not counted.
fn trial(protocol: &str, count: impl Fn(&str, u64) -> Option<u64>) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", protocol);
    scratch.put("outline.csv", "x_m,y_m\n0,0\n30,0\n30,24\n0,24\n");
    assert_eq!(scratch.run(&["layout", ".", "--seed", "5"]).code(), Some(0));
    let layout = scratch.read("layout.csv");
    let mut counts = "plot,sample,occasion,count\n".to_owned();
    for line in layout.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (plot, treatment) = (cells[0], cells[4]);
        if let Some(count) = count(treatment, plot.parse().unwrap()) {
            for sample in 1..=2 {
                counts += &[plot, &sample.to_string(), "main", &count.to_string()].join(",");
                counts.push('\n');
            }
        }
    }
    scratch.put("counts.csv", counts);
    scratch
}

/// Two pairs as in the shared protocol, with another number of pairs.
fn pairs(n: usize) -> String {
    PROTOCOL.replace("blocks = 2", &format!("blocks = {n}"))
}

/// Reports the trial, checks every file, and returns the page.
fn report(scratch: &Scratch) -> String {
    let run = scratch.run(&["report", ".", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let files = run.json()["result"]["files"].as_array().unwrap().clone();
    for file in files {
        let name = file.as_str().unwrap();
        let text = scratch.read(name);
        match name.rsplit('.').next() {
            Some("svg") => markup::figure(name, &text),
            Some("html") => markup::page(name, &text),
            Some("csv") => assert!(text.lines().count() > 1, "{name}"),
            _ => assert!(serde_json::from_str::<serde_json::Value>(&text).is_ok()),
        }
    }
    let page = scratch.read("report/report.html");
    let main = page.split("id=\"appendix\"").next().unwrap();
    for word in ["p =", "p-value", "significant"] {
        assert!(!main.contains(word), "`{word}` before the appendix");
    }
    page
}

fn some(_: &str, plot: u64) -> u64 {
    plot * 7 % 5
}

#[test]
fn an_all_zero_trial_has_a_report() {
    let page = report(&trial(&pairs(5), |_, _| Some(0)));
    assert!(page.contains("Cannot tell yet"));
    assert!(page.contains("No size can be suggested"));
}

#[test]
fn one_empty_treatment_has_a_report() {
    let page = report(&trial(&pairs(7), |t, n| {
        Some(if t == "C" { 0 } else { 3 + n % 3 })
    }));
    assert!(page.contains("100\u{a0}% fewer"));
}

#[test]
fn one_pair_is_reported_as_one_pair() {
    let page = report(&trial(&pairs(1), |t, n| Some(some(t, n) + 1)));
    assert!(page.contains("Cannot tell yet"));
}

#[test]
fn plots_that_were_not_counted_are_named() {
    let page = report(&trial(&pairs(6), |t, n| (n != 3).then(|| some(t, n) + 2)));
    assert!(page.contains("Plot 3 was not counted on occasion main and is left out."));
    assert!(page.contains("(?: not counted)"));
}

#[test]
fn three_methods_share_one_page() {
    let more = "[[treatment]]\ncode = \"S\"\nname = \"slit <twice> & rolled\"\nkind = \"aeration\"\n\n[[treatment]]\ncode = \"D\"\nname = \"drenched\"\nkind = \"other\"\n\n[design]";
    let protocol = pairs(4)
        .replace("[design]", more)
        .replace("\"paired\"", "\"randomised-blocks\"")
        .replace("length_m = 4.0", "length_m = 2.0");
    let page = report(&trial(&protocol, |t, n| {
        Some(some(t, n) + u64::from(t == "U") * 4)
    }));
    assert_eq!(page.matches("<section class=\"verdict\"").count(), 3);
    for caution in ["moving tines", "only as its label says", "after sunrise"] {
        assert!(page.contains(caution), "{caution}");
    }
    assert!(page.contains("slit &lt;twice&gt; &amp; rolled"));
}

#[test]
fn a_lost_seal_and_a_changed_protocol_are_told() {
    let scratch = trial(&pairs(4), |t, n| Some(some(t, n)));
    scratch.put(
        "trial.toml",
        pairs(4).replace("reduction_percent = 50", "reduction_percent = 30"),
    );
    let page = report(&scratch);
    assert!(page.contains(
        "<dd>No. The protocol is not the one sealed: [decision] worthwhile_reduction_percent"
    ));
    assert!(page.contains("was 50.0 and is now 30.0, which touches the verdict."));
    let members = || scratch.read("report/members.html");
    assert!(members().contains("was changed afterwards, in a way that may change the answer"));
    // A later occasion touches nothing.
    let later = pairs(4).replace(
        "[decision]",
        "[[occasion]]\nname = \"spring\"\nrole = \"follow-up\"\n\n[decision]",
    );
    scratch.put("trial.toml", later);
    let page = report(&scratch);
    assert!(
        page.contains("<dd>Yes in all that the verdict rests on."),
        "{page}"
    );
    assert!(members().contains("but nothing on which the answer rests"));
    // Two plots swapped.
    scratch.put("trial.toml", pairs(4));
    let layout = scratch.read("layout.csv");
    let swapped = layout
        .replacen(",U,", ",X,", 1)
        .replacen(",C,", ",U,", 1)
        .replacen(",X,", ",C,", 1);
    scratch.put("layout.csv", swapped);
    assert!(report(&scratch).contains("the seed gives"));
    assert!(members().contains("no longer the one on which the lots were drawn"));
    scratch.put("layout.csv", layout);
    std::fs::remove_file(scratch.path("seal.toml")).unwrap();
    assert!(report(&scratch).contains("There is no seal"));
    assert!(members().contains("others have to take our word for it"));
}

#[test]
fn a_report_replaces_the_one_before_and_a_refusal_leaves_it() {
    let scratch = trial(&pairs(4), |t, n| Some(some(t, n)));
    let first = report(&scratch);
    assert_eq!(first, report(&scratch));
    scratch.put(
        "counts.csv",
        "plot,sample,occasion,count\n1,1,main,twleve\n",
    );
    assert_eq!(scratch.run(&["report", "."]).code(), Some(1));
    assert_eq!(scratch.read("report/report.html"), first);
}

#[test]
fn sampled_allocations_give_the_same_bytes_on_any_number_of_threads() {
    let scratch = trial(
        &pairs(20).replace("length_m = 4.0", "length_m = 2.0"),
        |t, n| Some(some(t, n)),
    );
    let page = |threads: &str| {
        assert_eq!(
            scratch.run(&["report", ".", "--threads", threads]).code(),
            Some(0)
        );
        (
            scratch.read("report/report.html"),
            scratch.read("report/results.json"),
        )
    };
    assert_eq!(page("1"), page("2"));
}

#[test]
fn the_kept_figures_are_those_of_the_demonstration() {
    let scratch = Scratch::club();
    for (kept, drawn) in [("map", "map"), ("verdict", "ratio")] {
        let drawn = scratch.read(&format!("club/report/{drawn}.svg"));
        assert_eq!(
            example(&format!("demo-club/{kept}.svg")),
            drawn,
            "{kept}.svg"
        );
    }
}
