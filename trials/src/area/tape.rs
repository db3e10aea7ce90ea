//! Outlines measured by tape: distances along a baseline, offsets to either side.

use super::Outline;
use super::checked::checked;
use super::file::table_fits;
use super::refusals::{Refusals, capped};
use super::rings::{Part, Ring};
use crate::Error;
use crate::ranges::outline::TAPE;
use crate::table::{RawTable, errors};

/// Reads tape offsets from CSV text with the columns `distance_m,left_m,right_m`: at each distance
/// along a straight string, how far the edge lies to its left and right (standing at its start and
/// looking along it). A blank cell is an edge not measured there; a negative offset lies on the
/// other side. Where the string itself leaves the green, both offsets are 0.
///
/// The string becomes the x axis; left is the y axis.
///
/// # Errors
/// Every fault found, each with `file:line:column`: a missing column, a cell that is no number, a
/// distance that does not grow, a left offset less than the right allows, and those of
/// [`checked`](super::checked).
pub fn read_tape(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    table_fits(file, text)?;
    let table = RawTable::read(file, text).map_err(|problems| capped(file, errors(problems)))?;
    let mut columns = [0; 3];
    let mut faults = Refusals::new(file);
    for (at, name) in columns.iter_mut().zip(["distance_m", "left_m", "right_m"]) {
        match table.required(name) {
            Ok(column) => *at = column,
            Err(missing) => faults.push(missing.into()),
        }
    }
    if !faults.is_empty() {
        return Err(faults.done());
    }
    let [along, left, right] = columns;
    let (mut lefts, mut rights) = (Vec::new(), Vec::new());
    let mut reached = f64::NEG_INFINITY;
    for row in &table.rows {
        let offset = |c: usize| {
            let written = Some(&row[c]).filter(|cell| !cell.text.is_empty());
            written
                .map(|cell| table.number_within(cell, &TAPE))
                .transpose()
        };
        let cells = (
            table.number_within(&row[along], &TAPE),
            offset(left),
            offset(right),
        );
        let (Ok(x_m), Ok(l), Ok(r)) = cells else {
            faults.extend(
                [cells.0.err(), cells.1.err(), cells.2.err()]
                    .into_iter()
                    .flatten(),
            );
            continue;
        };
        if x_m <= reached {
            faults.push(Error::new(
                table.place(&row[along]),
                format!("{x_m} m along the string comes after {reached} m"),
                "Write the lines in the order you walk along the string.",
            ));
        }
        reached = x_m;
        if let (Some(l), Some(r)) = (l, r)
            && l + r < 0.0
        {
            faults.push(Error::new(
                table.place(&row[left]),
                format!("the left edge ({l} m) lies right of the right edge ({r} m)"),
                "Check the sign: an offset is negative only when that edge lies across the string.",
            ));
        }
        lefts.extend(l.map(|l| ([x_m, l], table.place(&row[left]))));
        rights.extend(r.map(|r| ([x_m, -r], table.place(&row[right]))));
    }
    if !faults.is_empty() {
        return Err(faults.done());
    }
    checked(file, vec![round(lefts, rights)], None, Vec::new())
}

type Corner = ([f64; 2], String);

/// Out along the right edge, back along the left: anticlockwise. Where both meet on the string the
/// corner is written once.
fn round(lefts: Vec<Corner>, rights: Vec<Corner>) -> Ring {
    let mut ring = Ring::new(Part::Edge);
    for (corner, place) in rights.into_iter().chain(lefts.into_iter().rev()) {
        if ring.corners.last() != Some(&corner) {
            ring.push(corner, place);
        }
    }
    if ring.corners.len() > 1 && ring.corners.first() == ring.corners.last() {
        ring.corners.pop();
        ring.places.pop();
    }
    ring
}
