//! Outlines from a walk round the edge, as a GPX track (GPX 1.1, Topografix).

use geo::{Coord, LineString, Simplify};
use halfgreen_analysis::results::Caution;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::faults::checked;
use super::rings::{Part, Ring};
use super::{LocalFrame, Outline};
use crate::Error;

/// Points nearer than this to the last one kept are standing still, metres: a phone's position
/// wanders by more while its owner does not move.
const STANDING_M: f64 = 0.3;

/// Reads the track points of a walk round the edge, in order.
///
/// Three simplifications, each named in [`Outline::repairs`]: a walk that went on past its start is
/// cut where it comes nearest to it; points within 0.3 m of the last kept are dropped; corners that
/// move the edge by less than `jitter_m` are dropped (Douglas and Peucker 1973, *Cartographica* 10,
/// 112-122). A consumer receiver errs by metres, so 0.2 m of jitter costs nothing.
///
/// # Errors
/// Every fault found: broken XML, a point without numbers for `lat` and `lon`, fewer than three
/// points, and those of [`checked`](super::checked).
pub fn read_gpx(file: &str, text: &str, jitter_m: f64) -> Result<Outline, Vec<Error>> {
    let degrees = track(file, text).map_err(|e| vec![e])?;
    let frame = LocalFrame::about(&degrees, file).map_err(|e| vec![e])?;
    let walked: Vec<Coord<f64>> = degrees
        .iter()
        .map(|&[lon, lat]| frame.to_metres(lon, lat).into())
        .collect();
    let mut repairs = Vec::new();
    let once = once_round(&walked);
    if once.len() < walked.len() {
        repairs.push(Caution::new(
            "walk-cut-at-start",
            format!(
                "The walk went on past its start; its last {} point(s) were cut off.",
                walked.len() - once.len()
            ),
        ));
    }
    let mut kept: Vec<Coord<f64>> = Vec::new();
    for &point in once {
        if kept
            .last()
            .is_none_or(|&last| apart(last, point) >= STANDING_M)
        {
            kept.push(point);
        }
    }
    let smooth = if jitter_m > 0.0 {
        LineString::new(kept).simplify(jitter_m).0
    } else {
        kept
    };
    if smooth.len() < once.len() {
        repairs.push(Caution::new(
            "track-simplified",
            format!(
                "Of {} track points {} were kept: the others lay within {STANDING_M} m of the one before \
                 or moved the edge by less than {jitter_m} m.",
                once.len(),
                smooth.len()
            ),
        ));
    }
    let mut ring = Ring::new(Part::Edge);
    for (i, c) in smooth.iter().enumerate() {
        ring.push([c.x, c.y], format!("{file}: kept point {}", i + 1));
    }
    checked(file, vec![ring], Some(frame), repairs)
}

fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

/// The walk up to where it comes nearest to its start again, looked for in its second half.
fn once_round(walked: &[Coord<f64>]) -> &[Coord<f64>] {
    let Some(&start) = walked.first() else {
        return walked;
    };
    let half = walked.len() / 2;
    let nearest = (half..walked.len())
        .min_by(|&a, &b| apart(walked[a], start).total_cmp(&apart(walked[b], start)));
    nearest.map_or(walked, |end| &walked[..=end])
}

/// Longitudes and latitudes of the track points.
fn track(file: &str, text: &str) -> Result<Vec<[f64; 2]>, Error> {
    let mut reader = Reader::from_str(text.trim_start_matches('\u{feff}'));
    let mut points = Vec::new();
    loop {
        match reader.read_event() {
            Ok(Event::Eof) => break,
            Ok(Event::Start(tag) | Event::Empty(tag)) if tag.local_name().as_ref() == "trkpt" => {
                let coordinate = |name| {
                    coordinate(&tag, name).ok_or_else(|| {
                        Error::new(
                            format!("{file}: track point {}", points.len() + 1),
                            format!("`{name}` is missing or no number"),
                            "Export the track again as GPX.",
                        )
                    })
                };
                let point = [coordinate("lon")?, coordinate("lat")?];
                points.push(point);
            }
            Ok(_) => {}
            Err(e) => {
                let at = usize::try_from(reader.error_position()).unwrap_or(0);
                let line = 1 + text.get(..at).map_or(0, |t| t.matches('\n').count());
                return Err(Error::new(
                    format!("{file}:{line}:1"),
                    format!("the XML is broken ({e})"),
                    "Export the track again as GPX.",
                ));
            }
        }
    }
    if points.is_empty() {
        return Err(Error::new(
            file,
            "there are no track points",
            "Record a track (not waypoints or a route) while walking round the edge.",
        ));
    }
    Ok(points)
}

fn coordinate(tag: &BytesStart<'_>, name: &str) -> Option<f64> {
    let attribute = tag.try_get_attribute(name).ok()??;
    let value: f64 = attribute.value.trim().parse().ok()?;
    value.is_finite().then_some(value)
}
