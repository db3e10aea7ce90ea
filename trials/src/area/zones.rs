//! Zones on the ground, and which of two has the ground that both claim.

use halfgreen_analysis::results::Caution;

use super::Zone;
use super::land::{Budget, Land, Relation};
use super::rings::{Part, Ring};
use crate::Error;
use geo::Polygon;

/// Ground that two zones may share without a word, square metres: tapes and phones do not set their common edge
/// better than to a few millimetres in a metre.
const SHARED_M2: f64 = 0.01;

/// The zones of a green, in the order of the file.
///
/// # Errors
/// A zone of which nothing lies on the ground.
pub(super) fn on_ground(
    ground: &Polygon<f64>,
    rings: &[Ring],
    budget: &mut Budget,
    repairs: &mut Vec<Caution>,
) -> Result<Vec<Zone>, Vec<Error>> {
    let mut faults = Vec::new();
    let mut zones: Vec<(Zone, Land)> = Vec::new();
    let green = std::cell::OnceCell::new();
    for ring in rings {
        let Part::Zone(name) = &ring.part else {
            continue;
        };
        let refuse = |what: String, cure: &str| Error::new(ring.places[0].clone(), what, cure);
        let land = Land::new(ring.polygon());
        let green = green.get_or_init(|| Land::new(ground.clone()));
        match land.relation(green, budget) {
            Relation::Apart => faults.push(refuse(
                format!("the zone {name} lies wholly off the green"),
                "Measure it from the same origin as the edge, or take it out.",
            )),
            Relation::Tangled => faults.push(tangled(ring, "the edge")),
            _ => {}
        }
        let mut before = Vec::new();
        for (at, (other, earlier)) in zones.iter().enumerate() {
            let shared = match land.relation(earlier, budget) {
                Relation::Apart => 0.0,
                Relation::Tangled => {
                    faults.push(tangled(ring, &format!("the zone {}", other.name)));
                    0.0
                }
                Relation::Within | Relation::Same => land.area_m2,
                Relation::Around => earlier.area_m2,
                Relation::Share(shared) => shared,
            };
            if shared > SHARED_M2 {
                before.push(at);
                repairs.push(Caution::new(
                    "zones-overlap",
                    format!(
                        "The zones {} and {name} share {shared:.2} m2; the first in the file has it.",
                        other.name
                    ),
                ));
            }
        }
        let zone = Zone {
            name: name.clone(),
            ground: land.polygon.clone(),
            before,
        };
        zones.push((zone, land));
    }
    if faults.is_empty() {
        Ok(zones.into_iter().map(|(zone, _)| zone).collect())
    } else {
        Err(faults)
    }
}

fn tangled(ring: &Ring, other: &str) -> Error {
    let what = format!(
        "{} and {other} cross too often to tell the ground",
        ring.part.name()
    );
    Error::new(
        ring.places[0].clone(),
        what,
        "Draw it again with fewer corners.",
    )
}
