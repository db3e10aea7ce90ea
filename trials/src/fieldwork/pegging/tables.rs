//! `pegging.csv`: the marks, then every peg in walking order.

use std::fmt::Write;

use super::{Pegging, Place};
use crate::text::table_cells::written;

/// Every mark and peg of all greens as CSV: metres to the centimetre, places on the outline's axes to the millimetre, degrees
/// to seven decimals (a centimetre). Columns of degrees only where an outline is in WGS 84, of greens only where there are several.
#[must_use]
pub fn pegging_csv(greens: &[Pegging]) -> String {
    let named = greens.iter().any(|g| g.green.is_some());
    let degrees = greens.iter().any(|g| g.marks[0].place.lon.is_some());
    let mut text = String::new();
    if named {
        text.push_str("green,");
    }
    text.push_str("plot,peg,from_p_m,from_q_m,along_m,offset_m,x_m,y_m,");
    text.push_str(if degrees {
        "lon,lat,diagonal_m,from_last_plot_m\n"
    } else {
        "diagonal_m,from_last_plot_m\n"
    });
    for green in greens {
        let head = match &green.green {
            Some(name) => format!("{},", quoted(name)),
            None => String::new(),
        };
        let mut line =
            |plot: &str, peg: &str, tapes: [f64; 4], at: &Place, checks: [Option<f64>; 2]| {
                let tapes = tapes.map(|m| format!("{m:.2}")).join(",");
                let checks = checks
                    .map(|m| m.map_or_else(String::new, |m| format!("{m:.2}")))
                    .join(",");
                let degrees = match (degrees, at.lon, at.lat) {
                    (true, Some(lon), Some(lat)) => format!("{lon:.7},{lat:.7},"),
                    (true, ..) => ",,".to_owned(),
                    (false, ..) => String::new(),
                };
                // Writing into a text does not fail.
                writeln!(
                    text,
                    "{head}{},{peg},{tapes},{:.3},{:.3},{degrees}{checks}",
                    quoted(plot),
                    at.x_m,
                    at.y_m
                )
                .unwrap_or_default();
            };
        let [p, q] = &green.marks;
        line(
            "",
            "mark P",
            [0.0, green.base_m, 0.0, 0.0],
            &p.place,
            [None; 2],
        );
        line(
            "",
            "mark Q",
            [green.base_m, 0.0, green.base_m, 0.0],
            &q.place,
            [None; 2],
        );
        for plot in &green.plots {
            for (i, peg) in plot.pegs.iter().enumerate() {
                let tapes = [peg.from_p_m, peg.from_q_m, peg.along_m, peg.offset_m];
                let first = |m: Option<f64>| m.filter(|_| i == 0);
                let checks = [first(Some(plot.diagonal_m)), first(plot.from_last_m)];
                line(&plot.plot, peg.corner, tapes, &peg.place, checks);
            }
        }
    }
    text
}

/// A name as a cell that no spreadsheet runs, in quotation marks where it needs them (RFC 4180).
fn quoted(name: &str) -> String {
    let cell = written(name);
    if cell.contains([',', '"', '\n', '\r', ';']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.into_owned()
    }
}
