//! Several files put together: the same counted twice is held against each other, and nothing of any file is lost.

use std::fmt::Write as _;

use halfgreen::intake::{FilesCheck, check_files};
use halfgreen::table::{Problem, Rule};

use super::{check, layout, protocol};
use crate::scratch::example;

fn together(files: &[(&str, &str)]) -> FilesCheck {
    let files: Vec<(String, String)> = files
        .iter()
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect();
    check_files("counts-merged.csv", &files, &protocol(), &layout()).unwrap()
}

fn of(found: &FilesCheck, rule: Rule) -> Vec<&Problem> {
    found
        .check
        .result
        .problems
        .iter()
        .filter(|p| p.rule == rule)
        .collect()
}

#[test]
fn halves_of_a_sheet_make_the_whole() {
    let tidy = example("untidy-counts/tidy.csv");
    let lines: Vec<&str> = tidy.lines().collect();
    let half = |odd: usize| {
        let rows = lines[1..]
            .iter()
            .enumerate()
            .filter(|(at, _)| at % 2 == odd);
        let rows: Vec<&str> = rows.map(|(_, line)| *line).collect();
        format!("{}\n{}\n", lines[0], rows.join("\n"))
    };
    let found = together(&[("a.csv", &half(0)), ("b.csv", &half(1))]);
    assert_eq!((found.new, found.check.result.problems.len()), (8, 0));
    let whole = check(&found.text.unwrap()).counts.unwrap();
    let sorted = |text: &str| {
        let check = check(text).counts.unwrap();
        let mut all: Vec<String> = check
            .observations()
            .iter()
            .map(|o| format!("{:?} {}", o.of(), o.count))
            .collect();
        all.sort();
        all
    };
    let mut met: Vec<String> = whole
        .observations()
        .iter()
        .map(|o| format!("{:?} {}", o.of(), o.count))
        .collect();
    met.sort();
    assert_eq!(met, sorted(&tidy));
}

#[test]
fn two_entries_are_held_against_each_other_cell_by_cell() {
    let one =
        "plot,sample,occasion,count,area_m2,note\n1,1,main,3,,windy\n1,2,main,4,,\n2,1,main,0,,\n";
    let other = "plot;sample;occasion;count;area_m2;note\n1;1;main;3;;crow\n1;2;main;4;0,02;\n2;1;main;6;;\n";
    let found = together(&[("one.csv", one), ("other.csv", other)]);
    let differ = of(&found, Rule::CountsDiffer);
    assert_eq!(differ.len(), 2);
    assert_eq!(
        (differ[0].place().as_str(), differ[1].place().as_str()),
        ("other.csv:3:5", "other.csv:4:4")
    );
    let said = differ[1].complaint.to_string();
    assert!(
        said.contains("one.csv:4 as well: count is 6 here and 0 there"),
        "{said}"
    );
    assert!(found.text.is_none(), "neither is chosen");
    let agree = together(&[
        ("one.csv", one),
        (
            "other.csv",
            "plot,sample,occasion,count,note\n1,1,main,3,crow\n",
        ),
    ]);
    assert_eq!(of(&agree, Rule::EnteredTwice).len(), 1);
    let text = agree.text.unwrap();
    assert!(
        text.contains("windy; crow"),
        "what both noted is kept: {text}"
    );
    assert_eq!(text.lines().count(), 4);
}

/// A blank in one file is filled by another; what no file fills stays a blank, and never becomes a zero.
#[test]
fn a_blank_is_filled_and_not_taken_for_nothing() {
    let planned = "plot,sample,occasion,count\n1,1,main,\n1,2,main,\n2,1,main,0\n";
    let phone = "plot,sample,occasion,count,counted_at,counter\n1,1,main,5,2026-09-24T06:40:00+01:00,Anna\n";
    let found = together(&[("counts.csv", planned), ("phone.csv", phone)]);
    assert_eq!(of(&found, Rule::NotCounted).len(), 1);
    let text = found.text.unwrap();
    let expected = "plot,sample,occasion,count,counted_at,counter\n1,2,main,,,\n2,1,main,0,,\n1,1,main,5,2026-09-24T06:40:00+01:00,Anna\n";
    assert_eq!(text, expected);
    // The moment tells the day.
    let counts = found.check.counts.unwrap();
    let day = counts.observations().iter().find_map(|o| o.date).unwrap();
    assert_eq!(day.to_string(), "2026-09-24");
}

/// Unread columns, decimal commas and texts that a spreadsheet would run come through.
#[test]
fn what_is_written_is_kept_and_does_not_run() {
    let found = together(&[
        (
            "a.csv",
            "plot;sample;occasion;count;area_m2;weather\n1;1;Main;3,0;0,02;=rain\n",
        ),
        (
            "b.csv",
            "plot,sample,occasion,date,count,sky\n1,2,main,24/09/2026,4,\"blue, clear\"\n",
        ),
    ]);
    let expected = "plot,sample,occasion,date,count,area_m2,weather,sky\n1,1,main,,3,0.02,'=rain,\n1,2,main,2026-09-24,4,,,\"blue, clear\"\n";
    assert_eq!(found.text.unwrap(), expected);
}

/// Lines without sample numbers in two files may be of the same cores or of others: nobody can say.
#[test]
fn cores_without_numbers_in_two_files_are_refused_once() {
    let file = "plot,occasion,count\n1,main,3\n1,main,4\n2,main,3\n2,main,1\n";
    let found = together(&[("a.csv", file), ("b.csv", file)]);
    let repeated = of(&found, Rule::RepeatedCount);
    assert_eq!((repeated.len(), repeated[0].times), (1, 4));
    assert!(
        repeated[0]
            .complaint
            .to_string()
            .contains("Number the samples"),
        "{repeated:?}"
    );
}

/// 144 dates in another order have one cause.
#[test]
fn the_same_cause_is_told_once_with_its_number() {
    let mut text = "plot,sample,occasion,date,count\n".to_owned();
    for at in 0..144 {
        writeln!(text, "{},{},main,24.09.2026,3", at % 4 + 1, at / 4 + 1).unwrap();
    }
    let found = check(&text);
    let dates: Vec<&Problem> = found
        .result
        .problems
        .iter()
        .filter(|p| p.rule == Rule::OtherDateOrder)
        .collect();
    assert_eq!((dates.len(), dates[0].times), (1, 144));
    let said = dates[0].complaint.to_string();
    assert!(
        said.contains("read as 2026-09-24")
            && said.contains("likewise on 143 more lines: 3, 4, 5")
            && said.contains("... 145"),
        "{said}"
    );
    assert!(found.counts.is_some());
}

/// A date with two readings is taken where its occasion lies near one of them alone.
#[test]
fn the_occasion_tells_which_day_is_meant() {
    let text = crate::scratch::PROTOCOL.replace(
        "name = \"main\"\n",
        "name = \"main\"\ndate = \"2026-09-01\"\n",
    );
    let dated = halfgreen::design::read_protocol("trial.toml", &text)
        .unwrap()
        .protocol;
    let read = |date: &str, protocol| {
        let text = format!("plot,sample,occasion,date,count\n1,1,main,{date},3\n");
        let counts =
            halfgreen::intake::check_counts("counts.csv", &text, protocol, &layout()).counts?;
        counts.observations()[0].date.map(|day| day.to_string())
    };
    for (written, meant) in [
        ("02/09/2026", Some("2026-09-02")),
        ("09/02/2026", Some("2026-09-02")),
        ("2/9/26", Some("2026-09-02")),
        ("26.9.2", Some("2026-09-02")),
        ("09/10/2026", Some("2026-09-10")),
        // A week after it or three weeks before: either may be meant.
        ("08/09/2026", None),
        ("03/04/2026", None),
    ] {
        assert_eq!(read(written, &dated).as_deref(), meant, "{written}");
    }
    let undated = protocol();
    // Without a day of the occasion nothing tells two readings apart, nor a year of two figures.
    assert_eq!(read("02/09/2026", &undated), None);
    assert_eq!(read("24/09/26", &undated), None);
    assert_eq!(read("24/09/2026", &undated).as_deref(), Some("2026-09-24"));
}

#[test]
fn the_plot_that_was_meant_is_offered() {
    let rows: Vec<String> = ["21", "22", "A7", "North 3", "North 4"]
        .map(|p| format!("{p},1,,,U,2,1,4,2,0\n"))
        .to_vec();
    let text = format!(
        "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n{}",
        rows.concat()
    );
    let layout = halfgreen::design::read_layout("layout.csv", &text, &[]).unwrap();
    let said = |plot: &str| {
        let text = format!("plot,sample,occasion,count\n{plot},1,main,3\n");
        let found = halfgreen::intake::check_counts("counts.csv", &text, &protocol(), &layout);
        found.result.problems[0].complaint.to_string()
    };
    for (written, meant) in [
        ("2l", "21"),
        ("021", "21"),
        ("zz", "22"),
        ("a-7", "A7"),
        ("Nroth 3", "North 3"),
        ("plot 22.0", "22"),
    ] {
        assert!(
            said(written).contains(&format!("If plot {meant} was meant")),
            "{written}: {}",
            said(written)
        );
    }
    // Two are as near as each other, and a bare number is near every other.
    for written in ["North 5", "23"] {
        assert!(
            said(written).contains("Its plots are"),
            "{written}: {}",
            said(written)
        );
    }
}
