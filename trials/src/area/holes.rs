//! The ground: the edge less all its holes together.

use geo::{Area, BooleanOps, MultiPolygon, Polygon, unary_union};
use halfgreen_analysis::results::Caution;

use super::land::{Budget, Land, Relation, SPECK_M2};
use super::rings::Ring;
use crate::Error;
use crate::ranges::outline::AREA;

const TANGLED: &str = "Draw it again with fewer corners.";

/// The green less the union of its holes. Holes that lie apart inside the edge stay as they were drawn; what else
/// they do is said in `repairs`.
///
/// # Errors
/// A hole off the green, one that covers all of it, holes that leave nothing or cut the green in pieces.
pub(super) fn less_holes(
    edge: &Ring,
    holes: &[&Ring],
    budget: &mut Budget,
    repairs: &mut Vec<Caution>,
) -> Result<Polygon<f64>, Vec<Error>> {
    if holes.is_empty() {
        return Ok(edge.polygon());
    }
    let green = Land::new(edge.polygon());
    let mut faults = Vec::new();
    let mut kept: Vec<(&Ring, Land)> = Vec::new();
    let mut apart = true;
    for &hole in holes {
        let name = hole.part.name();
        let land = Land::new(hole.polygon());
        let refuse = |what: String, cure: &str| Error::new(hole.places[0].clone(), what, cure);
        match land.relation(&green, budget) {
            Relation::Within => {}
            Relation::Share(_) => {
                apart = false;
                repairs.push(Caution::new(
                    "hole-beyond-edge",
                    format!("A part of {name} lies beyond the edge; only what lies on the green was taken from it."),
                ));
            }
            Relation::Apart => faults.push(refuse(
                format!("{name} lies wholly off the green"),
                "Measure it from the same origin as the edge, or take it out.",
            )),
            Relation::Around | Relation::Same => faults.push(refuse(
                format!("{name} covers the whole green"),
                "Take it out, or mark it as the edge if it is the green.",
            )),
            Relation::Tangled => faults.push(refuse(
                format!("{name} and the edge cross too often to tell the ground"),
                TANGLED,
            )),
        }
        match among(&kept, &name, &land, budget) {
            Ok(Among::Apart) => kept.push((hole, land)),
            Ok(Among::Again(said)) => repairs.push(said),
            Ok(Among::Overlaps(said)) => {
                apart = false;
                repairs.push(said);
                kept.push((hole, land));
            }
            Err(what) => faults.push(refuse(what, TANGLED)),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    if apart {
        return Ok(Polygon::new(
            edge.line(),
            kept.iter().map(|(hole, _)| hole.line()).collect(),
        ));
    }
    let all: Vec<Polygon<f64>> = kept.into_iter().map(|(_, land)| land.polygon).collect();
    one_piece(
        green.polygon.difference(&unary_union(&all)),
        &edge.places[0],
        repairs,
    )
}

/// How a hole stands to those before it.
enum Among {
    Apart,
    Again(Caution),
    Overlaps(Caution),
}

fn among(
    before: &[(&Ring, Land)],
    name: &str,
    land: &Land,
    budget: &mut Budget,
) -> Result<Among, String> {
    for (other, earlier) in before {
        let other = other.part.name();
        let said = match land.relation(earlier, budget) {
            Relation::Apart => continue,
            Relation::Tangled => {
                return Err(format!(
                    "{name} and {other} cross too often to tell the ground"
                ));
            }
            Relation::Same => {
                let message = format!(
                    "The same ground is drawn twice, as {other} and as {name}; it was taken once."
                );
                return Ok(Among::Again(Caution::new("hole-given-twice", message)));
            }
            Relation::Within => format!("{name} lies within {other}"),
            Relation::Around => format!("{other} lies within {name}"),
            Relation::Share(_) => format!("{name} and {other} overlap"),
        };
        let message = format!("{said}: no plot may lie on either.");
        return Ok(Among::Overlaps(Caution::new(
            "holes-overlap",
            sentence(&message),
        )));
    }
    Ok(Among::Apart)
}

/// The ground in one piece; scraps on which no core can be taken are dropped and said.
fn one_piece(
    left: MultiPolygon<f64>,
    place: &str,
    repairs: &mut Vec<Caution>,
) -> Result<Polygon<f64>, Vec<Error>> {
    let (mut pieces, scraps): (Vec<_>, Vec<_>) = left
        .into_iter()
        .partition(|p| p.unsigned_area() >= AREA.start());
    let lost: f64 = scraps.iter().map(Area::unsigned_area).sum();
    let areas: Vec<String> = pieces
        .iter()
        .map(|p| format!("{:.1} m2", p.unsigned_area()))
        .collect();
    let refuse = |what: String, cure: &str| Err(vec![Error::new(place, what, cure)]);
    let Some(ground) = pieces.pop() else {
        return refuse(
            "the holes leave nothing of the green".to_owned(),
            "Check the corners of the holes.",
        );
    };
    if !pieces.is_empty() {
        return refuse(
            format!(
                "the holes cut the green into {} pieces of {}",
                areas.len(),
                areas.join(", ")
            ),
            "Give each piece an outline of its own, and lay the trial on several greens.",
        );
    }
    if lost > SPECK_M2 {
        let message = format!("Holes cut scraps of {lost:.4} m2 off the green; they were dropped.");
        repairs.push(Caution::new("scraps-dropped", message));
    }
    Ok(ground)
}

/// With a capital at its start.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
