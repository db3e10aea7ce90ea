//! The track points of a GPX file.

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::projection::degrees_fault;
use crate::Error;
use crate::text::spelling::number;

const AGAIN: &str = "Export the track again as GPX.";

/// Longitudes and latitudes of the track points, in order.
pub(super) fn track(file: &str, text: &str) -> Result<Vec<[f64; 2]>, Error> {
    let mut reader = Reader::from_str(text.trim_start_matches('\u{feff}'));
    let (mut points, mut tracks, mut open) = (Vec::new(), 0_usize, 0_usize);
    loop {
        match reader.read_event() {
            Ok(Event::Eof) => break,
            Ok(Event::Start(tag)) => {
                tracks += usize::from(tag.local_name().as_ref() == "trk");
                points.extend(point(file, &tag, points.len() + 1)?);
                open += 1;
            }
            Ok(Event::Empty(tag)) => points.extend(point(file, &tag, points.len() + 1)?),
            Ok(Event::End(_)) => open = open.saturating_sub(1),
            Ok(_) => {}
            Err(e) => {
                let at = usize::try_from(reader.error_position()).unwrap_or(0);
                let line = 1 + text.get(..at).map_or(0, |t| t.matches('\n').count());
                let what = format!("the XML is broken ({e})");
                return Err(Error::new(format!("{file}:{line}:1"), what, AGAIN));
            }
        }
    }
    if open > 0 {
        let line = 1 + text.matches('\n').count();
        let what = format!(
            "the file breaks off: {} not closed",
            number(open, "element")
        );
        return Err(Error::new(
            format!("{file}:{line}:1"),
            what,
            "Copy the file again, or export the track again.",
        ));
    }
    if tracks > 1 {
        return Err(Error::new(
            file,
            format!("there are {tracks} tracks"),
            "Keep the one that goes round the edge of the green.",
        ));
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

/// The point that a tag stands for, if it is one.
fn point(file: &str, tag: &BytesStart<'_>, number: usize) -> Result<Option<[f64; 2]>, Error> {
    if tag.local_name().as_ref() != "trkpt" {
        return Ok(None);
    }
    let place = format!("{file}: track point {number}");
    let coordinate = |name| {
        coordinate(tag, name)
            .ok_or_else(|| Error::new(&place, format!("`{name}` is missing or no number"), AGAIN))
    };
    let [lon, lat] = [coordinate("lon")?, coordinate("lat")?];
    degrees_fault(&place, lon, lat).map_or(Ok(Some([lon, lat])), Err)
}

fn coordinate(tag: &BytesStart<'_>, name: &str) -> Option<f64> {
    let attribute = tag.try_get_attribute(name).ok()??;
    let value: f64 = attribute.value.trim().parse().ok()?;
    value.is_finite().then_some(value)
}
