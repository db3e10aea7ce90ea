//! Tests of maps without pattern call about 5 % of them, however clumped the counts at a place are.
//!
//! The same tests with 3 000 maps for each k (9 000 in all, standard error 0.23 %) called: Moran 5.0 %, Geary
//! 5.1, regularity 5.5, patches 5.5, gaps 5.6 (4.9, 4.4 and 4.9 with other seeds), scan 4.5, any hot or cold
//! spot 2.7, single patch indices 4.6, residuals 5.1 drawn and 4.9 banded, two maps 4.8 to 5.3.

use halfgreen_analysis::distributions::negative_binomial;
use halfgreen_analysis::random::{Generator, shuffle};
use halfgreen_analysis::results::PValue;
use halfgreen_analysis::spatial::autocorrelation::autocorrelation;
use halfgreen_analysis::spatial::hot_spots::hot_spots;
use halfgreen_analysis::spatial::kriging::Kriging;
use halfgreen_analysis::spatial::local_moran::local_moran;
use halfgreen_analysis::spatial::map_association::map_association;
use halfgreen_analysis::spatial::regularity::regularity;
use halfgreen_analysis::spatial::residuals::moran_of_residuals;
use halfgreen_analysis::spatial::scan::scan;
use halfgreen_analysis::spatial::variogram::{Shape, VariogramModel};
use halfgreen_analysis::spatial::{Place, SpatialWeights};

use super::grid;

/// Shapes of the negative binomial, from the most clumped.
const KS: [f64; 3] = [0.3, 0.8, 2.0];
const MAPS: u64 = 300;

fn low(p: Option<f64>) -> u32 {
    u32::from(p.is_some_and(|p| p <= 0.05))
}

fn plain(p: Option<PValue>) -> Option<f64> {
    p.map(|p| p.value)
}

/// Claims of a test among maps without pattern: within four standard errors of 5 %, or at most so many.
fn holds(name: &str, claims: u32, maps: u64, exactly: bool) {
    let maps = maps as f64;
    let error = 4.0 * (0.05 * 0.95 / maps).sqrt();
    let share = f64::from(claims) / maps;
    assert!(share <= 0.05 + error, "{name}: {share}");
    assert!(!exactly || share >= 0.05 - error, "{name}: {share}");
}

fn clumped(generator: &mut Generator, mean: f64, k: f64) -> f64 {
    negative_binomial::draw(generator, mean, k) as f64
}

/// Independent counts of mean 3 on 6 by 6 places: 300 maps for each k, 900 in all, so that four standard
/// errors are 2.9 %.
#[test]
fn permutation_tests_hold_their_level() {
    let places = grid(6, 6);
    let queen = SpatialWeights::queen(&places);
    let standard = queen.clone().row_standardised();
    let mut claims = [0_u32; 8];
    for (at, k) in KS.into_iter().enumerate() {
        for map in 0..MAPS {
            let seed = map + 1000 * at as u64;
            let mut generator = Generator::new(77, seed);
            let y: Vec<f64> = (0..36).map(|_| clumped(&mut generator, 3.0, k)).collect();
            let global = autocorrelation(&y, &standard, 199, seed).unwrap();
            claims[0] += low(plain(global.moran.p_permutation));
            claims[1] += low(plain(global.geary.p_permutation));
            let even = regularity(&places, &y, 99, seed).unwrap();
            claims[2] += low(plain(even.p));
            claims[3] += low(plain(even.patch_p));
            claims[4] += low(plain(even.gap_p));
            let best = scan(&places, &y, &[1.0; 36], 99, seed).unwrap();
            claims[5] += low(best.first().and_then(|w| plain(w.p)));
            let spots = hot_spots(&y, &queen, 0.05, 99, seed).unwrap();
            claims[6] += u32::from(spots.iter().any(|s| low(s.q) > 0));
            let company = local_moran(&y, &standard, 0.05, 99, seed).unwrap();
            claims[7] += u32::from(company.iter().any(|s| low(s.q) > 0));
        }
    }
    let names = [
        "Moran",
        "Geary",
        "regularity",
        "patches",
        "gaps",
        "scan",
        "a hot or cold spot",
        "a place unlike chance",
    ];
    for (at, name) in names.into_iter().enumerate() {
        holds(name, claims[at], 3 * MAPS, at < 6);
    }
}

/// The p of single places, their counts held: 300 maps of 36 places.
#[test]
fn single_indices_hold_their_level() {
    let places = grid(6, 6);
    let (mut claims, mut tests) = (0_u32, 0_u32);
    for (at, k) in KS.into_iter().enumerate() {
        for map in 0..MAPS / 3 {
            let seed = map + 1000 * at as u64;
            let mut generator = Generator::new(78, seed);
            let y: Vec<f64> = (0..36).map(|_| clumped(&mut generator, 3.0, k)).collect();
            let even = regularity(&places, &y, 99, seed).unwrap();
            for p in even.local_p.into_iter().flatten() {
                tests += 1;
                claims += low(Some(p.value));
            }
        }
    }
    let share = f64::from(claims) / f64::from(tests);
    // Places of one map share their arrangement, so the error is that of the 300 maps at worst.
    assert!(
        (share - 0.05).abs() < 4.0 * (0.05_f64 * 0.95 / 300.0).sqrt(),
        "{share}"
    );
}

/// Four treatments of means 2, 5, 10 and 20 on 8 by 6 plots, either drawn at random or in four bands, which
/// tie the counts themselves in space: residuals of 900 maps each.
#[test]
fn residuals_hold_their_level_beside_treatments() {
    let places = grid(6, 8);
    let neighbours = SpatialWeights::rook(&places).row_standardised();
    for banded in [false, true] {
        let mut claims = 0;
        for (at, k) in KS.into_iter().enumerate() {
            for map in 0..MAPS {
                let seed = map + 1000 * at as u64;
                let mut generator = Generator::new(79, seed);
                let mut treatment: Vec<usize> = (0..48).map(|i| (i % 8) / 2).collect();
                if !banded {
                    shuffle(&mut generator, &mut treatment);
                }
                let y: Vec<f64> = treatment
                    .iter()
                    .map(|&t| clumped(&mut generator, [2.0, 5.0, 10.0, 20.0][t], k))
                    .collect();
                let mean = |t: usize| {
                    let own = (0..48).filter(|&i| treatment[i] == t);
                    own.map(|i| y[i]).sum::<f64>() / 12.0
                };
                let relative: Vec<f64> = (0..48)
                    .map(|i| y[i] / mean(treatment[i]).max(1e-9) - 1.0)
                    .collect();
                let found =
                    moran_of_residuals(&relative, &treatment, &neighbours, 99, seed).unwrap();
                claims += low(found.map(|f| f.1.value));
            }
        }
        holds(
            if banded { "banded" } else { "drawn" },
            claims,
            3 * MAPS,
            true,
        );
    }
}

/// Counts on a surface that rises and falls over a few places (standard deviation 1 in logarithms).
fn hilly(places: &[Place], range_m: f64, k: f64, seed: u64) -> Vec<f64> {
    let model = VariogramModel {
        shape: Shape::Exponential,
        nugget: 0.0,
        sill: 1.0,
        range_m,
    };
    // One sample out of sight leaves the surface free.
    let far = Kriging::new(&[(1e6, 1e6)], &[0.0], model).unwrap();
    let surface = far.alternatives(places, 1, seed).unwrap().remove(0);
    let mut generator = Generator::new(81, seed);
    surface
        .into_iter()
        .map(|s| clumped(&mut generator, 3.0 * s.exp(), k))
        .collect()
}

/// Two maps that have nothing to do with one another, from no tie in space to one as wide as the field.
#[test]
fn association_holds_its_level_between_clustered_maps() {
    let places = grid(8, 8);
    for range_m in [0.01, 3.0, 10.0] {
        let mut claims = 0;
        for (at, k) in KS.into_iter().enumerate() {
            for map in 0..MAPS {
                let seed = 2 * (map + 1000 * at as u64);
                let a = hilly(&places, range_m, k, seed);
                let b = hilly(&places, range_m, k, seed + 1);
                claims += low(map_association(&places, &a, &b).unwrap().p);
            }
        }
        holds(&format!("range {range_m}"), claims, 3 * MAPS, false);
    }
}
