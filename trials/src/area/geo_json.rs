//! Outlines as GeoJSON (RFC 7946: WGS 84, longitude first).

use geojson::{GeoJson, Position};
use halfgreen_analysis::results::Caution;

use super::checked::checked;
use super::features::{Piece, pieces};
use super::file::json_fits;
use super::projection::degrees_fault;
use super::refusals::Refusals;
use super::rings::{Part, Ring};
use super::{LocalFrame, Outline};
use crate::Error;

/// Reads a `Polygon`, a `Feature` or a `FeatureCollection`.
///
/// One polygon is the green, its inner rings are holes. In a collection a feature whose property `part` is `hole`
/// or `zone` is that, named by its property `name`; it may hold several polygons. Degrees become metres
/// east and north of the middle of the green, kept in [`Outline::frame`]. Either winding is taken.
///
/// # Errors
/// Every fault found: no JSON, a feature that is no polygon or of no known part, no green or several, a latitude beyond
/// 80 degrees (numbers swapped), points spread over more than a kilometre, and those of
/// [`checked`](super::checked); corners are named by feature, ring and number.
pub fn read_geojson(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    let text = text.trim_start_matches('\u{feff}');
    json_fits(file, text)?;
    let json = text.parse::<GeoJson>().map_err(|e| {
        vec![Error::new(
            file,
            format!("this is no GeoJSON ({e})"),
            "Export the outline as GeoJSON, or write x_m,y_m as CSV.",
        )]
    })?;
    let pieces = pieces(file, &json)?;
    one_green(file, &pieces)?;
    let mut faults = Refusals::new(file);
    let (mut repairs, mut degrees) = (Vec::new(), Vec::new());
    for piece in &pieces {
        degrees.push(ring_of(piece, &mut faults, &mut repairs));
    }
    if !faults.is_empty() {
        return Err(faults.done());
    }
    let green: Vec<[f64; 2]> = degrees
        .iter()
        .filter(|ring| ring.part == Part::Edge)
        .flat_map(|ring| ring.corners.iter().copied())
        .collect();
    let frame = LocalFrame::about(&green, file).map_err(|e| vec![e])?;
    for ring in &mut degrees {
        for corner in &mut ring.corners {
            *corner = frame.to_metres(corner[0], corner[1]);
        }
    }
    checked(file, degrees, Some(frame), repairs)
}

/// Checks that one piece is the green.
fn one_green(file: &str, pieces: &[Piece<'_>]) -> Result<(), Vec<Error>> {
    let greens: Vec<&str> = pieces
        .iter()
        .filter(|p| p.part == Part::Edge)
        .map(|p| p.place.as_str())
        .collect();
    let (what, cure) = match greens.as_slice() {
        [_] => return Ok(()),
        [] if pieces.is_empty() => (
            "there is no polygon".to_owned(),
            "Draw the edge of the green as a polygon.",
        ),
        [] => (
            "no polygon is the green: every one is marked as a hole or a zone".to_owned(),
            "Draw the edge of the green as a polygon without the property `part`.",
        ),
        several => (
            format!("{} polygons could be the green", several.len()),
            "Keep one polygon for the green; mark others with the property `part` as `hole` or `zone`. Each of several \
             greens has a file of its own.",
        ),
    };
    Err(vec![Error::new(file, what, cure)])
}

/// A ring in degrees, with the faults of its numbers.
fn ring_of(piece: &Piece<'_>, faults: &mut Refusals, repairs: &mut Vec<Caution>) -> Ring {
    let mut ring = Ring::new(piece.part.clone());
    for (position, number) in piece.ring.iter().zip(1..) {
        let place = format!("{}, corner {number}", piece.place);
        match corner(position, &place) {
            Ok(corner) => ring.push(corner, place),
            Err(fault) => faults.push(fault),
        }
    }
    // RFC 7946 repeats the first corner at the end.
    if ring.corners.len() > 1 && ring.corners.first() == ring.corners.last() {
        ring.corners.pop();
        ring.places.pop();
    } else {
        let message = format!(
            "{}: the ring does not return to its first corner; it was closed by a straight line.",
            piece.place
        );
        repairs.push(Caution::new("ring-closed", message));
    }
    ring
}

fn corner(position: &Position, place: &str) -> Result<[f64; 2], Error> {
    let Some(&[lon, lat]) = position.as_slice().first_chunk::<2>() else {
        return Err(Error::new(
            place,
            "a corner has fewer than two numbers",
            "Write longitude, then latitude.",
        ));
    };
    degrees_fault(place, lon, lat).map_or(Ok([lon, lat]), Err)
}
