//! `strips.csv`: every strip with its place and roll.

use std::fmt::Write;

use super::super::order::SheetOrder;
use crate::text::table_cells::written;

/// The strips in laying order, as CSV (RFC 4180). Lengths in metres; x, y and angle are those of the strip's centre.
#[must_use]
pub fn strips_csv(order: &SheetOrder) -> String {
    let mut text = "order,green,plot,roll,sort,length_m,width_m,x_m,y_m,angle_deg\r\n".to_owned();
    for s in &order.strips {
        let sort = order
            .rolls
            .get(s.roll.wrapping_sub(1))
            .map_or("", |r| r.sort.as_str());
        let of = |name: &Option<String>| quoted(name.as_deref().unwrap_or_default());
        // Writing to a String cannot fail.
        let _written = write!(
            text,
            "{},{},{},{},{},{:.2},{:.2},{:.2},{:.2},{:.2}\r\n",
            s.order,
            of(&s.green),
            of(&s.plot),
            s.roll,
            quoted(sort),
            s.strip.length_m,
            s.strip.width_m,
            s.strip.x_m,
            s.strip.y_m,
            s.strip.angle_deg
        );
    }
    text
}

/// A name as a cell that no spreadsheet runs, in quotes where it must be.
pub(super) fn quoted(name: &str) -> String {
    let cell = written(name);
    if cell.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.into_owned()
    }
}
