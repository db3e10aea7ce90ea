//! Contrasts with one control, against published tables and nested adaptive quadrature.

use std::fmt::Display;

use halfgreen_analysis::multiplicity::{
    Alternative, dunnett, lambda_from_correlation, lambda_from_replication, multivariate_t,
};
use ndarray::Array2;
use proptest::prelude::*;
use serde_json::Value;

const EQUAL: f64 = std::f64::consts::FRAC_1_SQRT_2;

fn df(text: impl Display) -> f64 {
    let text = text.to_string().replace('"', "");
    match text.to_lowercase().as_str() {
        "inf" => f64::INFINITY,
        number => number.parse().unwrap(),
    }
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|x| x.as_f64().unwrap())
        .collect()
}

fn reference(name: &str) -> Value {
    let path = format!("{}/../tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Dunnett 1955, J. Am. Stat. Assoc. 50, 1096-1121, table 1a (one-sided 5 %, 2 to 9 treatments). Some of
/// the printed second decimals are one too high or low.
#[test]
fn critical_values_of_the_1955_table() {
    let table = [
        (5.0, [2.44, 2.68, 2.85, 2.98, 3.08, 3.16, 3.24, 3.30]),
        (6.0, [2.34, 2.56, 2.71, 2.83, 2.92, 3.00, 3.07, 3.12]),
        (8.0, [2.22, 2.42, 2.55, 2.66, 2.74, 2.81, 2.87, 2.92]),
        (10.0, [2.15, 2.34, 2.47, 2.56, 2.64, 2.70, 2.76, 2.81]),
        (12.0, [2.11, 2.29, 2.41, 2.50, 2.58, 2.64, 2.69, 2.74]),
        (15.0, [2.07, 2.24, 2.36, 2.44, 2.51, 2.57, 2.62, 2.67]),
        (20.0, [2.03, 2.19, 2.30, 2.39, 2.46, 2.51, 2.56, 2.60]),
        (24.0, [2.01, 2.17, 2.28, 2.36, 2.43, 2.48, 2.53, 2.57]),
        (30.0, [1.99, 2.15, 2.25, 2.33, 2.40, 2.45, 2.50, 2.54]),
        (60.0, [1.95, 2.10, 2.21, 2.28, 2.35, 2.39, 2.44, 2.48]),
        (
            f64::INFINITY,
            [1.92, 2.06, 2.16, 2.23, 2.29, 2.34, 2.38, 2.42],
        ),
    ];
    for (df, row) in table {
        for (i, want) in row.into_iter().enumerate() {
            let got = dunnett::critical_value(0.05, &vec![EQUAL; i + 2], df, Alternative::Greater)
                .unwrap();
            assert!(
                (got - want).abs() < 0.006,
                "df {df}, {} treatments: {got}",
                i + 2
            );
        }
    }
}

/// Four decimals by numerical double integration, both sides, 5 % and 1 %.
#[test]
fn critical_values_by_double_integration() {
    let path = format!(
        "{}/../tests/reference/dunnett_critical_values.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut rows = csv::Reader::from_path(path).unwrap();
    let mut seen = 0;
    for row in rows.records() {
        let row = row.unwrap();
        let sided = if &row[0] == "1" {
            Alternative::Greater
        } else {
            Alternative::TwoSided
        };
        let alpha: f64 = row[1].parse().unwrap();
        for k in 1..=9 {
            let want: f64 = row[2 + k].parse().unwrap();
            let got = dunnett::critical_value(alpha, &vec![EQUAL; k], df(&row[2]), sided).unwrap();
            assert!(
                (got - want).abs() < 1.01e-4,
                "{row:?} k {k}: {got} not {want}"
            );
            seen += 1;
        }
    }
    assert!(seen > 400);
}

/// R's mvtnorm, the entries its authors' numerical integration also gives.
#[test]
fn probabilities_of_equal_replication() {
    for case in reference("dunnett_probabilities.json")["cases"]
        .as_array()
        .unwrap()
    {
        let t = numbers(&case["abs_t"]);
        let k = usize::try_from(case["k"].as_u64().unwrap()).unwrap();
        let exact = numbers(&case["p_numeric_integration"]);
        for (t, want) in t.iter().zip(exact) {
            let all = vec![*t; k];
            let p = dunnett::p_values(
                &all,
                &vec![EQUAL; k],
                df(&case["df"]),
                Alternative::TwoSided,
            )
            .unwrap();
            assert!((p[0] - want).abs() < 1e-8, "{case}: {} not {want}", p[0]);
        }
    }
}

/// Nested adaptive quadrature with scipy (`make_dunnett_reference.py`).
#[test]
fn probabilities_of_unequal_replication() {
    let reference = reference("dunnett_unequal.json");
    for case in reference["cases"].as_array().unwrap() {
        let lambda =
            lambda_from_replication(&numbers(&case["n"]), case["n0"].as_f64().unwrap()).unwrap();
        let sided = if case["sided"] == "two" {
            Alternative::TwoSided
        } else {
            Alternative::Greater
        };
        let t = vec![case["t"].as_f64().unwrap(); lambda.len()];
        let p = dunnett::p_values(&t, &lambda, df(&case["df"]), sided).unwrap();
        let want = case["p"].as_f64().unwrap();
        assert!((p[0] - want).abs() < 2e-10, "{case}: {}", p[0]);
    }
    // Cochran & Cox 1957, section 4.1a: potato scab, eight control plots, four of each treatment.
    let scab = &reference["potato_scab"];
    let (t, lambda) = (numbers(&scab["t"]), numbers(&scab["lam"]));
    let p = dunnett::p_values(&t, &lambda, df(&scab["df"]), Alternative::TwoSided).unwrap();
    for (got, want) in p.iter().zip(numbers(&scab["p"])) {
        assert!((got - want).abs() < 1e-10, "{got} {want}");
    }
    let stepped = dunnett::step_down(&t, &lambda, df(&scab["df"]), Alternative::TwoSided).unwrap();
    assert!(stepped.iter().zip(&p).all(|(a, b)| *a <= b + 1e-12));
    // The most extreme is the same; the least extreme stands alone but for the floor above it.
    assert!((stepped[2] - p[2]).abs() < 1e-12);
}

/// R's `PlantGrowth` data, whose two-sided adjusted p-values are printed in many handbooks.
#[test]
fn plant_growth() {
    let control = [4.17, 5.58, 5.18, 6.11, 4.50, 4.61, 5.17, 4.53, 5.33, 5.14];
    let first = [4.81, 4.17, 4.41, 3.59, 5.87, 3.83, 6.03, 4.89, 4.32, 4.69];
    let second = [6.31, 5.12, 5.54, 5.50, 5.37, 5.29, 4.92, 6.15, 5.80, 5.26];
    let mean = |g: &[f64]| g.iter().sum::<f64>() / 10.0;
    let squares = |g: &[f64]| g.iter().map(|y| (y - mean(g)).powi(2)).sum::<f64>();
    let variance = (squares(&control) + squares(&first) + squares(&second)) / 27.0;
    let se = (variance * 0.2).sqrt();
    let t = [
        (mean(&first) - mean(&control)) / se,
        (mean(&second) - mean(&control)) / se,
    ];
    let p = dunnett::p_values(&t, &[EQUAL; 2], 27.0, Alternative::TwoSided).unwrap();
    assert!(
        (p[0] - 0.3227).abs() < 5e-4 && (p[1] - 0.1535).abs() < 5e-4,
        "{p:?}"
    );
}

#[test]
fn extremes_are_defined() {
    let p = |t: f64, lambda: &[f64], df, sided| {
        dunnett::p_values(&vec![t; lambda.len()], lambda, df, sided).unwrap()[0]
    };
    let three = [0.3, 0.9, -0.5];
    assert_eq!(p(f64::INFINITY, &three, 5.0, Alternative::TwoSided), 0.0);
    assert_eq!(p(0.0, &three, 5.0, Alternative::TwoSided), 1.0);
    assert_eq!(p(f64::NEG_INFINITY, &three, 5.0, Alternative::Greater), 1.0);
    assert_eq!(p(f64::NEG_INFINITY, &three, 5.0, Alternative::Less), 0.0);
    // Far out the contrasts exceed one at a time: Bonferroni's sum is reached from below.
    for df in [f64::INFINITY, 1e6] {
        let one = p(12.0, &[0.0], df, Alternative::TwoSided);
        let ratio = p(12.0, &[0.5; 4], df, Alternative::TwoSided) / one;
        assert!((ratio - 4.0).abs() < 1e-6 && one > 0.0, "{ratio}");
    }
    // Nearly a copy: two contrasts that share almost everything count once.
    let one = p(2.0, &[0.0], 8.0, Alternative::TwoSided);
    let twin = p(2.0, &[0.999; 2], 8.0, Alternative::TwoSided);
    assert!(twin > one && twin < 1.1 * one);
    // One contrast is Student's own; many degrees of freedom meet the normal.
    for (df, t, want) in [
        (1.0, 12.706_204_736, 0.05),
        (6.0, 2.446_911_851, 0.05),
        (1e11, 1.959_963_985, 0.05),
    ] {
        assert!(
            (p(t, &[0.6], df, Alternative::TwoSided) - want).abs() < 2e-10,
            "{df}"
        );
    }
    // The law changes hands to the normal at 1e10 without a step.
    assert!(
        (p(2.0, &three, 9.9e9, Alternative::TwoSided)
            - p(2.0, &three, 1.1e10, Alternative::TwoSided))
        .abs()
            < 1e-10
    );
    // A thousand methods at once, and one degree of freedom.
    let many = vec![EQUAL; 1000];
    let c = dunnett::critical_value(0.05, &many, 1.0, Alternative::TwoSided).unwrap();
    assert!((p(c, &many, 1.0, Alternative::TwoSided) - 0.05).abs() < 1e-9);
    for bad in [
        dunnett::p_values(&[1.0], &[1.0], 5.0, Alternative::TwoSided),
        dunnett::p_values(&[1.0, 2.0], &[0.5], 5.0, Alternative::TwoSided),
        dunnett::p_values(&[f64::NAN], &[0.5], 5.0, Alternative::TwoSided),
        dunnett::p_values(&[1.0], &[0.5], 0.0, Alternative::TwoSided),
    ] {
        assert!(bad.is_err());
    }
    assert_eq!(
        dunnett::p_values(&[], &[], 5.0, Alternative::TwoSided).unwrap(),
        Vec::<f64>::new()
    );
    assert!(dunnett::critical_value(0.05, &[], 5.0, Alternative::TwoSided).is_err());
    assert!(dunnett::critical_value(1.0, &[0.5], 5.0, Alternative::TwoSided).is_err());
}

#[test]
fn lattice_agrees_with_the_exact_sums() {
    let lambda = [0.4, 0.8, 0.6, 0.7];
    let correlation =
        Array2::from_shape_fn(
            (4, 4),
            |(i, j)| {
                if i == j { 1.0 } else { lambda[i] * lambda[j] }
            },
        );
    for (df, sided) in [
        (7.0, Alternative::TwoSided),
        (f64::INFINITY, Alternative::Greater),
        (20.0, Alternative::Less),
    ] {
        let t = if sided == Alternative::Less {
            -2.2
        } else {
            2.2
        };
        let exact = dunnett::p_values(&[t; 4], &lambda, df, sided).unwrap()[0];
        let tail = multivariate_t::sf(t, &correlation, df, sided, 2e-5, 3).unwrap();
        assert!(tail.error < 2e-5, "{tail:?}");
        assert!(
            (tail.value - exact).abs() < 2.0 * tail.error,
            "{tail:?} {exact}"
        );
        assert_eq!(
            tail,
            multivariate_t::sf(t, &correlation, df, sided, 2e-5, 3).unwrap()
        );
    }
    assert!(lambda_from_correlation(&correlation, 1e-9).is_some());
    let dependent = Array2::ones((2, 2));
    assert!(multivariate_t::sf(1.0, &dependent, 5.0, Alternative::TwoSided, 1e-4, 0).is_err());
}

proptest! {
    #[test]
    fn p_lies_between_its_bounds(
        t in prop::collection::vec(-6.0..6.0_f64, 1..6),
        df in 1.0..200.0_f64,
        lambda in prop::collection::vec(0.0..0.99_f64, 6),
    ) {
        let lambda = &lambda[..t.len()];
        for sided in [Alternative::TwoSided, Alternative::Greater, Alternative::Less] {
            let p = dunnett::p_values(&t, lambda, df, sided).unwrap();
            let stepped = dunnett::step_down(&t, lambda, df, sided).unwrap();
            for (i, t) in t.iter().enumerate() {
                let alone = dunnett::p_values(&[*t], &[0.0], df, sided).unwrap()[0];
                prop_assert!(p[i] >= alone - 1e-10);
                prop_assert!(p[i] <= (alone * lambda.len() as f64).min(1.0) + 1e-10);
                prop_assert!(stepped[i] <= p[i] + 1e-10 && stepped[i] >= alone - 1e-10);
            }
        }
    }

    #[test]
    fn critical_and_p_undo_one_another(
        alpha in 1e-6..0.9_f64,
        df in 1.0..500.0_f64,
        lambda in prop::collection::vec(-0.95..0.95_f64, 1..6),
    ) {
        for sided in [Alternative::TwoSided, Alternative::Greater] {
            let c = dunnett::critical_value(alpha, &lambda, df, sided).unwrap();
            let p = dunnett::p_values(&vec![c; lambda.len()], &lambda, df, sided).unwrap();
            prop_assert!((p[0] / alpha - 1.0).abs() < 1e-8, "{} {}", p[0], alpha);
        }
    }
}
