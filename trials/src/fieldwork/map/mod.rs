//! Maps of a layout: one to carry, one for the report.
//!
//! *In.* A checked outline, a layout, the treatments, a title. *Out.* One SVG document as text.
//! [`field_map`] is an A4 page at a true, round scale in millimetres: large plot numbers, treatments
//! as pattern and letter, guards, holes, zones, a north arrow and a bar of exactly 50 mm to check the
//! print by. [`sheet_map`] and [`marks_map`] are pieces of a page of somebody else's. [`report_map`] fits any width and prints a value in each plot; [`grid_map`] shows sample points,
//! [`strips_map`] strips of sheet.
//!
//! Colour is never alone: every treatment has a pattern and a letter that survive a black-and-white
//! printer.

mod frames;
mod ground;
mod hole_names;
mod page;
mod plots;
mod points;
mod sheet;
mod string;
mod strips;
mod treatment_look;
mod zone_names;

pub use page::{all_lettered, field_map, grid_map, marks_map, report_map, sheet_map};
pub use strips::{DrawnStrip, Told, strips_inset, strips_map};
pub use treatment_look::letters;
pub(crate) use zone_names::zone_names;
