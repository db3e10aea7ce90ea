//! Pictures for names of any length: nothing is cut off at the edge, nothing lies on anything else.

mod lettering;

use halfgreen::area::{Outline, read_csv, rectangle};
use halfgreen::description::Bar;
use halfgreen::design::kinds::{Paired, RandomisedBlocks};
use halfgreen::design::lay_out;
use halfgreen::fieldwork::map::{field_map, grid_map, report_map};
use halfgreen::report::{frequencies, frequency_data};
use halfgreen::scouting::grid::{Density, GridPlan, Pattern, grid};
use proptest::prelude::*;

use lettering::lines;
pub(crate) use lettering::{lettering_is_apart, lettering_is_inside};

use crate::design::trial::{KIDNEY, green, protocol};

/// Names as people give them, and worse: short, of many words, of one endless word, with signs that must be escaped.
fn names() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-zA-Z]{1,12}",
        "([a-zA-Z]{1,14} ){1,20}[a-z]{1,9}",
        "[W]{1,120}",
        "[a-zé<>&\" ]{1,60}[a-z]",
    ]
}

fn kidney(zone: &str) -> Outline {
    let zone: String = zone
        .chars()
        .filter(|c| c.is_alphanumeric() || *c == ' ')
        // "zone " goes before it, and a name has at most 200 characters.
        .take(190)
        .collect();
    read_csv(
        "outline.csv",
        &KIDNEY.replace("zone shade", &format!("zone {zone}")),
    )
    .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn maps_keep_their_lettering_on_paper(
        treatments in proptest::collection::vec(names(), 2..=12),
        title in names(),
        zone in names(),
        short in any::<bool>(),
        blocks in 1_usize..=3,
        angle in prop_oneof![Just(0.0), Just(30.0), Just(90.0), 0.0..180.0],
    ) {
        let code = |i: usize| if short { format!("T{i}") } else { format!("treatment-{i}") };
        let codes: Vec<String> = (0..treatments.len()).map(code).collect();
        let codes: Vec<&str> = codes.iter().map(String::as_str).collect();
        let mut plan = protocol(&RandomisedBlocks, &codes, blocks);
        (plan.plot.length_m, plan.plot.width_m) = (1.2, 1.2);
        plan.design.arrangement.angle_deg = Some(angle);
        for (treatment, name) in plan.treatments.iter_mut().zip(treatments) {
            treatment.name = name;
        }
        let outline = kidney(&zone);
        let laid = lay_out(&plan, &outline, 3).unwrap();
        let carried = field_map(&outline, &laid.layout, &plan.treatments, 0.5, &title).unwrap();
        lettering_is_inside("field map", &carried);
        let labels: Vec<String> = (0..laid.layout.plots.len()).map(|i| format!("T {}", 37 * i)).collect();
        let told = report_map(&outline, &laid.layout, &plan.treatments, &labels, &title).unwrap();
        lettering_is_inside("report map", &told);
    }

    #[test]
    fn sample_points_keep_their_numbers_on_paper(points in 5_usize..200, title in names(), zone in names()) {
        let outline = kidney(&zone);
        let ask = GridPlan {
            pattern: Pattern::Square,
            density: Density::Points(points),
            margin_m: 0.3,
            seed: 1,
        };
        let found = grid(&outline, &ask).unwrap();
        lettering_is_inside("grid map", &grid_map(&outline, &found, &title).unwrap());
    }

    #[test]
    fn bars_keep_their_names_apart(
        counts in proptest::collection::vec(0_u64..100_000, 1..=30),
        span in prop_oneof![Just(1_u64), Just(7), Just(12_345)],
        animals in names(),
        units in names(),
    ) {
        let bars: Vec<Bar> = (0..).zip(&counts).map(|(i, n)| Bar {
            from: i * span,
            to: (i + 1) * span - 1,
            observed: *n,
            poisson: *n as f64 * 0.7,
            negative_binomial: (span > 1).then_some(*n as f64 * 1.1),
        }).collect();
        let svg = frequencies(&bars, &animals, &units).unwrap();
        lettering_is_inside("frequencies", &svg);
        lettering_is_apart("frequencies", &svg);
        let data = frequency_data(&bars, &units);
        prop_assert_eq!(data.rows.len(), bars.len());
        prop_assert!(data.csv().is_ok());
    }
}

/// Names that fit are there in full, and those that do not are told in full to a screen reader.
#[test]
fn what_does_not_fit_is_marked_as_cut() {
    let outline = green(&rectangle(30.0, 20.0));
    let mut plan = protocol(&Paired, &["open", "sheet"], 4);
    let laid = lay_out(&plan, &outline, 3).unwrap();
    plan.treatments[1].name = "covered overnight with woven black sheeting".to_owned();
    let map = field_map(&outline, &laid.layout, &plan.treatments, 0.5, "Court").unwrap();
    let shown = |map: &str, word: &str| lines(map).0.iter().any(|l| l.text.contains(word));
    assert!(shown(&map, "sheeting") && !shown(&map, "…"));
    plan.treatments[1].name = "sheeting ".repeat(200);
    let map = field_map(&outline, &laid.layout, &plan.treatments, 0.5, "Court").unwrap();
    assert!(shown(&map, "…"));
    assert!(map.contains(plan.treatments[1].name.trim()));
    lettering_is_apart("map", &map);
}

/// The lines that are read here are those that were drawn: a line beyond the edge is found.
#[test]
#[should_panic(expected = "beyond the edge")]
fn a_line_beyond_the_edge_is_found() {
    let svg = "<svg viewBox=\"0 0 100 20\"><g transform=\"translate(60 0)\">\
               <text x=\"0\" y=\"12\" font-size=\"10\">beyond the edge</text></g></svg>";
    lettering_is_inside("test", svg);
}
