//! Boundaries of interim looks against printed constants and another integration.

use halfgreen_analysis::sequential::spending::{
    Spending, boundaries, classical_constant, crossing,
};

/// Jennison and Turnbull 2000, tables 2.1 and 2.3, two-sided 5 %; from memory, three decimals.
#[test]
fn classical_constants() {
    for (looks, pocock, obrien_fleming) in [
        (2, 2.178, 1.977),
        (3, 2.289, 2.004),
        (4, 2.361, 2.024),
        (5, 2.413, 2.040),
    ] {
        let got = classical_constant(looks, 0.05, Spending::Pocock).unwrap();
        assert!((got - pocock).abs() < 5.1e-4, "{looks}: {got}");
        let got = classical_constant(looks, 0.05, Spending::ObrienFleming).unwrap();
        assert!((got - obrien_fleming).abs() < 5.1e-4, "{looks}: {got}");
    }
}

/// Lan-DeMets boundaries for five equal looks, two-sided 5 %, as widely printed for their program;
/// from memory, two decimals kept.
#[test]
fn five_equal_looks() {
    let shares = [0.2, 0.4, 0.6, 0.8, 1.0];
    for (spending, want) in [
        (Spending::ObrienFleming, [4.877, 3.357, 2.680, 2.290, 2.031]),
        (Spending::Pocock, [2.438, 2.427, 2.410, 2.397, 2.386]),
    ] {
        let looks = boundaries(&shares, 0.05, spending).unwrap();
        for (look, want) in looks.iter().zip(want) {
            assert!((look.z - want).abs() < 6e-4, "{look:?} {want}");
        }
    }
}

/// Boundaries by the multivariate normal of scipy, whose own error is about 1e-5 for three and more looks.
#[test]
fn boundaries_by_another_road() {
    let reference: serde_json::Value =
        serde_json::from_str(include_str!("../power/reference/reference.json")).unwrap();
    let cases = reference["boundaries"].as_array().unwrap();
    assert_eq!(cases.len(), 6);
    for case in cases {
        let numbers = |key: &str| -> Vec<f64> {
            case[key]
                .as_array()
                .unwrap()
                .iter()
                .map(|x| x.as_f64().unwrap())
                .collect()
        };
        let spending = match case["kind"].as_str().unwrap() {
            "pocock" => Spending::Pocock,
            _ => Spending::ObrienFleming,
        };
        let looks = boundaries(
            &numbers("shares"),
            case["alpha"].as_f64().unwrap(),
            spending,
        )
        .unwrap();
        for (look, want) in looks.iter().zip(numbers("z")) {
            assert!((look.z - want).abs() < 1e-4, "{case} {look:?}");
        }
    }
}

#[test]
fn all_of_alpha_is_spent_and_no_more() {
    for spending in [Spending::ObrienFleming, Spending::Pocock] {
        let looks = boundaries(&[0.5, 0.8, 1.0], 0.05, spending).unwrap();
        let crossed: f64 = crossing(&looks, 0.0).unwrap().iter().sum();
        assert!((crossed - 0.05).abs() < 1e-9, "{crossed}");
        assert!((looks[2].spent - 0.05).abs() < 1e-15);
        // One look at the end is the ordinary test.
        let one = boundaries(&[1.0], 0.05, spending).unwrap();
        assert!((one[0].z - 1.959964).abs() < 1e-6);
        let power: f64 = crossing(&one, 1.959964 + 0.841621).unwrap().iter().sum();
        assert!((power - 0.8).abs() < 1e-5);
    }
}

#[test]
fn looks_out_of_order_are_refused() {
    assert!(boundaries(&[0.6, 0.5], 0.05, Spending::Pocock).is_err());
    assert!(boundaries(&[], 0.05, Spending::Pocock).is_err());
    assert!(boundaries(&[0.5, 1.2], 0.05, Spending::Pocock).is_err());
    assert!(boundaries(&[1.0], 0.0, Spending::Pocock).is_err());
    // A very early look spends next to nothing and stays finite.
    let looks = boundaries(&[0.01, 1.0], 0.05, Spending::ObrienFleming).unwrap();
    assert!(looks[0].z == 8.0 && (looks[1].z - 1.959964).abs() < 1e-5);
}
