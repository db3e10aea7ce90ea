//! The page for counting as it is written: the plan in it, names that try to leave it, treatments that nobody may see.
//!
//! What the page does is tested by node beside this file (`rules.cjs`, `merge.cjs`, `spoken.cjs`) and in a browser (`tests/browser`).

use halfgreen::area::rectangle;
use halfgreen::design::{
    Green, Layout, Protocol, ResponseKind, Seal, lay_out, read_protocol, seal,
};
use halfgreen::fieldwork::tally::{TallyPlan, page};
use serde_json::Value;

use crate::design::trial::green;
use crate::scratch::PROTOCOL;

fn trial() -> (Protocol, Layout, Seal) {
    let protocol = read_protocol("trial.toml", PROTOCOL).unwrap().protocol;
    let greens = [Green {
        name: None,
        outline: green(&rectangle(30.0, 20.0)),
    }];
    let laid = lay_out(&protocol, greens.as_slice(), 4).unwrap();
    let sealed = seal(
        &protocol,
        greens.as_slice(),
        &laid,
        "2026-09-01T09:00:00Z",
        None,
    )
    .unwrap();
    (protocol, laid.layout, sealed)
}

/// The plan that stands in a page, read as a browser reads it: up to the first end of a script.
fn plan_in(page: &str) -> Value {
    let (_, after) = page
        .split_once("<script type=\"application/json\" id=\"plan\">")
        .unwrap();
    let (json, _) = after.split_once("</script").unwrap();
    serde_json::from_str(json).unwrap()
}

#[test]
fn the_page_holds_the_plan_and_asks_for_nothing_else() {
    let (protocol, layout, sealed) = trial();
    let plan = TallyPlan::of(&protocol, &layout, &sealed, false).unwrap();
    let page = page(&plan);
    let told = plan_in(&page);
    assert_eq!(told, serde_json::to_value(&plan).unwrap());
    let names: Vec<&str> = told["plots"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, layout.names());
    assert_eq!(told["rules"]["columns"].as_array().unwrap().len(), 11);
    for mark in ["<!--", "http:", "https:", "src=", "@import", "url("] {
        let found = page.replace("http://www.w3.org/2000/svg", "");
        assert!(!found.contains(mark), "{mark}");
    }
}

#[test]
fn corners_stand_round_the_centre() {
    let (protocol, mut layout, sealed) = trial();
    let first = &mut layout.plots[0];
    (first.x_m, first.y_m, first.angle_deg) = (10.0, 5.0, 90.0);
    (first.length_m, first.width_m) = (4.0, 2.0);
    let plan = TallyPlan::of(&protocol, &layout, &sealed, false).unwrap();
    let expected = [[11.0, 3.0], [11.0, 7.0], [9.0, 7.0], [9.0, 3.0]];
    for (found, expected) in plan.plots[0]
        .corners
        .iter()
        .flatten()
        .zip(expected.iter().flatten())
    {
        assert!(
            (found - expected).abs() < 1e-9,
            "{:?}",
            plan.plots[0].corners
        );
    }
    assert!((plan.plots[0].area_m2 - 8.0).abs() < 1e-12);
}

#[test]
fn names_stay_text_in_the_page() {
    let (mut protocol, mut layout, sealed) = trial();
    let odd = "</script><script>alert(1)</script><!--<script>\u{2028}{{x}}<!--script-->";
    odd.clone_into(&mut protocol.trial.title);
    odd.clone_into(&mut layout.plots[0].plot);
    let plan = TallyPlan::of(&protocol, &layout, &sealed, false).unwrap();
    let page = page(&plan);
    assert_eq!(page.matches("<script").count(), 2);
    assert_eq!(page.matches("</script").count(), 2);
    let told = plan_in(&page);
    assert_eq!(told["title"], odd);
    assert_eq!(told["plots"][0]["name"], odd);
    assert!(page.contains("<title>Tally: &lt;/script&gt;"));
}

#[test]
fn a_hidden_treatment_is_nowhere_in_the_page() {
    let (mut protocol, mut layout, sealed) = trial();
    for (i, treatment) in protocol.treatments.iter_mut().enumerate() {
        treatment.name = format!("secret method {i}");
        let code = format!("secret code {i}");
        for plot in layout
            .plots
            .iter_mut()
            .filter(|p| p.treatment == treatment.code)
        {
            plot.treatment.clone_from(&code);
        }
        treatment.code = code;
    }
    let shown = TallyPlan::of(&protocol, &layout, &sealed, false).unwrap();
    assert!(page(&shown).contains("secret method 1"));
    let hidden = TallyPlan::of(&protocol, &layout, &sealed, true).unwrap();
    assert!(!page(&hidden).contains("secret"));
}

#[test]
fn readings_have_no_tally() {
    let (mut protocol, layout, sealed) = trial();
    protocol.response.kind = ResponseKind::Score;
    assert_eq!(TallyPlan::of(&protocol, &layout, &sealed, false), None);
}
