//! Units per arm, blocked plots and cores per plot.

use halfgreen_analysis::power::blocked::{self, noncentral_t_sf};
use halfgreen_analysis::power::closed_form::{
    Covariate, NullVariance, Rates, equivalence_power, poisson_regression_units, power, units,
};
use halfgreen_analysis::power::simulated::{Plan, SiteParameters};
use halfgreen_analysis::power::subsampling::{VarianceComponents, optimum, whole_optimum};

const FORMS: [NullVariance; 3] = [
    NullVariance::ControlRate,
    NullVariance::OwnRates,
    NullVariance::PooledRate,
];

fn rates(control: f64, ratio: f64, dispersion: f64, exposure: f64) -> Rates {
    Rates {
        control,
        ratio,
        k: 1.0 / dispersion,
        exposure,
        allocation: 1.0,
    }
}

/// Scenarios of Zhu and Lakkis 2014 (tables I to IV and section 5); sizes computed from their three
/// formulas by an independent script, not read from the paper.
#[test]
fn zhu_and_lakkis_scenarios() {
    for (control, ratio, dispersion, exposure, wanted, sizes) in [
        (0.8, 0.85, 0.4, 0.75, 0.8, [1255.0, 1316.0, 1311.0]),
        (1.4, 1.15, 1.5, 0.75, 0.8, [1956.0, 1921.0, 1919.0]),
        (2.0, 0.5, 1.0, 1.0, 0.8, [52.0, 58.0, 56.0]),
        (5.0, 2.0, 0.5, 1.0, 0.8, [23.0, 22.0, 21.0]),
        (5.9 / 3.0, 0.4, 1.0 / 0.49, 3.0, 0.9, [57.0, 59.0, 58.0]),
        (13.0 / 6.0, 0.2, 1.0 / 0.52, 6.0, 0.9, [17.0, 18.0, 17.0]),
        (0.66, 0.8, 0.8, 0.9, 0.9, [1083.0, 1137.0, 1131.0]),
    ] {
        let rates = rates(control, ratio, dispersion, exposure);
        for (form, size) in FORMS.into_iter().zip(sizes) {
            let n = units(&rates, 0.05, wanted, form).unwrap();
            assert_eq!(n.ceil(), size, "{rates:?} {form:?} {n}");
            // Back again: that many units have that power.
            assert!((power(&rates, n, 0.05, form).unwrap() - wanted).abs() < 1e-9);
        }
    }
    // Unrounded, to the three decimals of the script.
    for (control, ratio, dispersion, exposure, wanted, sizes) in [
        (0.8, 0.85, 0.4, 0.75, 0.8, [1254.229, 1315.690, 1310.730]),
        (2.0, 0.5, 1.0, 1.0, 0.8, [51.397, 57.177, 55.266]),
        (0.66, 0.8, 0.8, 0.9, 0.9, [1082.828, 1136.960, 1130.989]),
    ] {
        for (form, size) in FORMS.into_iter().zip(sizes) {
            let n = units(
                &rates(control, ratio, dispersion, exposure),
                0.05,
                wanted,
                form,
            )
            .unwrap();
            assert!((n - size).abs() < 6e-4, "{n} {size}");
        }
    }
}

/// Power printed in a power program's manual for Zhu's 2017 equivalence formula, as quoted in the
/// tests of statsmodels: .90022, half a unit of its last digit.
#[test]
fn equivalence_as_printed() {
    let rates = rates(2.5, 1.0, 0.35, 0.9);
    let got = equivalence_power(&rates, 965.0, 0.875, 0.05).unwrap();
    assert!((got - 0.90022).abs() < 5e-5, "{got}");
}

/// Two roads: a Poisson regression on a half-and-half indicator is a comparison of two Poisson rates.
#[test]
fn regression_on_an_indicator_is_two_arms() {
    let arms = Rates {
        control: 3.0,
        ratio: 0.6,
        k: f64::INFINITY,
        exposure: 1.0,
        allocation: 1.0,
    };
    let n = units(&arms, 0.05, 0.9, NullVariance::ControlRate).unwrap();
    let all =
        poisson_regression_units(3.0, 0.6, Covariate::Present(0.5), 1.0, (0.05, 0.9)).unwrap();
    assert!((all - 2.0 * n).abs() < 1e-9 * all);
    let normal = poisson_regression_units(0.85, 1.3, Covariate::Normal, 1.0, (0.1, 0.95)).unwrap();
    // By hand from the formula: (1.6448536 (1 + sqrt(exp(-ln(1.3)^2 / 2))))^2 / (0.85 ln(1.3)^2).
    assert!((normal - 181.81).abs() < 0.05, "{normal}");
}

#[test]
fn noncentral_t_as_in_scipy() {
    let reference: serde_json::Value =
        serde_json::from_str(include_str!("reference/reference.json")).unwrap();
    for case in reference["noncentral_t"].as_array().unwrap() {
        let get = |key: &str| case[key].as_f64().unwrap();
        let (shift, df) = (get("shift"), get("df"));
        let t = halfgreen_analysis::distributions::t_quantile(1.0 - get("alpha") / 2.0, df);
        let got = noncentral_t_sf(t, df, shift) + noncentral_t_sf(t, df, -shift);
        // scipy's quantile and ours agree to about 1e-9.
        assert!((got - get("power")).abs() < 1e-7, "{case} {got}");
    }
}

fn ground() -> SiteParameters {
    SiteParameters {
        mean: 5.0,
        k_sample: 0.8,
        k_plot: f64::INFINITY,
        block_sd: 0.4,
        missing: 0.0,
    }
}

#[test]
fn blocked_preview_rises_with_blocks_and_cores() {
    let plan = |blocks, cores| Plan {
        blocks,
        samples: cores,
        ratios: vec![0.25],
    };
    let at = |blocks, cores| blocked::power(&plan(blocks, cores), &ground(), 0.05).unwrap();
    assert!(at(4, 4) < at(8, 4) && at(8, 4) < at(8, 8) && at(1, 50) == 0.0);
    let none = Plan {
        blocks: 8,
        samples: 4,
        ratios: vec![1.0],
    };
    assert!((blocked::power(&none, &ground(), 0.05).unwrap() - 0.05).abs() < 1e-6);
    let all = Plan {
        blocks: 8,
        samples: 4,
        ratios: vec![0.0],
    };
    assert!(blocked::power(&all, &ground(), 0.05).unwrap() > 0.9);
    let seen = blocked::smallest_reduction(&plan(8, 4), &ground(), 0.05, 0.8)
        .unwrap()
        .unwrap();
    let there = Plan {
        blocks: 8,
        samples: 4,
        ratios: vec![1.0 - seen],
    };
    assert!((blocked::power(&there, &ground(), 0.05).unwrap() - 0.8).abs() < 1e-4);
}

/// Cochran's rule by hand: sqrt(4 / 1 * 9 / 1) = 6.
#[test]
fn cores_per_plot() {
    let parts = VarianceComponents {
        between: 1.0,
        within: 4.0,
    };
    assert!((optimum(parts, 9.0, 1.0).unwrap() - 6.0).abs() < 1e-12);
    assert_eq!(whole_optimum(parts, 9.0, 1.0, 20).unwrap(), 6);
    assert_eq!(whole_optimum(parts, 9.0, 1.0, 4).unwrap(), 4);
    let even = VarianceComponents {
        between: 0.0,
        within: 4.0,
    };
    assert!(optimum(even, 9.0, 1.0).unwrap().is_infinite());
    assert!(optimum(parts, 9.0, 0.0).is_err());
}

#[test]
fn impossible_wishes_are_refused_in_words() {
    let good = rates(2.0, 0.5, 1.0, 1.0);
    for (rates, alpha) in [
        (Rates { ratio: 1.0, ..good }, 0.05),
        (Rates { k: 0.0, ..good }, 0.05),
        (good, 0.0),
        (
            Rates {
                control: f64::NAN,
                ..good
            },
            0.05,
        ),
    ] {
        let error = units(&rates, alpha, 0.8, NullVariance::OwnRates).unwrap_err();
        assert!(!error.next.is_empty(), "{error}");
    }
}
