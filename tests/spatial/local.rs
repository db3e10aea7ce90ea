//! Local Moran and the drawn p-values of hot spots, against esda and by counting.

use halfgreen_analysis::spatial::autocorrelation::autocorrelation;
use halfgreen_analysis::spatial::hot_spots::hot_spots;
use halfgreen_analysis::spatial::local_moran::{LocalMoran, Quadrant, local_moran};
use halfgreen_analysis::spatial::{Place, SpatialWeights};
use serde_json::Value;

use super::{close, grid, numbers};

fn counts() -> Vec<f64> {
    let all: Value =
        serde_json::from_str(include_str!("../reference/spatial/spatial_grids.json")).unwrap();
    numbers(&all["grids"]["10"]["y"])
}

/// Values to rounding, p within six standard errors of the library's 99 999 and our `draws` draws.
fn agrees(found: &[LocalMoran], reference: &Value, draws: f64) {
    let (above, below) = (
        numbers(&reference["at_least"]),
        numbers(&reference["at_most"]),
    );
    let value = numbers(&reference["value"]);
    for (i, place) in found.iter().enumerate() {
        // The library divides by n - 1.
        close(place.value.unwrap() * 99.0 / 100.0, value[i], 1e-11);
        let tail = above[i].min(below[i]);
        let error =
            12.0 * (tail * (1.0 - tail) * (1.0 / 99_999.0 + 1.0 / draws)).sqrt() + 4.0 / draws;
        let p = place.p.unwrap().value;
        assert!(
            (p - (2.0 * tail).min(1.0)).abs() < error,
            "{i}: {p}, {tail}"
        );
    }
}

#[test]
fn local_moran_agrees_with_esda() {
    let all: Value =
        serde_json::from_str(include_str!("../reference/spatial/local_moran.json")).unwrap();
    let (places, y) = (grid(10, 10), counts());
    let queen = SpatialWeights::queen(&places).row_standardised();
    let found = local_moran(&y, &queen, 0.05, 0, 1).unwrap();
    // Counted, so without error of its own.
    agrees(&found, &all["queen"], 1e9);
    // At a level of 1 every place keeps its company.
    let all_told = local_moran(&y, &queen, 1.0, 0, 1).unwrap();
    for (place, quadrant) in all_told.iter().zip(numbers(&all["queen"]["quadrant"])) {
        let company = match quadrant {
            1.0 => Quadrant::HighHigh,
            2.0 => Quadrant::LowHigh,
            3.0 => Quadrant::LowLow,
            _ => Quadrant::HighLow,
        };
        assert_eq!(place.quadrant, company);
    }
    assert!(found.iter().any(|f| f.quadrant != Quadrant::NotSignificant));
    let mean = found.iter().map(|f| f.value.unwrap()).sum::<f64>() / 100.0;
    let global = autocorrelation(&y, &queen, 0, 1).unwrap().moran.value;
    close(mean, global.unwrap(), 1e-12);
    let inverse = SpatialWeights::inverse_distance(&places, 1.0, 3.0);
    let found = local_moran(&y, &inverse, 0.05, 19_999, 1).unwrap();
    agrees(&found, &all["inverse"], 19_999.0);
}

/// Half a larva added to every count leaves chance as it was, but the choices must then be drawn.
#[test]
fn drawn_chances_are_the_counted_ones() {
    let (places, y) = (grid(10, 10), counts());
    let shifted: Vec<f64> = y.iter().map(|v| v + 0.5).collect();
    for neighbours in [
        SpatialWeights::queen(&places),
        SpatialWeights::within(&places, 2.5),
    ] {
        let counted = hot_spots(&y, &neighbours, 0.05, 0, 1).unwrap();
        let drawn = hot_spots(&shifted, &neighbours, 0.05, 19_999, 1).unwrap();
        for (c, d) in counted.iter().zip(&drawn) {
            let (c, d) = (c.p.unwrap().value, d.p.unwrap().value);
            // Six standard errors of a doubled tail.
            let error = 12.0 * (c / 2.0 * (1.0 - c / 2.0) / 19_999.0).sqrt() + 2e-4;
            assert!((c - d).abs() < error, "{c} {d}");
        }
    }
}

/// An empty place in the crowded half of a row.
#[test]
fn a_place_that_stands_out_is_told() {
    let line: Vec<Place> = (0..40).map(|i| (f64::from(i), 0.0)).collect();
    let mut y = vec![0.0; 40];
    (0..20).for_each(|i| y[i] = 9.0);
    y[5] = 0.0;
    let near = SpatialWeights::within(&line, 4.0);
    let found = local_moran(&y, &near, 0.05, 0, 1).unwrap();
    assert_eq!(found[5].quadrant, Quadrant::LowHigh);
    assert_eq!(found[10].quadrant, Quadrant::HighHigh);
    assert_eq!(found[30].quadrant, Quadrant::LowLow);
    assert!(found[5].value.unwrap() < 0.0);
}

/// Flat, empty, lonely, single, collinear and coinciding places have defined answers.
#[test]
fn odd_maps() {
    let one = SpatialWeights::within(&[(0.0, 0.0)], 1.0);
    let found = local_moran(&[3.0], &one, 0.05, 9, 1).unwrap();
    assert_eq!((found[0].value, found[0].p), (None, None));
    let two = SpatialWeights::nearest(&[(0.0, 0.0), (1.0, 0.0)], 1);
    let found = local_moran(&[3.0, 5.0], &two, 0.05, 9, 1).unwrap();
    close(found[0].value.unwrap(), -1.0, 1e-14);
    close(found[0].p.unwrap().value, 1.0, 1e-14);
    let line: Vec<Place> = (0..6).map(|i| (f64::from(i), 0.0)).collect();
    for y in [[0.0; 6], [2.0; 6]] {
        let found = local_moran(&y, &SpatialWeights::nearest(&line, 2), 0.05, 9, 1).unwrap();
        assert!(
            found
                .iter()
                .all(|f| f.value.is_none() && f.p.is_none() && f.q.is_none())
        );
    }
    let y = [1.0, 0.5, 3.0, 0.0, 2.0, 7.0];
    let lonely = local_moran(&y, &SpatialWeights::within(&line, 0.5), 0.05, 9, 1).unwrap();
    assert!(lonely.iter().all(|f| f.value == Some(0.0) && f.p.is_none()));
    let twins = [(0.0, 0.0); 6];
    let everyone = SpatialWeights::within(&twins, 1.0);
    let found = local_moran(&y, &everyone, 0.05, 9, 1).unwrap();
    // All others are neighbours: chance has no choice.
    assert!(found.iter().all(|f| f.p.unwrap().value == 1.0));
    assert!(local_moran(&[f64::NAN; 6], &everyone, 0.05, 9, 1).is_err());
    assert!(local_moran(&y[..5], &everyone, 0.05, 9, 1).is_err());
}

/// The law of an index is that of its count: with one count of 9 on a 3 by 3 grid the corner is the place
/// furthest from even (14.71 against 12.30 and 9.66), once its place is allowed for all are alike.
#[test]
fn patch_indices_allow_for_place_and_count() {
    use halfgreen_analysis::spatial::regularity::regularity;
    let mut y = [0.0; 9];
    y[0] = 9.0;
    let found = regularity(&grid(3, 3), &y, 999, 1).unwrap();
    close(found.local[0].unwrap(), 1.0, 0.05);
    close(found.patch_index.unwrap(), found.local[0].unwrap(), 1e-14);
    assert!(found.local_p[0].unwrap().value > 0.3);
    // Half of a field crowded, half empty: all are patch or gap.
    let half: Vec<f64> = (0..64).map(|i| f64::from(u8::from(i < 32)) * 8.0).collect();
    let found = regularity(&grid(8, 8), &half, 199, 1).unwrap();
    close(found.patch_p.unwrap().value, 1.0 / 200.0, 1e-14);
    close(found.gap_p.unwrap().value, 1.0 / 200.0, 1e-14);
    assert!(found.local_q[0].unwrap() < 0.01 && found.local_q[63].unwrap() < 0.01);
    assert!(found.local[63].unwrap() > 1.5);
}
