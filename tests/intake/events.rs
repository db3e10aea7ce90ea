//! What happened to the plots.

use halfgreen::intake::read_events;
use halfgreen::table::Rule;

use super::{layout, protocol};

#[test]
fn events_are_read_in_file_order() {
    let text = "plot;date;event;covered_fraction;note\n2;2026-09-20;sheet laid;1;\n2;;blown off;0,5;gale\n";
    let events = read_events("events.csv", text, &protocol(), &layout()).unwrap();
    assert_eq!(events.len(), 2);
    assert_eq!(events[1].covered_fraction, Some(0.5));
    assert_eq!(events[1].note.as_deref(), Some("gale"));
}

#[test]
fn every_fault_of_the_events_is_told() {
    let text = "plot,date,event,covered_fraction\n8,2026-13-01,,1.5\n";
    let faults = read_events("events.csv", text, &protocol(), &layout()).unwrap_err();
    let rules: Vec<Rule> = faults.iter().map(|p| p.rule).collect();
    let expected = [
        Rule::UnknownPlot,
        Rule::ImpossibleDate,
        Rule::ImpossibleNumber,
        Rule::BlankCell,
    ];
    assert_eq!(rules, expected);
}
