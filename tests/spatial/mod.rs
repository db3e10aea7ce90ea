//! Spatial statistics against published data and other software's output.

mod draws;
mod ground;
mod hand_cases;
mod level;
mod local;
mod patterns;
mod surfaces;

use halfgreen_analysis::spatial::autocorrelation::autocorrelation;
use halfgreen_analysis::spatial::hot_spots::hot_spots;
use halfgreen_analysis::spatial::regularity::{distance_to_regularity, regularity};
use halfgreen_analysis::spatial::scan::scan;
use halfgreen_analysis::spatial::{Place, SpatialWeights};
use serde_json::Value;

fn grid(rows: u32, columns: u32) -> Vec<Place> {
    (0..rows)
        .flat_map(|y| (0..columns).map(move |x| (f64::from(x), f64::from(y))))
        .collect()
}

fn close(a: f64, b: f64, tolerance: f64) {
    assert!(
        (a - b).abs() <= tolerance * b.abs().max(1.0),
        "{a} is not {b}"
    );
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array()
        .unwrap()
        .iter()
        .map(|x| x.as_f64().unwrap())
        .collect()
}

/// Columbus crime, 49 areas (Anselin 1988): values of R spdep.
#[test]
fn columbus_crime_agrees_with_spdep() {
    let rows = |text: &str, a: usize, b: usize| -> Vec<(f64, f64)> {
        text.lines()
            .skip(1)
            .map(|l| {
                let cells: Vec<&str> = l.split(',').collect();
                (cells[a].parse().unwrap(), cells[b].parse().unwrap())
            })
            .collect()
    };
    let crime: Vec<f64> = rows(
        include_str!("../reference/spatial/columbus_crime.csv"),
        0,
        3,
    )
    .iter()
    .map(|r| r.1)
    .collect();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "row numbers from 1 to 49"
    )]
    let links: Vec<_> = rows(
        include_str!("../reference/spatial/columbus_neighbours.csv"),
        0,
        1,
    )
    .iter()
    .map(|r| (r.0 as usize - 1, r.1 as usize - 1, 1.0))
    .collect();
    let binary = SpatialWeights::from_links(49, &links);
    let w = autocorrelation(&crime, &binary.clone().row_standardised(), 999, 1).unwrap();
    close(w.moran.value.unwrap(), 0.5109512641, 1e-9);
    close(w.moran.variance.unwrap(), 0.0089087616, 1e-9);
    close(w.moran.variance_normal.unwrap(), 0.0087798315, 1e-9);
    close(w.moran.z.unwrap(), 5.63413, 1e-5);
    close(w.geary.value.unwrap(), 0.5298699306, 1e-9);
    close(w.geary.variance.unwrap(), 0.0097527796, 1e-9);
    close(w.geary.z.unwrap(), 4.76051, 1e-5);
    close(w.moran.p_permutation.unwrap().value, 0.001, 1e-12);
    close(
        autocorrelation(&crime, &binary, 0, 1)
            .unwrap()
            .moran
            .value
            .unwrap(),
        0.5206381497,
        1e-9,
    );
}

/// Queen grid of 10 by 10, row-standardised (esda 2.9.0), Gi* by the textbook formula.
#[test]
fn grid_agrees_with_esda() {
    let all: Value =
        serde_json::from_str(include_str!("../reference/spatial/spatial_grids.json")).unwrap();
    let reference = &all["grids"]["10"];
    let y = numbers(&reference["y"]);
    let queen = SpatialWeights::queen(&grid(10, 10));
    let got = autocorrelation(&y, &queen.clone().row_standardised(), 0, 1).unwrap();
    close(
        got.moran.value.unwrap(),
        reference["moran_r"]["I"].as_f64().unwrap(),
        1e-12,
    );
    close(
        got.moran.variance.unwrap(),
        reference["moran_r"]["VI_rand"].as_f64().unwrap(),
        1e-12,
    );
    close(
        got.geary.value.unwrap(),
        reference["moran_r"]["geary_C"].as_f64().unwrap(),
        1e-12,
    );
    let spots = hot_spots(&y, &queen, 0.05, 0, 1).unwrap();
    let (high, low) = (
        numbers(&reference["gistar"]["p_cond_perm_greater"]),
        numbers(&reference["gistar"]["p_cond_perm_less"]),
    );
    for (i, (spot, z)) in spots
        .iter()
        .zip(numbers(&reference["gistar"]["z_textbook"]))
        .enumerate()
    {
        close(spot.gi_star.unwrap(), z, 1e-10);
        // 9 999 draws: six standard errors of a tail doubled, at most 2 * 6 * sqrt(p(1-p)/9999).
        let tail = high[i].min(low[i]);
        let error = 12.0 * (tail * (1.0 - tail) / 9999.0).sqrt() + 2e-4;
        assert!(
            (spot.p.unwrap().value - (2.0 * tail).min(1.0)).abs() < error,
            "{i} {:?} {tail}",
            spot.p
        );
    }
}

/// Costs by hand on tiny maps, and a 10 by 10 map by linear programming (`HiGHS` through scipy).
#[test]
fn distance_to_regularity_is_exact() {
    let line = grid(1, 4);
    for (counts, d) in [
        ([4.0, 0.0, 0.0, 0.0], 6.0),
        ([2.0, 0.0, 2.0, 0.0], 2.0),
        ([0.0, 4.0, 0.0, 0.0], 4.0),
        ([1.0; 4], 0.0),
    ] {
        close(distance_to_regularity(&line, &counts).unwrap(), d, 1e-12);
    }
    let mut centre = [0.0; 9];
    centre[4] = 9.0;
    close(
        distance_to_regularity(&grid(3, 3), &centre).unwrap(),
        4.0 + 4.0 * 2.0_f64.sqrt(),
        1e-12,
    );
    let all: Value = serde_json::from_str(include_str!(
        "../reference/spatial/ot_regularity_grid10.json"
    ))
    .unwrap();
    let y: Vec<f64> = all["grid"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(numbers)
        .collect();
    let places = grid(10, 10);
    close(
        distance_to_regularity(&places, &y).unwrap(),
        all["D_lp"].as_f64().unwrap(),
        1e-12,
    );
    for (map, d) in all["perm_grids_first3"]
        .as_array()
        .unwrap()
        .iter()
        .zip(numbers(&all["perms_first3"]))
    {
        close(
            distance_to_regularity(&places, &numbers(map)).unwrap(),
            d,
            1e-12,
        );
    }
    let got = regularity(&places, &y, 199, 1).unwrap();
    // 417.54 from 99 permutations elsewhere; its standard error is about 6.
    close(got.distance / got.index.unwrap(), 417.5, 0.05);
}

/// Maps that can say nothing say so.
#[test]
fn degenerate_maps_have_defined_answers() {
    for places in [
        vec![(0.0, 0.0)],
        vec![(0.0, 0.0), (1.0, 0.0)],
        vec![(0.0, 0.0); 5],
    ] {
        let zeros = vec![0.0; places.len()];
        let neighbours = SpatialWeights::queen(&places);
        assert_eq!(
            autocorrelation(&zeros, &neighbours, 9, 1)
                .unwrap()
                .moran
                .value,
            None
        );
        assert_eq!(regularity(&places, &zeros, 9, 1).unwrap().index, None);
        assert_eq!(
            hot_spots(&zeros, &neighbours, 0.05, 9, 1).unwrap()[0].p,
            None
        );
    }
}

/// Sudden infant deaths in North Carolina, 1974-84 (Cressie 1991, pp. 386-389): the best window holds
/// Bladen, Columbus, Hoke, Robeson and Scotland; its ratio recomputed independently.
#[test]
fn scan_finds_the_published_cluster() {
    let (mut places, mut deaths, mut births) = (Vec::new(), Vec::new(), Vec::new());
    for line in include_str!("../reference/spatial/nc_sids.csv")
        .lines()
        .skip(1)
    {
        let cells: Vec<f64> = line
            .split(',')
            .skip(1)
            .map(|c| c.parse().unwrap())
            .collect();
        places.push((cells[0], cells[1]));
        births.push(cells[6] + cells[9]);
        deaths.push(cells[7] + cells[10]);
    }
    let windows = scan(&places, &deaths, &births, 99, 1).unwrap();
    assert_eq!(windows[0].members.len(), 5);
    close(windows[0].inside, 139.0, 1e-12);
    close(windows[0].expected, 72.669419, 1e-7);
    close(windows[0].llr, 25.380685, 1e-7);
}
