//! From rings of corners to an outline, or every reason why not.

use halfgreen_analysis::results::Caution;

use super::holes::less_holes;
use super::land::Budget;
use super::refusals::Refusals;
use super::ring_faults::ring_faults;
use super::rings::{Part, Ring};
use super::zones::on_ground;
use super::{Hole, LocalFrame, Outline};
use crate::Error;
use crate::ranges::Range;
use crate::ranges::outline::{CORNERS, HOLES, ZONES};
use crate::text::spelling::number;

/// Checks rings in metres and makes the outline.
///
/// Repaired and named in [`Outline::repairs`]: a closing corner that repeats the first, a corner
/// that repeats the one before, an edge that runs clockwise, holes that overlap or reach beyond the edge, zones that
/// overlap.
///
/// # Errors
/// All of: no edge or two, fewer than three corners, a number out of its [range](crate::ranges), a corner met
/// twice, edges that cross (naming both corners), no area, degrees in place of metres, one corner with its
/// coordinates swapped, a hole or zone wholly off the green, holes that leave no ground or several pieces. Beyond
/// twenty of a kind they are counted.
pub fn checked(
    file: &str,
    mut rings: Vec<Ring>,
    frame: Option<LocalFrame>,
    mut repairs: Vec<Caution>,
) -> Result<Outline, Vec<Error>> {
    numbers(file, &rings)?;
    let mut faults = Refusals::new(file);
    for ring in &mut rings {
        ring.repair(&mut repairs);
        ring_faults(ring, frame.is_some(), &mut faults);
    }
    let edges: Vec<&Ring> = rings.iter().filter(|r| r.part == Part::Edge).collect();
    let &[edge] = edges.as_slice() else {
        let what = format!("{} rings are the edge of the green", edges.len());
        faults.push(Error::new(
            file,
            what,
            "Mark one ring as the edge, all others as holes or zones.",
        ));
        return Err(faults.done());
    };
    if !faults.is_empty() {
        return Err(faults.done());
    }
    let holes: Vec<&Ring> = rings
        .iter()
        .filter(|r| matches!(r.part, Part::Hole(_)))
        .collect();
    let mut budget = Budget::default();
    let ground = less_holes(edge, &holes, &mut budget, &mut repairs)?;
    let zones = on_ground(&ground, &rings, &mut budget, &mut repairs)?;
    let holes = holes.iter().filter_map(|ring| named_hole(ring)).collect();
    Ok(Outline {
        ground,
        holes,
        zones,
        frame,
        repairs,
    })
}

/// The hole that a ring draws.
fn named_hole(ring: &Ring) -> Option<Hole> {
    let Part::Hole(name) = &ring.part else {
        return None;
    };
    Some(Hole {
        name: name.clone(),
        ground: ring.polygon(),
    })
}

/// Checks how many corners, holes and zones there are.
fn numbers(file: &str, rings: &[Ring]) -> Result<(), Vec<Error>> {
    let many = |of: &dyn Fn(&Part) -> bool| rings.iter().filter(|r| of(&r.part)).count();
    let corners: usize = rings.iter().map(|r| r.corners.len()).sum();
    let holes = many(&|part| matches!(part, Part::Hole(_)));
    let zones = many(&|part| matches!(part, Part::Zone(_)));
    let counted: [(Range, usize, String, &str); 3] = [
        (
            CORNERS,
            corners.max(3),
            number(corners, "corner"),
            "Leave out corners that lie on a line with their neighbours.",
        ),
        (
            HOLES,
            holes,
            number(holes, "hole"),
            "Join holes that lie side by side.",
        ),
        (ZONES, zones, number(zones, "zone"), "Draw larger zones."),
    ];
    let over = counted
        .into_iter()
        .filter(|(range, found, ..)| !range.holds(*found as f64));
    let faults: Vec<Error> = over
        .map(|(range, _, found, cure)| range.refuse(file, &format!("there are {found}"), cure))
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}
