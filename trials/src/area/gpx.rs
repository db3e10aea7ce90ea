//! Outlines from a walk round the edge, as a GPX track (GPX 1.1, Topografix).

use geo::{Coord, LineString, Simplify};
use halfgreen_analysis::results::Caution;

use super::checked::checked;
use super::file::fits;
use super::rings::{Part, Ring};
use super::track::track;
use super::{LocalFrame, Outline};
use crate::Error;
use crate::ranges::outline::{CORNERS, EDGE, GAP};

/// Points nearer than this to the last one kept are standing still, metres: a phone's position
/// wanders by more while its owner does not move.
const STANDING_M: f64 = 0.3;
/// Share of the walk that may be missing at its end.
const GAP_SHARE: f64 = 0.1;
/// Gap that goes without saying, metres.
const SMALL_GAP_M: f64 = 1.0;
/// Points simplified at a time: each split of a stretch waits for the next, so a stretch has an end.
const STRETCH: usize = 5000;

/// Reads the track points of a walk round the edge, in order.
///
/// The walk must come back to its start: within 10 m, a tenth of its length at most, for a phone errs by that
/// much; or within two of its strides where only corners were recorded. What is missing is closed by a straight line
/// and said.
///
/// Three simplifications, each named in [`Outline::repairs`]: a walk that went on past its start is
/// cut where it comes nearest to it; points within 0.3 m of the last kept are dropped; corners that
/// move the edge by less than `jitter_m` are dropped (Douglas and Peucker 1973, *Cartographica* 10,
/// 112-122). A consumer receiver errs by metres, so 0.2 m of jitter costs nothing.
///
/// # Errors
/// Every fault found: broken XML or a file that breaks off, a point without numbers for `lat` and `lon`, several
/// tracks, a walk that does not come back, fewer than three points, and those of [`checked`](super::checked).
pub fn read_gpx(file: &str, text: &str, jitter_m: f64) -> Result<Outline, Vec<Error>> {
    fits(file, text)?;
    let degrees = track(file, text).map_err(|e| vec![e])?;
    if !CORNERS.holds(degrees.len().max(3) as f64) {
        let found = format!("there are {} track points", degrees.len());
        let cure = "Keep the part of the track that goes round the edge.";
        return Err(vec![CORNERS.refuse(file, &found, cure)]);
    }
    let frame = LocalFrame::about(&degrees, file).map_err(|e| vec![e])?;
    let walked: Vec<Coord<f64>> = degrees
        .iter()
        .map(|&[lon, lat]| frame.to_metres(lon, lat).into())
        .collect();
    let mut repairs = Vec::new();
    let once = once_round(file, &walked, &mut repairs).map_err(|e| vec![e])?;
    let mut kept: Vec<Coord<f64>> = Vec::new();
    for &point in once {
        if kept
            .last()
            .is_none_or(|&last| apart(last, point) >= STANDING_M)
        {
            kept.push(point);
        }
    }
    let length = length(&kept);
    if !EDGE.holds(length) {
        let found = format!("the walk is {length:.0} m long");
        let cure = "Keep the part of the track that goes once round the edge.";
        return Err(vec![EDGE.refuse(file, &found, cure)]);
    }
    let smooth = smoothed(kept, jitter_m);
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

fn length(walked: &[Coord<f64>]) -> f64 {
    walked.windows(2).map(|w| apart(w[0], w[1])).sum()
}

/// The walk without corners that move it by less than `jitter_m`.
fn smoothed(walked: Vec<Coord<f64>>, jitter_m: f64) -> Vec<Coord<f64>> {
    if jitter_m <= 0.0 {
        return walked;
    }
    let mut smooth: Vec<Coord<f64>> = Vec::new();
    let mut first = 0;
    while first < walked.len() {
        let last = (first + STRETCH).min(walked.len() - 1);
        // Each stretch starts at the corner with which the one before ended.
        smooth.pop();
        let stretch = LineString::new(walked[first..=last].to_vec());
        smooth.extend(stretch.simplify(jitter_m).0);
        first = if last + 1 < walked.len() {
            last
        } else {
            walked.len()
        };
    }
    smooth
}

/// The walk up to where it comes nearest to its start again, looked for in its second half.
fn once_round<'a>(
    file: &str,
    walked: &'a [Coord<f64>],
    repairs: &mut Vec<Caution>,
) -> Result<&'a [Coord<f64>], Error> {
    let Some(&start) = walked.first() else {
        return Ok(walked);
    };
    let half = walked.len() / 2;
    let nearest = (half..walked.len())
        .min_by(|&a, &b| apart(walked[a], start).total_cmp(&apart(walked[b], start)));
    let once = nearest.map_or(walked, |end| &walked[..=end]);
    let gap = once.last().map_or(0.0, |&end| apart(start, end));
    let allowed = allowed_gap(walked);
    if gap > allowed {
        let end = walked.last().map_or(0.0, |&end| apart(start, end));
        return Err(Error::new(
            file,
            format!(
                "the walk ends {end:.1} m from its start and never comes back to it; a walk of {:.0} m may miss it by \
                 {allowed:.1} m, for {}",
                length(walked),
                GAP.reason
            ),
            "Walk on to the start, or draw the missing corners in another program.",
        ));
    }
    if once.len() < walked.len() {
        repairs.push(Caution::new(
            "walk-cut-at-start",
            format!(
                "The walk went on past its start; its last {} point(s) were cut off.",
                walked.len() - once.len()
            ),
        ));
    }
    if gap > SMALL_GAP_M {
        let message =
            format!("The walk ends {gap:.1} m from its start; it was closed by a straight line.");
        repairs.push(Caution::new("walk-closed", message));
    }
    Ok(once)
}

/// How far from its start a walk may end, metres.
fn allowed_gap(walked: &[Coord<f64>]) -> f64 {
    let mut strides: Vec<f64> = walked.windows(2).map(|w| apart(w[0], w[1])).collect();
    strides.sort_by(f64::total_cmp);
    let usual = strides.get(strides.len() / 2).copied().unwrap_or(0.0);
    GAP.end().min(GAP_SHARE * length(walked)).max(2.0 * usual)
}
