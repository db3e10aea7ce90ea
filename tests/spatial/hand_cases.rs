//! Small maps by hand, and published grids.

use halfgreen_analysis::spatial::autocorrelation::autocorrelation;
use halfgreen_analysis::spatial::hot_spots::hot_spots;
use halfgreen_analysis::spatial::regularity::{distance_to_regularity, regularity};
use halfgreen_analysis::spatial::{Place, SpatialWeights};

use super::{close, grid};

/// 1 to 16 by rows and a checkerboard, rook, binary: exact fractions.
#[test]
fn four_by_four() {
    let rook = SpatialWeights::rook(&grid(4, 4));
    let ramp: Vec<f64> = (1..=16).map(f64::from).collect();
    let found = autocorrelation(&ramp, &rook, 0, 1).unwrap();
    close(found.moran.value.unwrap(), 2.0 / 3.0, 1e-14);
    close(found.moran.expected, -1.0 / 15.0, 1e-14);
    close(found.moran.variance.unwrap(), 0.034962963, 1e-8);
    close(found.geary.value.unwrap(), 0.1875, 1e-14);
    close(found.geary.variance.unwrap(), 0.03403799, 1e-8);
    let board: Vec<f64> = (0..16).map(|i| f64::from((i % 4 + i / 4) % 2)).collect();
    let found = autocorrelation(&board, &rook, 0, 1).unwrap();
    close(found.moran.value.unwrap(), -1.0, 1e-14);
    close(found.moran.variance.unwrap(), 0.037150997, 1e-8);
    close(found.moran.variance_normal.unwrap(), 0.032592593, 1e-8);
    let want = [
        -2.354355, -2.667892, -2.182821, -1.412613, -1.576482, -1.416103, -0.849662, -0.363803,
    ];
    let spots = hot_spots(&ramp, &rook, 0.05, 0, 1).unwrap();
    for (i, z) in want.into_iter().enumerate() {
        close(spots[i].gi_star.unwrap(), z, 1e-6);
        close(spots[15 - i].gi_star.unwrap(), -z, 1e-6);
    }
}

/// Six points (Getis & Ord 1992 as used by a public test; values of R spdep), neighbours within 15.
#[test]
fn six_points() {
    let places: [Place; 6] = [
        (10.0, 10.0),
        (20.0, 10.0),
        (40.0, 10.0),
        (15.0, 20.0),
        (30.0, 20.0),
        (30.0, 30.0),
    ];
    let y = [2.0, 3.0, 3.2, 5.0, 8.0, 7.0];
    let within = SpatialWeights::within(&places, 15.0);
    let want = [
        -1.3972763, -0.2891776, 0.6506496, -0.2891776, 1.2345209, 2.0242433,
    ];
    // Values that are not whole numbers are drawn, not counted.
    let spots = hot_spots(&y, &within, 0.05, 99, 1).unwrap();
    for (spot, z) in spots.iter().zip(want) {
        close(spot.gi_star.unwrap(), z, 1e-7);
        assert!(spot.p.unwrap().value > 0.0);
    }
    let found = autocorrelation(&y, &within, 0, 1).unwrap();
    close(found.moran.value.unwrap(), 0.03852663, 1e-7);
    close(found.moran.variance.unwrap(), 0.05752983, 1e-7);
    close(found.geary.value.unwrap(), 0.89646590, 1e-8);
    close(found.geary.variance.unwrap(), 0.07441022, 1e-7);
}

fn cells(text: &str) -> Vec<Vec<f64>> {
    text.lines()
        .skip(1)
        .map(|l| l.split(',').map(|c| c.parse().unwrap()).collect())
        .collect()
}

/// Wheat of 500 plots (Mercer & Hall 1911) and yeast cells on a haemacytometer (Student 1907), rook,
/// binary; the wheat's I and C by numpy on the 20 by 25 array. Yeast lies at random.
#[test]
fn published_grids() {
    let map = |text: &str| -> (Vec<Place>, Vec<f64>) {
        cells(text).iter().map(|r| ((r[1], r[0]), r[2])).unzip()
    };
    let (places, wheat) = map(include_str!(
        "../reference/spatial/mercer_wheat_uniformity.csv"
    ));
    let found = autocorrelation(&wheat, &SpatialWeights::rook(&places), 99, 1).unwrap();
    close(found.moran.value.unwrap(), 0.4055279731086196, 1e-12);
    close(found.moran.variance.unwrap(), 0.0010394573, 1e-7);
    close(found.geary.value.unwrap(), 0.5881940081157738, 1e-12);
    close(found.moran.p_permutation.unwrap().value, 0.01, 1e-12);
    let (places, yeast) = map(include_str!("../reference/spatial/student_yeast_gridD.csv"));
    let found = autocorrelation(&yeast, &SpatialWeights::rook(&places), 199, 1).unwrap();
    close(found.moran.value.unwrap(), 0.028025466, 1e-8);
    close(found.moran.z.unwrap(), 0.8462, 1e-4);
    close(found.geary.value.unwrap(), 0.975777, 1e-6);
    assert!(found.moran.p_permutation.unwrap().value > 0.2);
}

/// Blood groups of 26 Irish counties (Cliff & Ord; Upton & Fingleton), neighbours by polygons.
#[test]
fn irish_blood_groups() {
    let text = include_str!("../reference/spatial/eire_blood_group_a.csv");
    let share: Vec<f64> = text
        .lines()
        .skip(1)
        .map(|l| l.rsplit(',').next().unwrap().parse().unwrap())
        .collect();
    let links: Vec<(usize, usize, f64)> = include_str!("../reference/spatial/eire_neighbours.csv")
        .lines()
        .skip(1)
        .map(|l| {
            let (i, j) = l.split_once(',').unwrap();
            let id = |t: &str| t.trim().parse::<usize>().unwrap() - 1;
            (id(i), id(j), 1.0)
        })
        .collect();
    let binary = SpatialWeights::from_links(26, &links);
    let found = autocorrelation(&share, &binary, 0, 1).unwrap();
    close(found.moran.value.unwrap(), 0.479447572, 1e-8);
    close(found.moran.variance.unwrap(), 0.013513667, 1e-7);
    let found = autocorrelation(&share, &binary.row_standardised(), 0, 1).unwrap();
    close(found.moran.value.unwrap(), 0.554123817, 1e-8);
    close(found.moran.variance.unwrap(), 0.016081384, 1e-7);
    close(found.geary.value.unwrap(), 0.380119714, 1e-8);
}

/// All nine larvae in one cell of 3 x 3: costs by hand; the mean over the nine cells is exhaustive.
#[test]
fn nine_in_one_cell() {
    let places = grid(3, 3);
    let cost = |at: usize| {
        let mut map = vec![0.0; 9];
        map[at] = 9.0;
        distance_to_regularity(&places, &map).unwrap()
    };
    close(cost(0), 14.714777, 1e-6);
    close(cost(1), 12.300563, 1e-6);
    close((0..9).map(cost).sum::<f64>() / 9.0, 13.079801, 1e-6);
    let mut corner = vec![0.0; 9];
    corner[0] = 9.0;
    let found = regularity(&places, &corner, 20_000, 1).unwrap();
    // The cost of a random arrangement has a standard deviation of about 1.8: six standard errors.
    close(found.index.unwrap(), 1.125, 0.006);
}

/// Fifty random maps by linear programming (`HiGHS` through scipy).
#[test]
fn fifty_random_maps() {
    let maps: Vec<serde_json::Value> =
        serde_json::from_str(include_str!("../reference/spatial/transport.json")).unwrap();
    assert_eq!(maps.len(), 50);
    for map in maps {
        let places: Vec<Place> = map["xy"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap()))
            .collect();
        let cost = distance_to_regularity(&places, &super::numbers(&map["y"])).unwrap();
        let want = map["cost"].as_f64().unwrap();
        assert!((cost - want).abs() <= 1e-9 * want, "{cost} is not {want}");
    }
}

/// Collinear, coinciding and lonely places have defined answers.
#[test]
fn odd_places() {
    let line: Vec<Place> = (0..5).map(|i| (f64::from(i), 2.0 * f64::from(i))).collect();
    let y = [1.0, 0.0, 3.0, 2.0, 9.0];
    let near = SpatialWeights::nearest(&line, 2);
    assert!(
        autocorrelation(&y, &near, 9, 1)
            .unwrap()
            .moran
            .value
            .is_some()
    );
    let twins = [(0.0, 0.0), (0.0, 0.0), (5.0, 0.0), (5.0, 0.0), (5.0, 0.0)];
    assert!(regularity(&twins, &y, 9, 1).unwrap().distance > 0.0);
    let lonely = SpatialWeights::within(&line, 0.1);
    let found = autocorrelation(&y, &lonely, 9, 1).unwrap();
    assert_eq!(found.moran.value, None);
    assert_eq!(found.cautions.len(), 2);
    let spots = hot_spots(&y, &lonely, 0.05, 9, 1).unwrap();
    assert!(spots.iter().all(|s| s.p.is_none() && s.gi_star.is_some()));
}

/// Queen grid of 50 by 50 (esda 2.9.0): global statistics, and Gi* of the first cells by the textbook.
#[test]
fn fifty_by_fifty_agrees_with_esda() {
    let y: Vec<f64> = include_str!("../reference/spatial/grid50.csv")
        .split([',', '\n'])
        .filter(|c| !c.trim().is_empty())
        .map(|c| c.trim().parse().unwrap())
        .collect();
    let all: serde_json::Value =
        serde_json::from_str(include_str!("../reference/spatial/spatial_grids.json")).unwrap();
    let reference = &all["grids"]["50"];
    let queen = SpatialWeights::queen(&grid(50, 50));
    let number = |key: &str| reference["moran_r"][key].as_f64().unwrap();
    let found = autocorrelation(&y, &queen.clone().row_standardised(), 0, 1).unwrap();
    close(found.moran.value.unwrap(), number("I"), 1e-12);
    close(found.moran.variance.unwrap(), number("VI_rand"), 1e-12);
    close(found.geary.value.unwrap(), number("geary_C"), 1e-12);
    let want = super::numbers(&reference["gistar"]["z_textbook"]);
    let spots = hot_spots(&y, &queen, 0.05, 0, 1).unwrap();
    assert!(!want.is_empty());
    for (spot, z) in spots.iter().zip(want) {
        close(spot.gi_star.unwrap(), z, 1e-10);
    }
}
