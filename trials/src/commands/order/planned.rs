//! The strips of a cover plan, as `hotspots --json` writes them.

use serde::Deserialize;

use crate::Error;
use crate::design::Green;
use crate::night::order::{Fixed, Patch, Way};
use crate::ranges::Range;
use crate::ranges::outline::COORDINATE;
use crate::ranges::protocol::{ANGLE, ROLL_LENGTH, ROLL_WIDTH};
use crate::ranges::request::ORDER_STRIPS;

/// The document, as far as it is read: others of its keys are about counts.
#[derive(Deserialize)]
struct Document {
    result: Found,
}

#[derive(Deserialize)]
struct Found {
    cover_plan: Vec<PlannedStrip>,
}

#[derive(Deserialize)]
struct PlannedStrip {
    strip: usize,
    lane: usize,
    green: Option<String>,
    x_m: f64,
    y_m: f64,
    length_m: f64,
    width_m: f64,
    angle_deg: f64,
    area_m2: f64,
    laid: bool,
}

/// The strips that are laid, as patches; `file` is the name of the plan.
pub(super) fn patches(file: &str, text: &str, greens: &[Green]) -> Result<Vec<Patch>, Vec<Error>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let read: Document = serde_json::from_str(text).map_err(|fault| {
        let place = format!("{file}:{}:{}", fault.line(), fault.column());
        let what = format!("this is no cover plan ({fault})");
        let cure = "Write one with `halfgreen hotspots DIR --json > plan.json`.";
        vec![Error::new(place, what, cure)]
    })?;
    let laid: Vec<PlannedStrip> = read
        .result
        .cover_plan
        .into_iter()
        .filter(|s| s.laid)
        .collect();
    if !ORDER_STRIPS.holds_whole(laid.len() as u64) {
        let found = format!("the plan lays {} strips", laid.len());
        let cure = "Plan with an outline and with sheet for a strip at least: `halfgreen hotspots DIR --json > plan.json`.";
        return Err(vec![ORDER_STRIPS.refuse(file, &found, cure)]);
    }
    let faults: Vec<Error> = laid.iter().filter_map(|s| fault(file, s, greens)).collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(greens
        .iter()
        .filter_map(|g| patch(g, &laid, greens))
        .collect())
}

/// What is wrong with a strip, if anything is.
fn fault(file: &str, strip: &PlannedStrip, greens: &[Green]) -> Option<Error> {
    let place = format!("{file} strip {}", strip.strip);
    let of_trial = |name: &Option<String>| greens.iter().any(|g| g.name == *name);
    // On one green alone its name says nothing.
    if !of_trial(&strip.green) && greens.len() > 1 {
        let green = strip.green.as_deref().unwrap_or("no green");
        let what = format!("it lies on {green}, which is no green of this trial");
        return Some(Error::new(
            place,
            what,
            "Plan for the greens of this trial.",
        ));
    }
    let numbers: [(&Range, f64); 6] = [
        (&COORDINATE, strip.x_m),
        (&COORDINATE, strip.y_m),
        (&ROLL_LENGTH, strip.length_m),
        (&ROLL_WIDTH, strip.width_m),
        (&ANGLE, strip.angle_deg),
        (&crate::ranges::outline::AREA, strip.area_m2),
    ];
    let outside = numbers
        .into_iter()
        .find(|(range, value)| !range.holds(*value));
    outside.map(|(range, value)| Error::new(place, range.fault(&value.to_string()), "Plan anew."))
}

/// The strips on a green; nothing where there are none.
fn patch(green: &Green, laid: &[PlannedStrip], greens: &[Green]) -> Option<Patch> {
    let here = |s: &&PlannedStrip| greens.len() == 1 || s.green == green.name;
    let strips: Vec<Fixed> = laid.iter().filter(here).map(fixed).collect();
    (!strips.is_empty()).then(|| Patch {
        green: green.name.clone(),
        name: None,
        way: Way::Planned(strips),
    })
}

fn fixed(strip: &PlannedStrip) -> Fixed {
    Fixed {
        lane: strip.lane,
        centre: [strip.x_m, strip.y_m],
        length_m: strip.length_m,
        width_m: strip.width_m,
        angle_deg: strip.angle_deg,
        area_m2: strip.area_m2,
    }
}
