//! Randomisation tests with published answers, and by two roads.

use std::sync::Arc;

use halfgreen_analysis::randomisation::{
    Allocations, RandomisationSettings, Scheme, against_control, max_t,
};
use halfgreen_analysis::results::Origin;

/// Darwin's maize ("The Effects of Cross and Self Fertilisation", 1876, p. 16), differences of
/// crossed and self-fertilised plants in eighths of an inch; Fisher ("The Design of Experiments",
/// 1935, section 21) counts 863 of 32 768 arrangements on one side, 1726 on both (counts recomputed
/// from the published differences; the book's figures from memory).
#[test]
fn darwins_maize() {
    let differences = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48].map(f64::from);
    let scores: Vec<f64> = differences.iter().flat_map(|d| [0.0, *d]).collect();
    let labels: Vec<usize> = (0..30).map(|i| i % 2).collect();
    let block: Vec<usize> = (0..30).map(|i| i / 2).collect();
    let scheme = Scheme::blocks(&block);
    let settings = RandomisationSettings::default();
    let test = against_control(&scores, &labels, &scheme, &settings).unwrap();
    assert_eq!(test.allocations, [32_768.0]);
    assert_eq!(test.p[0].origin, Origin::Exact);
    assert_eq!((test.p[0].value * 32_768.0).round(), 1726.0);
    assert_eq!(test.smallest_attainable_p, [2.0 / 32_768.0]);
    assert!((test.differences[0] / 8.0 - 2.616_667).abs() < 1e-6);

    // A sample agrees within four standard errors of its own.
    let sampled = RandomisationSettings {
        limit: 0,
        seed: 3,
        ..settings
    };
    let p = against_control(&scores, &labels, &scheme, &sampled)
        .unwrap()
        .p[0];
    assert_eq!(p.origin, Origin::Sampled(99_999));
    assert!(
        (p.value - 0.052_673).abs() < 4.0 * (0.0527_f64 * 0.9473 / 1e5).sqrt(),
        "{p:?}"
    );
}

/// Four pairs, all 16 swaps: p = 0.25, by enumeration in Python (numpy 2.4.6).
#[test]
fn four_pairs_by_another_program() {
    let scores = [12.0, 3.0, 7.0, 7.0, 20.0, 4.0, 9.0, 1.0];
    let labels = [0, 1, 0, 1, 0, 1, 0, 1];
    let scheme = Scheme::blocks(&[0, 0, 1, 1, 2, 2, 3, 3]);
    let test =
        against_control(&scores, &labels, &scheme, &RandomisationSettings::default()).unwrap();
    assert_eq!(test.p[0].value, 0.25);
    assert_eq!(test.smallest_attainable_p, [0.125]);
}

/// Four blocks of three: the tables against a plain list of all allocations, and the closed test
/// against its definition.
#[test]
fn tables_agree_with_a_plain_list() {
    let scores: [f64; 12] = [9.0, 5.0, 5.5, 4.0, 13.0, 7.0, 3.0, 11.0, 1.0, 2.0, 0.5, 4.0];
    let labels = [0, 1, 2, 0, 1, 2, 1, 0, 2, 2, 1, 0];
    let block: Vec<usize> = (0..12).map(|i| i / 3).collect();
    let orders = [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ];
    let list: Vec<Vec<usize>> = (0..6_usize.pow(4))
        .map(|index| {
            (0..4)
                .flat_map(|b| orders[index / 6_usize.pow(b) % 6])
                .collect()
        })
        .collect();
    let settings = RandomisationSettings::default();
    let by_tables = Scheme::blocks(&block);
    let by_list = Scheme::Listed(Arc::new(Allocations::from_rows(12, list).unwrap()));
    assert_eq!(by_tables.allocations(&labels), by_list.allocations(&labels));
    let a = max_t(&scores, &labels, &[1, 2], &by_tables, &settings).unwrap();
    let b = max_t(&scores, &labels, &[1, 2], &by_list, &settings).unwrap();
    assert_eq!(a, b);
    // One treatment and the control alone change places: two ways in each block.
    let swaps: Vec<Vec<usize>> = (0..16_usize)
        .map(|index| {
            let swapped = |plot: usize| index >> (plot / 3) & 1 == 1 && labels[plot] < 2;
            (0..12)
                .map(|plot| {
                    if swapped(plot) {
                        1 - labels[plot]
                    } else {
                        labels[plot]
                    }
                })
                .collect()
        })
        .collect();
    let swaps = Scheme::Listed(Arc::new(Allocations::from_rows(12, swaps).unwrap()));
    let a = max_t(&scores, &labels, &[1], &by_tables, &settings).unwrap();
    let b = max_t(&scores, &labels, &[1], &swaps, &settings).unwrap();
    assert_eq!(a, b);
    let test = against_control(&scores, &labels, &by_tables, &settings).unwrap();
    let both = max_t(&scores, &labels, &[1, 2], &by_tables, &settings)
        .unwrap()
        .value;
    for t in 0..2 {
        assert_eq!(test.p_adjusted[t], test.p[t].value.max(both));
    }
}

/// A completely randomised design in one group: 70 allocations of 4 and 4.
#[test]
fn completely_randomised_by_hand() {
    let scores = [10.0, 11.0, 12.0, 13.0, 1.0, 2.0, 3.0, 4.0];
    let labels = [0, 0, 0, 0, 1, 1, 1, 1];
    let scheme = Scheme::completely_randomised(8);
    let test =
        against_control(&scores, &labels, &scheme, &RandomisationSettings::default()).unwrap();
    assert_eq!(test.allocations, [70.0]);
    assert_eq!(test.p[0].value, 2.0 / 70.0);
}

#[test]
fn defined_answers_at_the_edges() {
    let settings = RandomisationSettings::default();
    let scheme = Scheme::blocks(&[0, 0]);
    let equal = against_control(&[3.0, 3.0], &[0, 1], &scheme, &settings).unwrap();
    assert_eq!(
        (equal.p[0].value, equal.smallest_attainable_p[0]),
        (1.0, 1.0)
    );
    let one_pair = against_control(&[3.0, 9.0], &[0, 1], &scheme, &settings).unwrap();
    assert_eq!(one_pair.p[0].value, 1.0);
    let error = against_control(&[1.0, 2.0], &[1, 1], &scheme, &settings).unwrap_err();
    assert_eq!(error.what, "treatment labels");
    assert!(against_control(&[f64::NAN, 2.0], &[0, 1], &scheme, &settings).is_err());
}

#[test]
fn threads_do_not_matter() {
    let scores: Vec<f64> = (0..24).map(|i| f64::from(i * i % 17)).collect();
    let labels: Vec<usize> = (0..24).map(|i| i % 4).collect();
    let scheme = Scheme::completely_randomised(24);
    let settings = RandomisationSettings {
        draws: 9_999,
        seed: 8,
        limit: 1000,
    };
    let run = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| against_control(&scores, &labels, &scheme, &settings).unwrap())
    };
    assert_eq!(run(1), run(2));
}
