//! Edges and laps of sheets that lie together.

use geo::{Area, Euclidean, Length, Polygon, unary_union};

use super::wind::Cover;

/// The cover that strips make, each given by the ground that it lies on.
///
/// Ground that two share is counted once. Whatever of the strips' own edges is no edge of the whole lies in a lap, twice; so that a
/// lap counts with its length and its width.
#[must_use]
pub fn cover(strips: &[Polygon<f64>]) -> Cover {
    let whole = unary_union(strips);
    let rings = whole.iter().flat_map(|piece| {
        let holes = piece.interiors().iter();
        std::iter::once(piece.exterior()).chain(holes)
    });
    let edge_m: f64 = rings.map(|ring| Euclidean.length(ring)).sum();
    let own: f64 = strips.iter().map(|s| Euclidean.length(s.exterior())).sum();
    let lap_m = (own - edge_m) / 2.0;
    // Below a millimetre it is what the union rounded.
    let lap_m = if lap_m < 1e-3 { 0.0 } else { lap_m };
    Cover {
        area_m2: whole.unsigned_area(),
        edge_m,
        lap_m,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    #[test]
    fn two_strips_have_one_edge_and_one_lap() {
        let strip = |from: f64| polygon![(x: 0.0, y: from), (x: 10.0, y: from), (x: 10.0, y: from + 4.0), (x: 0.0, y: from + 4.0)];
        let found = cover(&[strip(0.0), strip(3.7)]);
        assert!((found.area_m2 - 77.0).abs() < 1e-6, "{found:?}");
        assert!((found.edge_m - 2.0 * (10.0 + 7.7)).abs() < 1e-6);
        assert!((found.lap_m - 10.3).abs() < 1e-6);
        assert_eq!(cover(&[strip(0.0)]).lap_m, 0.0);
        assert_eq!(cover(&[]).area_m2, 0.0);
    }
}
