//! Any table of counts, by the names of its columns.

use halfgreen::intake::{Columns, read_columns, read_count};
use halfgreen::table::{RawTable, Rule};

fn wanted() -> Columns {
    Columns {
        count: "larvae".to_owned(),
        treatment: "method".to_owned(),
        control: "none".to_owned(),
        block: Some("block".to_owned()),
        area: Some("area".to_owned()),
        ..Columns::default()
    }
}

#[test]
fn levels_stand_in_file_order_and_rows_keep_theirs() {
    let text = "method;block;larvae;area\nsheet;B;3;0,5\nnone;A;12;0,5\nsheet;A;;0,5\nnone;B;7;1\n";
    let table = read_columns("t.csv", text, &wanted()).unwrap();
    assert_eq!(table.counts, [3, 12, 7]);
    assert_eq!(table.treatments.levels, ["sheet", "none"]);
    assert_eq!(
        (table.treatments.codes.as_slice(), table.control),
        ([0, 1, 1].as_slice(), 1)
    );
    assert_eq!(table.blocks.unwrap().levels, ["B", "A"]);
    assert_eq!(table.areas.unwrap(), [0.5, 0.5, 1.0]);
    assert_eq!(table.lines, [2, 3, 5]);
    assert_eq!(
        (table.problems[0].rule, table.problems[0].line),
        (Rule::NotCounted, 4)
    );
}

#[test]
fn every_fault_of_a_table_is_told() {
    let text = "method,blok,larvae,area\nsheet,A,x,0\nnon,A,1,\n";
    let faults = read_columns("t.csv", text, &wanted()).unwrap_err();
    let rules: Vec<Rule> = faults.iter().map(|p| p.rule).collect();
    let expected = [
        Rule::TextInCount,
        Rule::MissingColumn,
        Rule::ImpossibleNumber,
        Rule::ImpossibleNumber,
        Rule::ImpossibleNumber,
    ];
    assert_eq!(rules, expected, "{faults:#?}");
    assert!(
        faults[1]
            .complaint
            .to_string()
            .contains("Did you mean `blok`")
    );
    let refusal = halfgreen::Error::from(faults[1].clone()).to_string();
    assert_eq!(
        refusal,
        "t.csv:1:1: there is no column `block`. Did you mean `blok`?"
    );
    assert!(
        faults[4]
            .complaint
            .to_string()
            .contains("Did you mean `non`")
    );
}

#[test]
fn cells_follow_rfc_4180_and_keep_their_lines() {
    let text = "a,b\r\n\r\n\"one, \"\"two\"\"\",\"x\r\ny\"\r\n3,4\r\n";
    let table = RawTable::read("t.csv", text).unwrap();
    assert_eq!(table.rows[0][0].text, "one, \"two\"");
    assert_eq!(table.rows[0][1].text, "x\r\ny");
    assert_eq!((table.rows[0][0].line, table.rows[1][1].line), (3, 5));
    assert_eq!(table.rows[1][1].column, 2);
}

#[test]
fn a_quotation_mark_inside_a_text_opens_nothing() {
    let table = RawTable::read("t.csv", "a,b\n1,6\" deep\n").unwrap();
    assert_eq!(table.rows[0][1].text, "6\" deep");
    let fault = &RawTable::read("t.csv", "a,\"b\n1,2\n").unwrap_err()[0];
    assert_eq!(
        (fault.rule, fault.line, fault.column),
        (Rule::BrokenLine, 1, 2)
    );
}

#[test]
fn a_number_uses_the_decimal_sign_of_its_table() {
    let comma = RawTable::read("t.csv", "a;b\n1,5;2\n").unwrap();
    assert_eq!(
        (comma.number("1,5"), comma.number("1.5")),
        (Some(1.5), Some(1.5))
    );
    let point = RawTable::read("t.csv", "a,b\n1,2\n").unwrap();
    assert_eq!(
        (
            point.number("1,5"),
            point.number("inf"),
            point.number("nan")
        ),
        (None, None, None)
    );
}

#[test]
fn a_text_that_is_no_count_is_named_for_what_it_looks_like() {
    let cases = [
        ("1,234", Rule::NumberFormat, "1234"),
        ("1.234", Rule::NumberFormat, "1234"),
        ("1 234", Rule::NumberFormat, "1234"),
        ("2,5", Rule::FractionalCount, "2,5"),
        ("\u{2212}4", Rule::NegativeCount, "below zero"),
        ("+4", Rule::NumberFormat, "Write 4"),
        ("seven", Rule::TextInCount, "Write 7"),
        ("elevn", Rule::TextInCount, "write 11"),
        ("1O", Rule::TextInCount, "write 10"),
        ("n/a", Rule::TextInCount, "leave the cell blank"),
        ("#REF!", Rule::TextInCount, "not a number"),
    ];
    for (text, rule, words) in cases {
        let fault = read_count(text).unwrap_err();
        assert_eq!(fault.rule, rule, "{text}: {}", fault.complaint);
        assert!(
            fault.complaint.to_string().contains(words),
            "{text}: {}",
            fault.complaint
        );
    }
    assert_eq!(read_count(" "), Ok(None));
    assert_eq!(read_count("007"), Ok(Some(7)));
    assert_eq!(read_count("3,00"), Ok(Some(3)));
}
