//! Outlines with few corners, for what is only drawn.

use geo::{Coord, Euclidean, Length, LineString, Polygon};

use super::{Hole, Outline, Zone};

impl Outline {
    /// The same outline with at most some `most` corners in each ring. Rings with more lose corners nearer to the one
    /// kept before than a `most`-th of the ring's length; nothing should be measured on what is left.
    #[must_use]
    pub fn thinned(&self, most: usize) -> Self {
        let zones = self.zones.iter().map(|zone| Zone {
            ground: thinned_ground(&zone.ground, most),
            ..zone.clone()
        });
        let holes = self.holes.iter().map(|hole| Hole {
            ground: thinned_ground(&hole.ground, most),
            ..hole.clone()
        });
        Self {
            ground: thinned_ground(&self.ground, most),
            holes: holes.collect(),
            zones: zones.collect(),
            ..self.clone()
        }
    }
}

fn thinned_ground(ground: &Polygon<f64>, most: usize) -> Polygon<f64> {
    let holes = ground
        .interiors()
        .iter()
        .map(|hole| thinned_ring(hole, most));
    Polygon::new(thinned_ring(ground.exterior(), most), holes.collect())
}

fn thinned_ring(ring: &LineString<f64>, most: usize) -> LineString<f64> {
    if ring.0.len() <= most {
        return ring.clone();
    }
    let step = Euclidean.length(ring) / most as f64;
    let mut kept: Vec<Coord<f64>> = Vec::new();
    for &corner in &ring.0 {
        let far = |last: &Coord<f64>| (corner.x - last.x).hypot(corner.y - last.y) >= step;
        if kept.last().is_none_or(far) {
            kept.push(corner);
        }
    }
    LineString::new(kept)
}

#[cfg(test)]
mod tests {
    use crate::area::{Part, Ring, checked, ellipse, rectangle};

    /// An oval of 20 000 corners keeps its ground to a thousandth; a court keeps all it has.
    #[test]
    fn thinned_ground_is_nearly_the_same() {
        let outline = |corners: &[[f64; 2]]| {
            let mut ring = Ring::new(Part::Edge);
            for &corner in corners {
                ring.push(corner, String::new());
            }
            checked("green", vec![ring], None, Vec::new()).unwrap()
        };
        let oval = outline(&ellipse(30.0, 20.0, 20_000));
        let thin = oval.thinned(1000);
        assert!(thin.ground.exterior().0.len() <= 1001);
        assert!((thin.area_m2() / oval.area_m2() - 1.0).abs() < 1e-3);
        let court = outline(&rectangle(25.0, 23.0));
        assert_eq!(court.thinned(1000), court);
    }
}
