//! Each rule has a sheet that breaks it and one that nearly does.

use halfgreen::table::{Problem, Rule};

use super::check;
use crate::scratch::example;

/// Rule, line and cell of its complaint, and words that it must have.
const RULES: [(Rule, u64, usize, &str); 33] = [
    (Rule::EmptyFile, 1, 1, "header line"),
    (Rule::BrokenLine, 5, 8, "never closed"),
    (Rule::MissingColumn, 1, 1, "no column `count`"),
    (Rule::RepeatedColumn, 1, 6, "two columns"),
    (Rule::UnknownColumn, 1, 8, "If note was meant"),
    (Rule::UnknownEvent, 0, 0, ""),
    (Rule::BlankCell, 4, 1, "plot is blank"),
    (Rule::UnknownPlot, 4, 1, "1, 2, 3, 4"),
    (Rule::UnknownOccasion, 11, 3, "If main was meant"),
    (Rule::UnknownStage, 6, 5, "If larva was meant"),
    (Rule::RepeatedCount, 5, 2, "line 4 already"),
    (
        Rule::CountsDiffer,
        18,
        6,
        "counts.csv:10 as well: count is 5 here and 4 there",
    ),
    (Rule::EnteredTwice, 18, 6, "they are one count"),
    (Rule::NegativeCount, 6, 6, "below zero"),
    (Rule::FractionalCount, 6, 6, "3.5"),
    (Rule::TextInCount, 6, 6, "If twelve was meant, write 12"),
    (Rule::NumberFormat, 6, 6, "about 100"),
    (Rule::HugeCount, 6, 6, "99999999"),
    (Rule::FullCore, 6, 6, "more than a core can hold"),
    (Rule::ImpossibleDate, 6, 4, "does not exist"),
    (
        Rule::OtherDateOrder,
        6,
        4,
        "read as 2026-09-14, the only day",
    ),
    (
        Rule::TwoDays,
        6,
        4,
        "the date is 2026-09-14, and `counted_at` says 2026-09-24",
    ),
    (Rule::ImpossibleMoment, 6, 10, "2026-09-24T06:40:00+01:00"),
    (Rule::ImpossibleArea, 6, 7, "more than 0"),
    (Rule::ImpossibleNumber, 6, 9, "0, 15 or 30"),
    (Rule::Outlier, 0, 0, ""),
    (Rule::UnevenWatch, 1, 1, "none so late: 4"),
    (Rule::SheetCatch, 1, 1, "plots that had none (U)"),
    (Rule::LateEvent, 0, 0, ""),
    (Rule::NotCounted, 6, 6, "not zero"),
    (Rule::NumberOfCores, 1, 1, "1 core on occasion \"main\""),
    (Rule::PlotNotCounted, 1, 1, "plot 4 has no count"),
    (Rule::OccasionNotCounted, 1, 1, "\"main\" yet"),
];

/// The name of a rule, which is that of its sheet.
fn name(rule: Rule) -> String {
    serde_json::to_value(rule)
        .unwrap()
        .as_str()
        .unwrap()
        .to_owned()
}

fn place(p: &Problem) -> (Rule, u64, usize) {
    (p.rule, p.line, p.column)
}

#[test]
fn a_sheet_that_breaks_a_rule_is_told_so_in_its_place() {
    // Events occur in files of their own, and outliers among more plots: both are tested there.
    for (rule, line, column, words) in RULES.into_iter().filter(|r| r.1 > 0) {
        let name = name(rule);
        let found = check(&example(&format!("untidy-counts/{name}.csv")));
        let problems = &found.result.problems;
        let hit = problems.iter().find(|p| place(p) == (rule, line, column));
        assert!(
            hit.is_some_and(|p| p.complaint.to_string().contains(words)),
            "{name}: {problems:#?}"
        );
        let errors = problems.iter().filter(|p| p.is_error()).count();
        assert_eq!(found.counts.is_none(), errors > 0, "{name}");
        assert!(
            errors <= 1,
            "{name}: one fault, one complaint: {problems:#?}"
        );
    }
}

#[test]
fn a_sheet_that_nearly_breaks_a_rule_passes_it() {
    for (rule, ..) in RULES.into_iter().filter(|r| r.1 > 0) {
        let name = name(rule);
        let found = check(&example(&format!("untidy-counts/nearly/{name}.csv")));
        let problems = &found.result.problems;
        assert!(
            problems.iter().all(|p| p.rule != rule),
            "{name}: {problems:#?}"
        );
        assert!(found.counts.is_some(), "{name}: {problems:#?}");
    }
}

/// A stated limit for what no ground can yield, at the limit and beyond it.
#[test]
fn impossible_numbers_are_refused_at_their_limit() {
    let area = |m2: &str| {
        check(&format!(
            "plot,sample,occasion,count,area_m2\n1,1,main,3,{m2}\n"
        ))
        .result
        .problems
    };
    let beyond =
        |problems: &[Problem], rule: Rule| problems.iter().any(|p| p.rule == rule && p.is_error());
    // The plot has 8 m2; a corer written in the wrong unit had 91.6.
    assert!(!beyond(&area("8"), Rule::ImpossibleArea));
    let found = area("91.6");
    assert!(beyond(&found, Rule::ImpossibleArea), "{found:#?}");
    let said = found[0].complaint.to_string();
    assert!(
        said.contains("91.6 m2 were sampled in plot 1") && said.contains("the plot has 8.00 m2"),
        "{said}"
    );
    // Two samples of 5 m2 are more than the plot as well.
    let two = check("plot,sample,occasion,count,area_m2\n1,1,main,3,5\n1,2,main,3,5\n")
        .result
        .problems;
    assert!(beyond(&two, Rule::ImpossibleArea), "{two:#?}");
    let count = |n: u32| {
        check(&format!("plot,sample,occasion,count\n1,1,main,{n}\n"))
            .result
            .problems
    };
    // A core of 0.01 m2 holds a hundred at ten thousand to the square metre.
    assert!(!beyond(&count(100), Rule::FullCore));
    assert!(beyond(&count(101), Rule::FullCore));
}

/// What is much like a known column was meant to be read.
#[test]
fn a_misspelt_column_is_refused_and_another_is_told() {
    let of = |heading: &str| {
        check(&format!(
            "plot,sample,occasion,count,{heading}\n1,1,main,3,x\n"
        ))
    };
    assert!(of("weather").counts.is_some());
    assert!(
        of("weather")
            .result
            .problems
            .iter()
            .any(|p| p.rule == Rule::UnknownColumn)
    );
    assert!(of("staeg").counts.is_none());
}

#[test]
fn a_tidy_sheet_is_read_whole() {
    let found = check(&example("untidy-counts/tidy.csv"));
    assert_eq!(found.result.problems, Vec::new());
    assert_eq!(
        (
            found.result.plots,
            found.result.counted,
            found.result.counts
        ),
        (4, 4, 16)
    );
    let counts = found.counts.unwrap();
    let first = &counts.observations()[0];
    assert_eq!((first.plot.as_str(), first.count, first.line), ("1", 7, 2));
    assert_eq!(first.area_m2, 0.01);
}

#[test]
fn what_spreadsheets_save_reads_like_the_tidy_sheet() {
    let tidy = check(&example("untidy-counts/tidy.csv")).counts;
    for name in ["semicolons", "tabs"] {
        assert_eq!(
            check(&example(&format!("untidy-counts/nearly/{name}.csv"))).counts,
            tidy,
            "{name}"
        );
    }
}

#[test]
fn all_faults_of_a_sheet_are_told_at_once() {
    let text = "plot,sample,occasion,count\n9,1,main,-1\n1,1,main,x\n1,1,main,2\n2,1,mian,3.5\n";
    let problems = check(text).result.problems;
    let found: Vec<_> = problems.iter().map(place).collect();
    let expected = [
        (Rule::UnknownPlot, 2, 1),
        (Rule::NegativeCount, 2, 4),
        (Rule::TextInCount, 3, 4),
        (Rule::RepeatedCount, 4, 2),
        (Rule::UnknownOccasion, 5, 3),
        (Rule::FractionalCount, 5, 4),
    ];
    assert_eq!(found, expected, "{problems:#?}");
}

#[test]
fn a_blank_count_is_missing_and_never_zero() {
    let found = check(&example("untidy-counts/not-counted.csv"));
    let missing = &found.result.missing;
    assert_eq!(missing.len(), 1);
    assert_eq!((missing[0].plot.as_str(), missing[0].counted), ("3", 1));
    assert_eq!(found.counts.unwrap().observations().len(), 15);
}

#[test]
fn lines_without_sample_numbers_are_the_cores_of_their_plot() {
    let found = check("plot,occasion,count\n1,main,2\n1,main,2\n2,main,0\n");
    let counts = found.counts.unwrap();
    let samples: Vec<_> = counts
        .observations()
        .iter()
        .map(|o| o.sample.as_str())
        .collect();
    assert_eq!(samples, ["1", "2", "1"]);
}

/// A count without a stage beside one with: they may well be of the same animals, and would be added up.
#[test]
fn a_stage_told_on_one_line_alone_is_no_second_count() {
    let problems = |rows: &str| {
        check(&format!("plot,sample,occasion,stage,count\n{rows}"))
            .result
            .problems
    };
    for rows in [
        "1,1,main,,3\n1,1,main,larva,3\n",
        "1,1,main,larva,3\n1,1,main,,0\n",
    ] {
        let found = problems(rows);
        let half = found
            .iter()
            .find(|p| p.rule == Rule::RepeatedCount && p.is_error());
        let half = half.unwrap_or_else(|| panic!("{rows}: {found:#?}"));
        assert_eq!((half.line, half.column), (3, 4));
        assert!(half.complaint.to_string().contains("counts.csv:2 as well"));
    }
    for rows in [
        "1,1,main,larva,3\n1,1,main,pupa,1\n",
        "1,1,main,,3\n2,1,main,larva,3\n",
    ] {
        let found = problems(rows);
        assert!(found.iter().all(|p| p.rule != Rule::RepeatedCount));
    }
}
