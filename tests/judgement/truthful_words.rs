//! Words that must not say more than the counts do.

use crate::scratch::Scratch;

fn judge(table: &str, more: &[&str]) -> (Option<i32>, String) {
    let scratch = Scratch::empty();
    scratch.put("t.csv", table);
    let base = [
        "judge",
        "--counts",
        "t.csv",
        "--count",
        "y",
        "--treatment",
        "trt",
        "--control",
        "U",
    ];
    let run = scratch.run(&[&base, more].concat());
    (run.code(), format!("{}{}", run.out(), run.err()))
}

#[test]
fn an_estimate_is_not_called_what_was_found() {
    // Totals 60 and 30: half. The treated plots held twice as much before.
    let table = "block,trt,pre,y\n1,U,9,10\n1,S,22,6\n2,U,4,6\n2,S,7,2\n3,U,16,20\n3,S,35,11\n4,U,12,14\n4,S,21,7\n5,U,8,10\n5,S,18,4\n";
    let (_, said) = judge(table, &["--block", "block", "--before", "pre"]);
    assert!(
        said.contains("after allowing for the counts before (as counted: 50 % fewer)"),
        "{said}"
    );
    assert!(
        said.contains("Where the two differ, the verdict stands"),
        "{said}"
    );
    assert!(
        said.contains("than if S had changed from before as U did"),
        "{said}"
    );
}

/// In complete blocks random counts leave the ratio at that of the totals: clumping, not the blocks, moves it.
#[test]
fn what_moved_an_estimate_is_named() {
    let table = "block,trt,y\n1,U,40\n1,S,3\n2,U,4\n2,S,6\n3,U,61\n3,S,9\n4,U,12\n4,S,14\n5,U,8\n5,S,1\n6,U,19\n6,S,2\n";
    let (_, said) = judge(table, &["--block", "block"]);
    assert!(
        said.contains("after allowing for how the counts scatter (as counted: 76 % fewer)"),
        "{said}"
    );
}

#[test]
fn one_larva_bounds_no_mean() {
    let plots: Vec<String> = (0..12)
        .map(|i| format!("{},{},{}", i / 2, ["U", "S"][i % 2], u8::from(i == 0)))
        .collect();
    let (_, said) = judge(
        &format!("block,trt,y\n{}\n", plots.join("\n")),
        &["--block", "block"],
    );
    assert!(
        said.contains(
            "has no upper limit worth the name: it cannot be bounded from the one found in 6 plots"
        ),
        "{said}"
    );
}

#[test]
fn tied_groupings_are_named_with_their_file() {
    let (code, said) = judge("block,trt,y\n1,U,9\n2,S,2\n", &["--block", "block"]);
    assert!(
        code != Some(0)
            && said.contains("t.csv")
            && said.contains("block and trt always go together"),
        "{said}"
    );
    let (code, said) = judge("block,trt,y\n1,U,9\n2,U,2\n", &["--block", "block"]);
    assert!(
        code != Some(0) && said.contains("t.csv") && said.contains("U is the only treatment"),
        "{said}"
    );
}

#[test]
fn counts_before_that_repeat_the_treatments_give_no_figure() {
    let table =
        "block,trt,pre,y\n1,U,7,4\n1,S,2,6\n2,U,7,5\n2,S,2,2\n3,U,7,1\n3,S,2,3\n4,U,7,3\n4,S,2,4\n";
    let (_, said) = judge(table, &["--block", "block", "--before", "pre"]);
    assert!(said.contains("must not be used"), "{said}");
    assert!(
        !said.contains("Henderson") && !said.contains("From before"),
        "{said}"
    );
}

#[test]
fn the_rule_by_which_the_draw_leads_is_stated() {
    let plots: Vec<String> = (0..16)
        .map(|i| format!("{},{},{}", i / 2, ["U", "S"][i % 2], 3 + i % 5))
        .collect();
    let (_, said) = judge(
        &format!("block,trt,y\n{}\n", plots.join("\n")),
        &["--block", "block"],
    );
    assert!(
        said.contains("it leads where its smallest p for one method is 1.0e-12 or less"),
        "{said}"
    );
}
