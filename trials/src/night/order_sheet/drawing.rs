//! The strips on a green.

use super::super::order::SheetOrder;
use crate::Error;
use crate::design::Green;
use crate::fieldwork::map::{DrawnStrip, Told, strips_inset, strips_map};

/// The drawing of one green as a file: a page of A4.
///
/// # Errors
/// A green that fits on no page.
pub fn strips_svg(
    order: &SheetOrder,
    green: &Green,
    title: &str,
    wind_from_deg: Option<f64>,
) -> Result<String, Error> {
    let (strips, description) = on(order, green);
    let told = Told {
        title,
        description: &description,
        wind_from_deg,
    };
    strips_map(&green.outline, &strips, told)
}

/// The same as a piece of a page.
pub(super) fn inset(
    order: &SheetOrder,
    green: &Green,
    title: &str,
    wind_from_deg: Option<f64>,
    room_mm: [f64; 2],
) -> Result<String, Error> {
    let (strips, description) = on(order, green);
    let told = Told {
        title,
        description: &description,
        wind_from_deg,
    };
    strips_inset(&green.outline, &strips, told, room_mm)
}

/// Strips on a green, and what is to be seen.
fn on(order: &SheetOrder, green: &Green) -> (Vec<DrawnStrip>, String) {
    let here = order.strips.iter().filter(|s| s.green == green.name);
    let strips: Vec<DrawnStrip> = here
        .map(|s| DrawnStrip {
            number: s.order,
            centre: [s.strip.x_m, s.strip.y_m],
            sides: [s.strip.length_m, s.strip.width_m],
            angle_deg: s.strip.angle_deg,
        })
        .collect();
    let numbers = match (strips.first(), strips.last()) {
        (Some(first), Some(last)) if last.number > first.number => {
            format!(
                "numbered {} to {} in the order of laying",
                first.number, last.number
            )
        }
        (Some(only), _) => format!("number {}", only.number),
        _ => "none".to_owned(),
    };
    let description = format!(
        "Plan of a green of {:.0} square metres with {} strips of sheet, {numbers}. North is up.",
        green.outline.area_m2(),
        strips.len()
    );
    (strips, description)
}
