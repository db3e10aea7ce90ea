//! Every reason a ring of corners cannot be used, all at once.

use super::crossings::{Crossings, crossings};
use super::land::SPECK_M2;
use super::refusals::{MOST, Refusals};
use super::rings::{Part, Ring, twice_area};
use crate::Error;
use crate::ranges::outline::{AREA, COORDINATE, EDGE, SHARE, WIDTH};
use crate::ranges::shown;
use crate::text::spelling::number;

/// Adds the faults of one ring; `degrees` tells that its metres came from degrees.
pub(super) fn ring_faults(ring: &Ring, degrees: bool, faults: &mut Refusals) {
    if let Some(fault) = too_few(ring, faults) {
        faults.push(fault);
        return;
    }
    let before = faults.number();
    faults.extend(far_out(ring));
    if faults.number() > before {
        return;
    }
    let (width, height) = extent(&ring.corners);
    if !degrees && looks_like_degrees(ring, width.max(height)) {
        let name = ring.part.name();
        faults.push(Error::new(
            ring.places[0].clone(),
            format!(
                "{name} is {width:.5} by {height:.5} wide: these look like degrees, not metres"
            ),
            "Save longitude and latitude as GeoJSON or GPX, or measure in metres.",
        ));
        return;
    }
    if let Some(fault) = swapped(ring) {
        faults.push(fault);
        return;
    }
    faults.extend(sizes(ring, width, height));
    faults.extend(met_twice(ring));
    faults.extend(crossing_faults(ring));
    if faults.number() == before {
        faults.extend(too_little(ring, width * height));
    }
}

fn too_few(ring: &Ring, faults: &Refusals) -> Option<Error> {
    let n = ring.corners.len();
    let first = ring.places.first();
    (n < 3).then(|| {
        Error::new(
            first.map_or(faults.file(), String::as_str),
            format!(
                "{} has {}; an area needs three",
                ring.part.name(),
                number(n, "corner")
            ),
            "Walk on round and write every corner.",
        )
    })
}

/// Corners beyond every map grid.
fn far_out(ring: &Ring) -> impl Iterator<Item = Error> {
    let corners = ring.corners.iter().zip(&ring.places);
    let out = corners.filter(|([x, y], _)| !(COORDINATE.holds(*x) && COORDINATE.holds(*y)));
    out.map(|([x, y], place)| {
        let found = format!("a corner lies at ({} m, {} m)", shown(*x), shown(*y));
        COORDINATE.refuse(place, &found, "Correct the number.")
    })
}

fn looks_like_degrees(ring: &Ring, widest: f64) -> bool {
    let mut corners = ring.corners.iter();
    widest < 0.05 && corners.all(|c| c[0].abs() <= 180.0 && c[1].abs() <= 90.0)
}

/// A ring wider or longer than any on a green.
fn sizes(ring: &Ring, width: f64, height: f64) -> Vec<Error> {
    let name = ring.part.name();
    let mut faults = Vec::new();
    if !WIDTH.holds(width.max(height)) {
        faults.push(WIDTH.refuse(
            &ring.places[0],
            &format!("{name} is {width:.0} m by {height:.0} m"),
            "Check the unit, and that all corners are in the same map zone.",
        ));
    }
    let length: f64 = super::edges::around(&ring.corners)
        .map(|e| e.length())
        .sum();
    if !EDGE.holds(length) {
        faults.push(EDGE.refuse(
            &ring.places[0],
            &format!("{name} is {length:.0} m long"),
            "Keep the corners of one walk round, in their order.",
        ));
    }
    faults
}

/// A ring round no ground, or an edge round too little or too thin.
fn too_little(ring: &Ring, box_m2: f64) -> Option<Error> {
    let (name, place) = (ring.part.name(), &ring.places[0]);
    let area = twice_area(&ring.corners).abs() / 2.0;
    // Coordinates near 1e7 (map grids) carry rounding of 1e-9 m.
    if area < SPECK_M2 {
        return Some(Error::new(
            place,
            format!("{name} encloses no area"),
            "Check that the corners do not all lie on one line.",
        ));
    }
    if ring.part != Part::Edge {
        return None;
    }
    if !AREA.holds(area) {
        let found = format!("{name} encloses {area:.4} m2");
        return Some(AREA.refuse(place, &found, "Check the unit of the corners."));
    }
    let share = 100.0 * area / box_m2;
    (!SHARE.holds(share.min(SHARE.end()))).then(|| {
        let found = format!("{name} fills {share:.2} % of the box round it");
        SHARE.refuse(
            place,
            &found,
            "Check that no corner is missing, or turn the axes along the ground.",
        )
    })
}

/// Corners visited twice although not one after the other.
fn met_twice(ring: &Ring) -> impl Iterator<Item = Error> {
    let mut order: Vec<usize> = (0..ring.corners.len()).collect();
    order.sort_by(|&a, &b| {
        let (p, q) = (ring.corners[a], ring.corners[b]);
        p[0].total_cmp(&q[0])
            .then(p[1].total_cmp(&q[1]))
            .then(a.cmp(&b))
    });
    let again = (1..order.len()).filter_map(move |i| {
        let (first, second) = (order[i - 1], order[i]);
        (ring.corners[first] == ring.corners[second]).then_some((first, second))
    });
    again.map(|(first, second)| {
        let [x, y] = ring.corners[second];
        let what = format!(
            "corner ({x}, {y}) was already given at {}",
            ring.places[first]
        );
        let cure = "Take one of the two out, or correct it.";
        Error::new(ring.places[second].clone(), what, cure)
    })
}

/// Edges that cross, and the corner whose coordinates look swapped if one explains them all.
fn crossing_faults(ring: &Ring) -> Vec<Error> {
    let Crossings {
        first: found,
        counted,
        complete,
    } = crossings(&ring.corners, MOST);
    let n = ring.corners.len();
    let corner = |i: usize| {
        let [x, y] = ring.corners[i % n];
        format!("({x}, {y})")
    };
    let hint = found.first().and_then(|_| untangling_swap(ring, &found));
    let more = counted - found.len();
    let rest = (more > 0 || !complete).then(|| {
        let name = ring.part.name();
        let what = match (more, complete) {
            (0, _) => format!("{name} winds so closely that its crossings cannot be told"),
            (_, true) => format!("{name} crosses itself {} more", number(more, "time")),
            (_, false) => format!(
                "{name} crosses itself at least {} more",
                number(more, "time")
            ),
        };
        Error::new(
            ring.places[0].clone(),
            what,
            "Walk round again, or draw the edge with fewer corners.",
        )
    });
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
        .chain(rest)
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
        crossings(&corners, 1).counted == 0
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
