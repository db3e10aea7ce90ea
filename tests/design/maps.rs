//! Maps as documents: well formed, named, sized in millimetres, true to scale.

use halfgreen::area::read_csv;
use halfgreen::design::kinds::{Paired, RandomisedBlocks, SplitPlot};
use halfgreen::design::lay_out;
use halfgreen::fieldwork::map::{all_lettered, field_map, grid_map, report_map};
use halfgreen::scouting::grid::{Density, GridPlan, Pattern, grid};
use quick_xml::Reader;
use quick_xml::events::Event;

use super::trial::{KIDNEY, green, protocol};

/// Reads the document to its end and counts elements of a name.
fn count(svg: &str, name: &str) -> usize {
    let mut reader = Reader::from_str(svg);
    let mut found = 0;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => return found,
            Event::Start(tag) | Event::Empty(tag) if tag.local_name().as_ref() == name => {
                found += 1;
            }
            _ => {}
        }
    }
}

/// A sheet is laid over a whole plot, so its plots are lined round together.
#[test]
fn whole_plots_of_a_split_plot_are_lined_round() {
    let mut plan = protocol(&SplitPlot, &["o", "oa", "s", "sa"], 3);
    plan.plot.width_m = 2.0;
    plan.design.arrangement.whole_plots =
        vec![vec!["o".into(), "oa".into()], vec!["s".into(), "sa".into()]];
    let outline = green(&halfgreen::area::rectangle(40.0, 30.0));
    let laid = lay_out(&plan, &outline, 3).unwrap();
    let map = field_map(&outline, &laid.layout, &plan.treatments, 0.5, "Split").unwrap();
    assert_eq!(map.matches("<title>Whole plot</title>").count(), 6);
    assert!(map.contains("Thin line: whole plot."));
}

/// On ground where a plot is a millimetre high, its number would lie on its neighbours.
#[test]
fn a_plot_too_small_for_lettering_bears_none() {
    let plan = protocol(&RandomisedBlocks, &["open", "sheet"], 4);
    for (side, lettered) in [(30.0, true), (600.0, false)] {
        let outline = green(&halfgreen::area::rectangle(side, side));
        let laid = lay_out(&plan, &outline, 3).unwrap();
        let labels: Vec<String> = (0..8).map(|i| format!("U {i}")).collect();
        let map = report_map(&outline, &laid.layout, &plan.treatments, &labels, "Counts").unwrap();
        assert_eq!(all_lettered(&outline, &laid.layout), lettered);
        assert_eq!(map.contains(">U 7</text>"), lettered);
        assert_eq!(map.matches("class=\"plot\"").count(), 8);
        let carried = field_map(&outline, &laid.layout, &plan.treatments, 0.5, "Far").unwrap();
        assert_eq!(carried.contains("pegging.html"), !lettered);
    }
}

/// Blocks are named in letters of 2.5 mm or more at the coarsest usual scale, with half a metre of guard.
#[test]
fn names_of_blocks_can_be_read_at_1_to_200() {
    let plan = protocol(&RandomisedBlocks, &["open", "sheet"], 4);
    let drawn = |length: f64| {
        let outline = green(&halfgreen::area::rectangle(length, 20.0));
        let laid = lay_out(&plan, &outline, 3).unwrap();
        field_map(&outline, &laid.layout, &plan.treatments, 0.5, "Coarse").unwrap()
    };
    let coarse = |map: &String| map.contains("Map at 1 : 200.");
    let map = [30.0, 35.0, 40.0, 45.0, 50.0]
        .map(drawn)
        .into_iter()
        .find(coarse);
    let map = map.unwrap();
    let name = map.split("<text").find(|t| t.contains(">block 1<"));
    let size = name.and_then(|t| t.split("font-size=\"").nth(1)?.split('"').next());
    let size: f64 = size.unwrap().parse().unwrap();
    assert!(size >= 2.5, "{size}");
}

#[test]
fn maps_are_well_formed_and_speak() {
    let outline = read_csv("outline.csv", KIDNEY).unwrap();
    let mut plan = protocol(&RandomisedBlocks, &["open", "sheet", "air"], 4);
    plan.treatments[1].name = "Sheet <black> & \"opaque\"".into();
    let laid = lay_out(&plan, &outline, 3).unwrap();
    let carry = field_map(&outline, &laid.layout, &plan.treatments, 0.5, "A & B < C").unwrap();
    // The kidney is wider than high, so its page lies.
    assert!(carry.contains("width=\"297mm\" height=\"210mm\""));
    assert!(carry.contains("@page { size: 297mm 210mm; margin: 0 }"));
    assert!(!carry.contains("Whole plot"));
    assert!(carry.contains("role=\"img\"") && count(&carry, "desc") == 1);
    assert_eq!(count(&carry, "pattern"), 2);
    let labels: Vec<String> = (0..12).map(|i| i.to_string()).collect();
    let told = report_map(&outline, &laid.layout, &plan.treatments, &labels, "Counts").unwrap();
    assert!(told.contains("width=\"100%\"") && count(&told, "svg") == 1);
    // A second map on the page has other names for its parts.
    let other = report_map(&outline, &laid.layout, &plan.treatments, &labels, "Other").unwrap();
    let names = |svg: &str| -> Vec<String> {
        let parts = svg.split(" id=\"").skip(1);
        parts
            .map(|p| p.split('"').next().unwrap_or_default().to_owned())
            .collect()
    };
    assert_eq!(names(&told).len(), 5);
    assert!(names(&told).iter().all(|n| !names(&other).contains(n)));
    let short = report_map(
        &outline,
        &laid.layout,
        &plan.treatments,
        &labels[1..],
        "Counts",
    );
    assert!(short.unwrap_err().what.contains("11 labels"));
    let ask = GridPlan {
        pattern: Pattern::Square,
        density: Density::Points(20),
        margin_m: 0.5,
        seed: 1,
    };
    let points = grid(&outline, &ask).unwrap();
    let scout = grid_map(&outline, &points, "Scouting").unwrap();
    // One circle for each point; the hole is a path.
    assert_eq!(count(&scout, "circle"), points.points.len());
}

/// At 1 : 150 a court of 25 m is 166.67 mm wide on paper.
#[test]
fn a_map_is_true_to_scale() {
    let outline = green(&halfgreen::area::rectangle(25.0, 23.0));
    let plan = protocol(&Paired, &["open", "sheet"], 6);
    let laid = lay_out(&plan, &outline, 3).unwrap();
    let map = field_map(&outline, &laid.layout, &plan.treatments, 0.5, "Court").unwrap();
    assert!(map.contains("Map at 1 : 150."));
    // The green comes first in a clipping path.
    let clip = map.split("<clipPath").nth(1).unwrap();
    let edge = clip.split("d=\"M").nth(1).unwrap();
    let numbers: Vec<f64> = edge[..edge.find('Z').unwrap()]
        .split(['L', ' '])
        .map(|n| n.parse().unwrap())
        .collect();
    assert!((numbers[2] - numbers[0] - 25_000.0 / 150.0).abs() < 0.02);
    assert!((numbers[3] - numbers[5] - 23_000.0 / 150.0).abs() < 0.02);
    let mut strange = laid.layout;
    strange.plots[0].treatment = "unknown".into();
    assert!(field_map(&outline, &strange, &plan.treatments, 0.5, "Court").is_err());
}
