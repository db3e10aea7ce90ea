//! The corners of plots, anticlockwise.

use crate::design::{Layout, Plot};

/// Corners of a plot, metres on the outline's axes, anticlockwise.
#[must_use]
pub(crate) fn corner_places(plot: &Plot) -> [[f64; 2]; 4] {
    let (sin, cos) = plot.angle_deg.to_radians().sin_cos();
    [[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]].map(|[u, v]| {
        let (along, across) = (u * plot.length_m, v * plot.width_m);
        [
            along.mul_add(cos, -across * sin) + plot.x_m,
            along.mul_add(sin, across * cos) + plot.y_m,
        ]
    })
}

/// Every plot of a layout once, in order, with its corners.
pub(super) fn corners(layout: &Layout) -> Vec<(&str, [[f64; 2]; 4])> {
    let mut met = std::collections::BTreeSet::new();
    let first = layout.plots.iter().filter(|p| met.insert(p.plot.as_str()));
    first.map(|p| (p.plot.as_str(), corner_places(p))).collect()
}
