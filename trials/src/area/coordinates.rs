//! Outlines as `x_m,y_m` tables.

use super::Outline;
use super::checked::checked;
use super::rings::{Part, Ring};
use super::shapes::circle;
use crate::Error;
use crate::table::{RawTable, errors};

/// Reads an outline from CSV text with the columns `x_m,y_m`, one corner a line in order round the
/// edge.
///
/// An optional column `part` marks corners that belong to something else: `hole` or `hole NAME` for
/// ground no plot may touch, `zone NAME` for like ground; blank or `edge` is the green's edge. A
/// part of a single line with an optional column `radius_m` is a circle.
///
/// # Errors
/// Every fault found, each with `file:line:column` or the corner's line.
pub fn read_csv(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    let table = RawTable::read(file, text).map_err(errors)?;
    let (x, y) = match (table.required("x_m"), table.required("y_m")) {
        (Ok(x), Ok(y)) => (x, y),
        (x, y) => return Err(errors([x.err(), y.err()].into_iter().flatten())),
    };
    let (part, radius) = (table.position("part"), table.position("radius_m"));
    let mut rings: Vec<Ring> = vec![Ring::new(Part::Edge)];
    let mut faults = Vec::new();
    for row in &table.rows {
        let belongs = match part.map_or(Ok(Part::Edge), |c| Part::read(&table, &row[c])) {
            Ok(belongs) => belongs,
            Err(e) => {
                faults.push(e);
                continue;
            }
        };
        let point = (table.number_in(&row[x]), table.number_in(&row[y]));
        let radius = radius.map_or(Ok(None), |c| table.number_or_blank(&row[c]));
        let (Ok(x_m), Ok(y_m), Ok(radius)) = (&point.0, &point.1, &radius) else {
            faults.extend(
                [point.0.err(), point.1.err(), radius.err()]
                    .into_iter()
                    .flatten(),
            );
            continue;
        };
        let ring = ring_of(&mut rings, belongs);
        if let Some(radius_m) = radius {
            for corner in circle(*x_m, *y_m, *radius_m) {
                ring.push(corner, table.place(&row[x]));
            }
        } else {
            ring.push([*x_m, *y_m], table.place(&row[x]));
        }
    }
    if faults.is_empty() {
        checked(file, rings, None, Vec::new())
    } else {
        Err(faults)
    }
}

/// The ring a corner belongs to, made when first met.
fn ring_of(rings: &mut Vec<Ring>, part: Part) -> &mut Ring {
    let at = rings
        .iter()
        .position(|r| r.part == part)
        .unwrap_or_else(|| {
            rings.push(Ring::new(part));
            rings.len() - 1
        });
    &mut rings[at]
}
