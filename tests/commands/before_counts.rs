//! `layout` in two steps: plots to count, then blocks of plots with similar counts.

use serde_json::Value;

use halfgreen::store::WRITTEN;

use crate::scratch::{PROTOCOL, Scratch};

/// Six pairs of plots by counts before treatment, two cores each.
fn asked() -> Scratch {
    let scratch = Scratch::empty();
    let protocol = PROTOCOL.replace(
        "blocks = 2",
        "blocks = 6\nblock_by = \"before-counts\"\nseed = 7",
    );
    scratch.put("trial.toml", protocol);
    scratch.put("outline.csv", "x_m,y_m\n0,0\n25,0\n25,23\n0,23\n");
    scratch
}

/// Twelve plots counted before treatment: two cores each, `counts[i]` in all in plot i + 1.
fn counted(counts: &[u32]) -> String {
    let lines: Vec<String> = (1..)
        .zip(counts)
        .map(|(plot, count)| format!("{plot},1,before,{count}\n{plot},2,before,0\n"))
        .collect();
    format!("plot,sample,occasion,count\n{}", lines.concat())
}

const COUNTS: [u32; 12] = [9, 2, 30, 4, 17, 0, 25, 12, 6, 14, 21, 1];

/// Plot, x and y of every plot.
fn places(plots: &Value) -> Vec<(String, f64, f64)> {
    let plots = plots.as_array().unwrap().iter();
    plots
        .map(|p| {
            let number = |key: &str| p[key].as_f64().unwrap();
            let name = p["plot"].as_str().unwrap().to_owned();
            (name, number("x_m"), number("y_m"))
        })
        .collect()
}

#[test]
fn plots_are_placed_counted_and_then_drawn() {
    let scratch = asked();
    let first = scratch.run(&["layout", ".", "--json"]);
    assert_eq!((first.code(), first.err().as_str()), (Some(0), ""));
    let made = [
        "map.svg",
        "outline.csv",
        "plots-to-count.csv",
        "trial.toml",
        WRITTEN,
    ];
    assert_eq!(scratch.names(), made);
    let list = scratch.read("plots-to-count.csv");
    assert!(list.starts_with("plot,x_m,y_m,length_m,width_m,angle_deg\n1,"));
    assert_eq!(list.lines().count(), 13);
    let said = scratch.run(&["layout", "."]).out();
    assert!(
        said.contains("Count every plot") && said.contains("run the same command again"),
        "{said}"
    );
    let map = scratch.read("map.svg");
    assert!(map.contains(">12<") && !map.contains("control") && !map.contains("block"));

    scratch.put("counts.csv", counted(&COUNTS));
    let second = scratch.run(&["layout", ".", "--json"]);
    assert_eq!((second.code(), second.err().as_str()), (Some(0), ""));
    let laid = second.json()["result"].clone();
    let to_count = first.json()["result"]["to_count"][0]["plots"].clone();
    assert_eq!(places(&to_count), places(&laid["plots"]));
    assert_eq!(laid["allocations"], "64");
    // Ranked by hand: 0 1 | 2 4 | 6 9 | 12 14 | 17 21 | 25 30.
    let pairs = [(6, 12), (2, 4), (9, 1), (8, 10), (5, 11), (7, 3)];
    for ((a, b), block) in pairs.into_iter().zip(1..) {
        for plot in [a, b] {
            let row = &laid["plots"][plot - 1];
            assert_eq!(row["block"], block.to_string(), "plot {plot}");
        }
    }
    assert_eq!(scratch.read("counts.csv"), counted(&COUNTS));
}

#[test]
fn later_counts_leave_the_seal_whole_and_a_changed_one_breaks_it() {
    let scratch = asked();
    scratch.put("counts.csv", counted(&COUNTS));
    scratch.run(&["layout", "."]);
    assert!(scratch.read("seal.toml").contains("before_digest"));
    let later: Vec<String> = (1..=12).map(|p| format!("{p},1,main,{p}\n")).collect();
    let later = later.concat();
    let verify = |text: String| {
        scratch.put("counts.csv", text);
        scratch.run(&["layout", ".", "--verify"])
    };
    assert_eq!(verify(counted(&COUNTS) + &later).code(), Some(0));
    assert_eq!(verify(counted(&COUNTS) + "3,1,main,tree\n").code(), Some(0));
    // A change that moves no plot is found too.
    let mut changed = COUNTS;
    changed[2] = 31;
    let run = verify(counted(&changed));
    assert_eq!(run.code(), Some(1));
    assert!(
        run.out()
            .contains("counts before treatment are not the ones"),
        "{}",
        run.out()
    );
    changed[2] = 3;
    let run = verify(counted(&changed) + &later);
    assert!(run.out().contains("Plot 3"), "{}", run.out());
    let judged = scratch.run(&["judge", "."]);
    assert!(
        judged
            .err()
            .contains("counts before treatment are not the ones"),
        "{}",
        judged.err()
    );
    let run = verify("plot,sample,occasion,count\n".to_owned() + &later);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("no counts before treatment"),
        "{}",
        run.err()
    );
    let again = scratch.run(&["layout", "."]);
    assert!(again.err().contains("laid out already"), "{}", again.err());
}

#[test]
fn uncounted_plots_are_named_and_nothing_is_written() {
    let scratch = asked();
    let broken = counted(&COUNTS).replace("7,1,before,25\n7,2,before,0\n", "");
    scratch.put("counts.csv", &broken);
    let run = scratch.run(&["layout", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err()
            .contains("plot 7 has no count on occasion \"before\""),
        "{}",
        run.err()
    );
    scratch.put("counts.csv", counted(&COUNTS).replace(",25", ",-25"));
    let run = scratch.run(&["layout", "."]);
    assert!(run.err().contains("counts.csv:14:4"), "{}", run.err());
    assert_eq!(scratch.names(), ["counts.csv", "outline.csv", "trial.toml"]);
}

#[test]
fn equal_counts_are_parted_by_number_and_said() {
    let scratch = asked();
    scratch.put(
        "counts.csv",
        counted(&[5, 5, 5, 0, 1, 2, 3, 6, 7, 8, 9, 10]),
    );
    let run = scratch.run(&["layout", "."]);
    assert_eq!(run.code(), Some(0));
    assert!(
        run.out().contains("lower numbers first: 1, 2, 3 (5 each)"),
        "{}",
        run.out()
    );
}

/// On several greens the plots of each keep to its own blocks.
#[test]
fn each_green_ranks_its_own_plots() {
    let scratch = asked();
    let greens = "[[green]]\nname = \"low\"\noutline = \"outline.csv\"\nblocks = 3\n\n\
                  [[green]]\nname = \"high\"\noutline = \"outline.csv\"\nblocks = 3\n\n[plot]";
    scratch.put(
        "trial.toml",
        scratch.read("trial.toml").replace("[plot]", greens),
    );
    let first = scratch.run(&["layout", "."]);
    assert_eq!(first.code(), Some(0), "{}", first.err());
    assert!(scratch.read("plots-to-count.csv").contains("\n7,high,"));
    assert!(scratch.read("map-high.svg").contains(">7<"));
    scratch.put("counts.csv", counted(&COUNTS));
    let laid = scratch.run(&["layout", ".", "--json"]).json()["result"].clone();
    let blocks: Vec<&str> = (0..12)
        .map(|i| laid["plots"][i]["block"].as_str().unwrap())
        .collect();
    // By hand: plots 1 to 6 hold 9 2 30 4 17 0, plots 7 to 12 hold 25 12 6 14 21 1.
    assert_eq!(
        blocks.join(" "),
        "low.2 low.1 low.3 low.2 low.3 low.1 high.6 high.5 high.4 high.5 high.6 high.4"
    );
    assert_eq!(scratch.run(&["layout", ".", "--verify"]).code(), Some(0));
}

#[test]
fn an_occasion_before_treatment_must_be_planned() {
    let scratch = asked();
    let without = scratch
        .read("trial.toml")
        .replace("[[occasion]]\nname = \"before\"\nrole = \"before\"\n", "");
    scratch.put("trial.toml", without);
    let run = scratch.run(&["layout", "."]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("no occasion is before treatment"),
        "{}",
        run.err()
    );
    assert_eq!(scratch.names(), ["outline.csv", "trial.toml"]);
    let help = scratch.run(&["layout", "--help"]).out();
    assert!(help.contains("two steps"), "{help}");
}
