//! Variograms and kriging against `PyKrige` and the textbook's linear system.

use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::kriging::Kriging;
use halfgreen_analysis::spatial::variogram::{Model, Shape, fit, variogram};
use serde_json::Value;

use super::{close, numbers};

fn places(v: &Value) -> Vec<Place> {
    let of = |p: &Value| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
    v.as_array().unwrap().iter().map(of).collect()
}

fn reference() -> Value {
    serde_json::from_str(include_str!("../reference/spatial/kriging.json")).unwrap()
}

#[test]
fn kriging_agrees() {
    let all = reference();
    let (xy, z) = (places(&all["xy"]), numbers(&all["z"]));
    for case in all["models"].as_array().unwrap() {
        let number = |key: &str| case[key].as_f64().unwrap();
        let model = Model {
            shape: if case["kind"] == "spherical" {
                Shape::Spherical
            } else {
                Shape::Exponential
            },
            nugget: number("nugget"),
            sill: number("sill"),
            range_m: number("range"),
        };
        let kriging = Kriging::new(&xy, &z, model).unwrap();
        let column = |key: &str| numbers(&case[key]);
        for (i, at) in places(&all["targets"]).into_iter().enumerate() {
            let got = kriging.sample(at);
            close(got.value, column("library_value")[i], 1e-10);
            close(got.variance, column("library_variance")[i], 1e-10);
        }
        for (i, got) in kriging.leave_one_out().into_iter().enumerate() {
            close(got.value, column("loo_value")[i], 1e-9);
            close(got.variance, column("loo_variance")[i], 1e-9);
        }
        close(kriging.sample(xy[3]).value, z[3], 1e-14);
    }
}

#[test]
fn variograms_agree() {
    let all = reference();
    let (xy, z) = (places(&all["xy"]), numbers(&all["z"]));
    let lags = variogram(&xy, &z, 8).unwrap();
    let want = all["variogram"].as_array().unwrap();
    assert_eq!(lags.len(), want.len());
    for (lag, row) in lags.iter().zip(want) {
        let row = numbers(row);
        close(lag.distance_m, row[0], 1e-12);
        close(lag.pairs as f64, row[1], 1e-12);
        close(lag.matheron, row[2], 1e-12);
        close(lag.robust, row[3], 1e-12);
    }
    for (shape, key) in [
        (Shape::Spherical, "spherical"),
        (Shape::Exponential, "exponential"),
    ] {
        let found = fit(&lags, shape, true).unwrap();
        // As good as the best of a general optimiser from 25 starts.
        let best = all["fit_squares"][key].as_f64().unwrap();
        assert!(found.squares <= best * (1.0 + 1e-6), "{found:?} {best}");
    }
}

#[test]
fn alternatives_have_the_stated_spread() {
    let all = reference();
    let (xy, z) = (places(&all["xy"]), numbers(&all["z"]));
    let model = Model {
        shape: Shape::Exponential,
        nugget: 0.2,
        sill: 0.9,
        range_m: 6.0,
    };
    let kriging = Kriging::new(&xy, &z, model).unwrap();
    let at = places(&all["targets"]);
    let draws = kriging.alternatives(&at, 4000, 1).unwrap();
    for (i, &p) in at.iter().enumerate() {
        let want = kriging.surface(p);
        let n = draws.len() as f64;
        let mean = draws.iter().map(|d| d[i]).sum::<f64>() / n;
        let variance = draws.iter().map(|d| (d[i] - mean).powi(2)).sum::<f64>() / n;
        // Five standard errors.
        assert!((mean - want.value).abs() < 5.0 * (want.variance / n).sqrt());
        assert!((variance / want.variance - 1.0).abs() < 5.0 * (2.0 / n).sqrt());
    }
}

#[test]
fn places_that_coincide_need_a_nugget() {
    let model = |nugget| Model {
        shape: Shape::Spherical,
        nugget,
        sill: 1.0,
        range_m: 5.0,
    };
    let twins = [(0.0, 0.0), (0.0, 0.0), (3.0, 0.0)];
    let z = [1.0, 2.0, 0.0];
    assert!(Kriging::new(&twins, &z, model(0.0)).is_err());
    assert!(Kriging::new(&twins, &z, model(0.1)).is_ok());
}
