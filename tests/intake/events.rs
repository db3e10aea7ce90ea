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

/// Every column and word has an effect, or is refused with the nearest one that has.
#[test]
fn what_says_nothing_is_not_let_by() {
    let read = |text: &str| read_events("events.csv", text, &protocol(), &layout());
    let column = read("plot,event,covered_fracton\n2,blown off,0.5\n").unwrap_err();
    assert_eq!(column[0].rule, Rule::UnknownColumn);
    assert!(column[0].is_error() && column[0].complaint.to_string().contains("covered_fraction"));
    let other = read("plot,event,weather\n2,blown off,gale\n").unwrap_err();
    assert!(other[0].is_error(), "{other:?}");
    let word = read("plot,event\n2,blwon off\n").unwrap_err();
    assert_eq!(word[0].rule, Rule::UnknownEvent);
    assert!(
        word[0].complaint.to_string().contains("`blown off`"),
        "{word:?}"
    );
    // A share says it, whatever the event is called.
    assert_eq!(
        read("plot,event,covered_fraction\n2,wind,0.2\n").unwrap()[0].covered_fraction,
        Some(0.2)
    );
    // A word that says it needs no share.
    let said = read("plot,event\n2,Blown off\n3,sheet laid\n4,flood\n").unwrap();
    let shares: Vec<Option<f64>> = said.iter().map(|e| e.covered_fraction).collect();
    assert_eq!(shares, [Some(0.0), Some(1.0), None]);
}

/// Lines for people, such as the example under the header, are no events, and no line changes its number by them.
#[test]
fn lines_that_begin_with_a_hash_are_skipped() {
    let text = "# what happened\nplot,date,event,covered_fraction,note\n# 3,2026-09-20,blown off,0.5,\"gale, a fence post\"\n\
                2,2026-09-20,sheet laid,1,\"two lines\n# of one note\"\n   # 4,,flood,,\n3,2026-09-21,birds,,#7 on the map\n";
    let events = read_events("events.csv", text, &protocol(), &layout()).unwrap();
    let met: Vec<(&str, u64)> = events.iter().map(|e| (e.plot.as_str(), e.line)).collect();
    assert_eq!(met, [("2", 4), ("3", 7)]);
    assert_eq!(events[0].note.as_deref(), Some("two lines\n# of one note"));
    let only = "plot,date,event,covered_fraction,note\n# 3,2026-09-20,blown off,0.5,\n";
    assert_eq!(
        read_events("events.csv", only, &protocol(), &layout()),
        Ok(Vec::new())
    );
}
