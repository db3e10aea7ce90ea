//! Every reason an outline cannot be used, all at once.

use geo::{Contains, Coord, Polygon};
use halfgreen_analysis::results::Caution;

use super::crossings::crossings;
use super::rings::{Part, Ring, twice_area};
use super::{LocalFrame, Outline, Zone};
use crate::Error;
use crate::text::spelling::number;

/// Widest green believed, metres. The largest greens are some 60 m across; a kilometre allows a
/// whole fairway and still catches degrees, feet and mixed map zones.
const WIDEST_M: f64 = 1000.0;
/// Faults of one kind listed at most; the rest are the same slip again.
const MOST: usize = 5;

/// Checks rings in metres and makes the outline, the first [`Part::Edge`] being the green.
///
/// Repaired and named in [`Outline::repairs`]: a closing corner that repeats the first, a corner
/// that repeats the one before, an edge that runs clockwise.
///
/// # Errors
/// All of: fewer than three corners, a corner met twice, edges that cross (naming both corners),
/// no area, degrees in place of metres, a green wider than a kilometre, one corner with its
/// coordinates swapped, a hole or zone wholly off the green.
pub fn checked(
    file: &str,
    mut rings: Vec<Ring>,
    frame: Option<LocalFrame>,
    mut repairs: Vec<Caution>,
) -> Result<Outline, Vec<Error>> {
    let mut faults = Vec::new();
    for ring in &mut rings {
        ring.repair(&mut repairs);
        faults.extend(ring_faults(file, ring));
    }
    let edge = rings.iter().find(|r| r.part == Part::Edge);
    let Some(edge) = edge.filter(|_| faults.is_empty()) else {
        return Err(faults);
    };
    let green = edge.polygon();
    let (mut holes, mut zones) = (Vec::new(), Vec::new());
    for ring in &rings {
        let touches = ring
            .corners
            .iter()
            .any(|&[x, y]| green.contains(&Coord { x, y }))
            || green
                .exterior()
                .coords()
                .any(|c| ring.polygon().contains(c));
        if ring.part != Part::Edge && !touches {
            faults.push(Error::new(
                ring.places[0].clone(),
                format!("{} lies wholly off the green", ring.part.name()),
                "Measure it from the same origin as the edge, or take it out.",
            ));
        }
        match &ring.part {
            Part::Edge => {}
            Part::Hole(_) => holes.push(ring.line()),
            Part::Zone(name) => zones.push(Zone {
                name: name.clone(),
                ground: ring.polygon(),
            }),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Outline {
        ground: Polygon::new(edge.line(), holes),
        zones,
        frame,
        repairs,
    })
}

/// Whole metres, in powers of ten where figures would run across the page.
fn metres(length: f64) -> String {
    if length < 1e6 {
        format!("{length:.0} m")
    } else {
        format!("{length:.1e} m")
    }
}

/// Faults of one ring.
fn ring_faults(file: &str, ring: &Ring) -> Vec<Error> {
    let name = ring.part.name();
    let n = ring.corners.len();
    if n < 3 {
        let place = ring
            .places
            .first()
            .cloned()
            .unwrap_or_else(|| file.to_owned());
        return vec![Error::new(
            place,
            format!("{name} has {}; an area needs three", number(n, "corner")),
            "Walk on round and write every corner.",
        )];
    }
    let (width, height) = extent(&ring.corners);
    if ring
        .corners
        .iter()
        .all(|c| c[0].abs() <= 180.0 && c[1].abs() <= 90.0)
        && width.max(height) < 0.05
    {
        return vec![Error::new(
            ring.places[0].clone(),
            format!(
                "{name} is {width:.5} by {height:.5} wide: these look like degrees, not metres"
            ),
            "Save longitude and latitude as GeoJSON or GPX, or measure in metres.",
        )];
    }
    let mut faults = Vec::new();
    if let Some(fault) = swapped(ring) {
        return vec![fault];
    }
    if width.max(height) > WIDEST_M {
        faults.push(Error::new(
            ring.places[0].clone(),
            format!(
                "{name} is {} by {}, wider than any green",
                metres(width),
                metres(height)
            ),
            "Check the unit, and that all corners are in the same map zone.",
        ));
    }
    faults.extend(met_twice(ring));
    faults.extend(crossing_faults(ring));
    // Coordinates near 1e7 (map grids) carry rounding of 1e-9 m; an area below a square centimetre
    // is no ground.
    if faults.is_empty() && twice_area(&ring.corners).abs() < 2e-4 {
        faults.push(Error::new(
            ring.places[0].clone(),
            format!("{name} encloses no area"),
            "Check that the corners do not all lie on one line.",
        ));
    }
    faults
}

/// Corners visited twice although not one after the other.
fn met_twice(ring: &Ring) -> Vec<Error> {
    let mut order: Vec<usize> = (0..ring.corners.len()).collect();
    order.sort_by(|&a, &b| {
        let (p, q) = (ring.corners[a], ring.corners[b]);
        p[0].total_cmp(&q[0])
            .then(p[1].total_cmp(&q[1]))
            .then(a.cmp(&b))
    });
    order
        .windows(2)
        .filter(|w| ring.corners[w[0]] == ring.corners[w[1]])
        .take(MOST)
        .map(|w| {
            let [x, y] = ring.corners[w[1]];
            Error::new(
                ring.places[w[1]].clone(),
                format!(
                    "corner ({x}, {y}) was already given at {}",
                    ring.places[w[0]]
                ),
                "Take one of the two out, or correct it.",
            )
        })
        .collect()
}

/// Edges that cross, and the corner whose coordinates look swapped if one explains them all.
fn crossing_faults(ring: &Ring) -> Vec<Error> {
    let found = crossings(&ring.corners, MOST);
    let n = ring.corners.len();
    let corner = |i: usize| {
        let [x, y] = ring.corners[i % n];
        format!("({x}, {y})")
    };
    let hint = found.first().and_then(|_| untangling_swap(ring, &found));
    found
        .iter()
        .map(|&(i, j, [x, y])| {
            Error::new(
                ring.places[i].clone(),
                format!(
                    "the edge {} to {} crosses the edge {} to {} (corners {} and {}) near ({x:.2}, {y:.2})",
                    corner(i), corner(i + 1), corner(j), corner(j + 1),
                    ring.places[i], ring.places[j],
                ),
                hint.clone().unwrap_or_else(|| {
                    "Put the corners in the order you meet them walking round.".to_owned()
                }),
            )
        })
        .collect()
}

/// The cure when swapping x and y of one corner at a crossing removes every crossing.
fn untangling_swap(ring: &Ring, found: &[(usize, usize, [f64; 2])]) -> Option<String> {
    let n = ring.corners.len();
    // Trying a corner costs a search for crossings; long walked outlines are no hand-typed tables.
    if n > 500 {
        return None;
    }
    let mut suspects: Vec<usize> = found
        .iter()
        .flat_map(|&(i, j, _)| [i, (i + 1) % n, j, (j + 1) % n])
        .collect();
    suspects.sort_unstable();
    suspects.dedup();
    let at = suspects.into_iter().find(|&i| {
        let mut corners = ring.corners.clone();
        corners[i].reverse();
        crossings(&corners, 1).is_empty()
    })?;
    let [x, y] = ring.corners[at];
    Some(format!(
        "At {} the two numbers look swapped: try {y}, {x} in place of {x}, {y}.",
        ring.places[at]
    ))
}

/// A corner far from all the others that would be among them with x and y swapped.
fn swapped(ring: &Ring) -> Option<Error> {
    let n = ring.corners.len();
    let middle = |axis: usize| {
        let mut values: Vec<f64> = ring.corners.iter().map(|c| c[axis]).collect();
        values.sort_by(f64::total_cmp);
        values[n / 2]
    };
    let centre = [middle(0), middle(1)];
    let far = |c: [f64; 2]| (c[0] - centre[0]).hypot(c[1] - centre[1]);
    let mut reach: Vec<f64> = ring.corners.iter().map(|&c| far(c)).collect();
    reach.sort_by(f64::total_cmp);
    // Ten times the usual reach is no corner of the same green.
    let limit = 10.0 * reach[n / 2];
    let at = ring
        .corners
        .iter()
        .position(|&[x, y]| far([x, y]) > limit && far([y, x]) <= limit)?;
    let [x, y] = ring.corners[at];
    Some(Error::new(
        ring.places[at].clone(),
        format!("corner ({x}, {y}) lies far from all others, but ({y}, {x}) would lie among them"),
        "Swap the two numbers.",
    ))
}

/// Width and height of the box round the corners.
fn extent(corners: &[[f64; 2]]) -> (f64, f64) {
    let span = |axis: usize| {
        let (low, high) = corners
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| {
                (l.min(c[axis]), h.max(c[axis]))
            });
        high - low
    };
    (span(0), span(1))
}
