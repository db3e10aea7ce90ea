//! Variograms and kriging against `PyKrige` and the textbook's linear system.

use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::kriging::Kriging;
use halfgreen_analysis::spatial::variogram::{Shape, VariogramModel, fit, variogram};
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
        let model = VariogramModel {
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
    let model = VariogramModel {
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
    let model = |nugget| VariogramModel {
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

/// Matern at the smoothness of each closed form, against gstat, which evaluates the Bessel function.
#[test]
fn matern_agrees_with_gstat() {
    let all: Value =
        serde_json::from_str(include_str!("../reference/spatial/matern.json")).unwrap();
    let points = reference();
    let (xy, z) = (places(&points["xy"]), numbers(&points["z"]));
    let shapes = [
        Shape::Exponential,
        Shape::MaternThreeHalves,
        Shape::MaternFiveHalves,
    ];
    for (case, shape) in all["cases"].as_array().unwrap().iter().zip(shapes) {
        let model = VariogramModel {
            shape,
            nugget: 0.2,
            sill: 0.8,
            range_m: 3.0,
        };
        let column = |key: &str| numbers(&case[key]);
        for (d, want) in numbers(&all["distance"])
            .into_iter()
            .zip(column("semivariance"))
        {
            close(model.semivariance(d), want, 1e-12);
        }
        let kriging = Kriging::new(&xy, &z, model).unwrap();
        for (i, at) in places(&points["targets"]).into_iter().enumerate() {
            let got = kriging.sample(at);
            close(got.value, column("value")[i], 1e-10);
            close(got.variance, column("variance")[i], 1e-10);
        }
    }
}

/// Two worked examples. Five points on a spherical variogram, worked as a sheet of matrices (public teaching
/// sheet "Matrix Kriging Estimation", scribd.com/document/213387101): semivariances to three figures,
/// weights to two. Seven porosity samples on C(h) = 10 exp(-0.3 h) (Isaaks & Srivastava 1989, *Applied
/// Geostatistics*, ch. 12, from memory): 592.7 with variance 8.96.
#[test]
fn published_kriging_examples() {
    let five = [(1.0, 3.0), (1.0, 5.0), (3.0, 4.0), (4.0, 5.0), (5.0, 1.0)];
    let model = VariogramModel {
        shape: Shape::Spherical,
        nugget: 0.0,
        sill: 86.1,
        range_m: 6.96,
    };
    for (distance, semivariance) in [(1.768, 32.1), (2.85, 49.94), (1.275, 23.39), (2.574, 45.58)] {
        close(model.semivariance(distance), semivariance, 1e-3);
    }
    // A prediction is linear in the values: those of a lone 1 are the weights.
    for (i, weight) in [0.35, -0.07, 0.53, -0.02, 0.21].into_iter().enumerate() {
        let mut lone = [0.0; 5];
        lone[i] = 1.0;
        let got = Kriging::new(&five, &lone, model).unwrap();
        // The sheet rounds its semivariances before solving.
        assert!((got.sample((2.75, 2.75)).value - weight).abs() < 0.006);
    }
    let seven = [
        (61.0, 139.0),
        (63.0, 140.0),
        (64.0, 129.0),
        (68.0, 128.0),
        (71.0, 140.0),
        (73.0, 141.0),
        (75.0, 128.0),
    ];
    let z = [477.0, 696.0, 227.0, 646.0, 606.0, 791.0, 783.0];
    let model = VariogramModel {
        shape: Shape::Exponential,
        nugget: 0.0,
        sill: 10.0,
        range_m: 10.0 / 3.0,
    };
    let got = Kriging::new(&seven, &z, model)
        .unwrap()
        .sample((65.0, 137.0));
    assert!((got.value - 592.7).abs() < 0.1, "{got:?}");
    assert!((got.variance - 8.96).abs() < 0.005, "{got:?}");
}

/// The shape that made the variogram fits it best.
#[test]
fn the_right_shape_fits_best() {
    use halfgreen_analysis::spatial::variogram::Lag;
    for shape in Shape::ALL {
        let model = VariogramModel {
            shape,
            nugget: 0.3,
            sill: 1.0,
            range_m: 4.0,
        };
        let lags: Vec<Lag> = (1..=10)
            .map(|k| {
                let distance_m = 1.5 * f64::from(k);
                let semivariance = model.semivariance(distance_m);
                Lag {
                    distance_m,
                    pairs: 100,
                    matheron: semivariance,
                    robust: semivariance,
                }
            })
            .collect();
        let best = Shape::ALL
            .into_iter()
            .filter_map(|s| fit(&lags, s, false))
            .min_by(|a, b| a.squares.total_cmp(&b.squares))
            .unwrap();
        assert_eq!(best.model.shape, shape);
        close(best.model.range_m, 4.0, 1e-5);
        close(best.model.nugget, 0.3, 1e-5);
    }
}
