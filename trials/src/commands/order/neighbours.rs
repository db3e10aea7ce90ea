//! Sheet of the roll's whole width that would lie on plots which are to stay bare.

use geo::{Area, BooleanOps};

use super::super::trial;
use crate::Warning;
use crate::design::{Layout, Protocol};
use crate::night::order::{Patch, SheetOrder};
use crate::night::takeoff::rectangle;
use crate::store::{LAYOUT, TrialFolder};

/// Overlap below which a strip only touches a plot: rounding of its length, square metres.
const TOUCHES_M2: f64 = 0.01;

/// The warning; nothing where no bare plot lies under sheet.
pub(super) fn warning(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    patches: &[Patch],
    sheet: &SheetOrder,
) -> Option<Warning> {
    // Whole greens and plans are no trial: their patches bear no plot's name.
    let layout = trial::layout(folder, protocol).ok()?;
    let plots = bare_under_sheet(&layout, patches, sheet);
    if plots.is_empty() {
        return None;
    }
    let (which, they) = match plots.as_slice() {
        [one] => (format!("plot {one}"), "it is"),
        several => (format!("plots {}", several.join(", ")), "they are"),
    };
    let message = format!(
        "sheet as wide as the roll would lie on {which}, where none is to lie: fold it under or cut it to width, else {they} \
         covered as well and the trial compares sheet with sheet"
    );
    Some(super::warning(
        "sheet-on-bare-plot",
        message,
        &folder.shown(LAYOUT),
    ))
}

/// Names of plots that are not covered and on which a strip lies.
fn bare_under_sheet(layout: &Layout, patches: &[Patch], sheet: &SheetOrder) -> Vec<String> {
    let covered: Vec<&str> = patches.iter().filter_map(|p| p.name.as_deref()).collect();
    if covered.is_empty() {
        return Vec::new();
    }
    let mut under: Vec<String> = Vec::new();
    for plot in &layout.plots {
        if covered.contains(&plot.plot.as_str()) || under.contains(&plot.plot) {
            continue;
        }
        let centre = [plot.x_m, plot.y_m];
        let ground = rectangle(centre, [plot.length_m, plot.width_m], plot.angle_deg);
        let lies = sheet.strips.iter().any(|s| {
            let shared = s.strip.rectangle().intersection(&ground);
            s.green == plot.green && shared.unsigned_area() > TOUCHES_M2
        });
        if lies {
            under.push(plot.plot.clone());
        }
    }
    under
}
