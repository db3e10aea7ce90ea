//! From metres on the green to millimetres on paper.

use geo::LineString;

/// Metres to millimetres: a scale and the paper place of the south-west corner; paper y runs down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sketch {
    /// Millimetres on paper for a metre of ground.
    pub(super) mm_per_m: f64,
    /// South-west corner of the ground, metres.
    pub(super) origin_m: [f64; 2],
    /// Where that corner lies on paper, millimetres from top left.
    pub(super) corner_mm: [f64; 2],
}

impl Sketch {
    /// Paper place of a ground place.
    pub(super) fn paper(&self, x_m: f64, y_m: f64) -> [f64; 2] {
        [
            (x_m - self.origin_m[0]).mul_add(self.mm_per_m, self.corner_mm[0]),
            (y_m - self.origin_m[1]).mul_add(-self.mm_per_m, self.corner_mm[1]),
        ]
    }

    /// Path of a closed ring.
    pub(super) fn ring(&self, ring: &LineString<f64>) -> String {
        let corners = ring.coords().map(|c| [c.x, c.y]);
        self.path(corners)
    }

    /// Path of a rectangle by centre, sides and direction of its length.
    pub(super) fn rectangle(&self, centre: [f64; 2], sides: [f64; 2], angle_deg: f64) -> String {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let corners = [[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]].map(|[u, v]| {
            let (along, across) = (u * sides[0], v * sides[1]);
            [
                along.mul_add(cos, -across * sin) + centre[0],
                along.mul_add(sin, across * cos) + centre[1],
            ]
        });
        self.path(corners.into_iter())
    }

    fn path(&self, corners: impl Iterator<Item = [f64; 2]>) -> String {
        let places: Vec<String> = corners
            .map(|[x_m, y_m]| {
                let [x, y] = self.paper(x_m, y_m);
                format!("{} {}", mm(x), mm(y))
            })
            .collect();
        format!("M{}Z", places.join("L"))
    }
}

/// A length on paper to a hundredth of a millimetre, without trailing noughts.
pub(super) fn mm(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0 + 0.0;
    rounded.to_string()
}
