//! The smallest p, and the p-values of trials with few allocations, against every allocation.

use std::collections::BTreeSet;
use std::sync::Arc;

use halfgreen::design::allocation::{Scheme, attainable_p, each_allowed};
use halfgreen_analysis::randomisation::{self, RandomisationSettings, against_control};

use super::draws::{shuffled, split, square};

/// Every order of the numbers below `n`.
fn orders(n: usize) -> Vec<Vec<usize>> {
    (0..n).fold(vec![Vec::new()], |begun, next| {
        let longer = |order: Vec<usize>| {
            (0..=order.len()).map(move |at| {
                let mut order = order.clone();
                order.insert(at, next);
                order
            })
        };
        begun.into_iter().flat_map(longer).collect()
    })
}

/// Every combination of one arrangement for each block.
fn in_blocks(block: &[Vec<usize>], blocks: usize) -> Vec<Vec<usize>> {
    (0..blocks).fold(vec![Vec::new()], |begun, _| {
        let longer = |start: &Vec<usize>| {
            let start = start.clone();
            block.iter().map(move |b| [&start[..], b].concat())
        };
        begun.iter().flat_map(longer).collect()
    })
}

/// Two kinds of whole plot with two treatments each, every order of four that keeps neighbours together.
fn whole_plots() -> Vec<Vec<usize>> {
    let together = |o: &Vec<usize>| o[0] / 2 == o[1] / 2;
    orders(4).into_iter().filter(together).collect()
}

/// Latin squares among all choices of a row order for each row.
fn latin(order: usize) -> Vec<Vec<usize>> {
    let once = |square: &Vec<usize>| {
        (0..order).all(|column| {
            let met: BTreeSet<usize> = (0..order).map(|row| square[row * order + column]).collect();
            met.len() == order
        })
    };
    in_blocks(&orders(order), order)
        .into_iter()
        .filter(once)
        .collect()
}

/// For each method the smallest p-value, over the layouts, of the layout's own most favourable scores: 1 on the method's
/// plots, -1 on the control's, 0 elsewhere. The largest over methods.
fn by_brute_force(all: &[Vec<usize>], treatments: usize) -> f64 {
    let p = |x: usize| {
        let own = |layout: &Vec<usize>| {
            let score = |&t: &usize| i64::from(t == x) - i64::from(t == 0);
            let scores: Vec<i64> = layout.iter().map(score).collect();
            let difference = |a: &Vec<usize>| -> i64 {
                let signed = a.iter().zip(&scores).map(|(t, s)| score(t) * s);
                signed.sum::<i64>().abs()
            };
            let observed = difference(layout);
            let as_far = all.iter().filter(|a| difference(a) >= observed).count();
            as_far as f64 / all.len() as f64
        };
        all.iter().map(own).fold(1.0, f64::min)
    };
    (1..treatments).map(p).fold(0.0, f64::max)
}

#[test]
fn smallest_p_is_what_every_allocation_gives() {
    for (scheme, all) in [
        (square(3, 1), latin(3)),
        (square(3, 2), in_blocks(&latin(3), 2)),
        (square(4, 1), latin(4)),
        (split(1), whole_plots()),
        (split(3), in_blocks(&whole_plots(), 3)),
        (shuffled(3, &[0, 1, 2], 3), in_blocks(&orders(3), 3)),
    ] {
        let found = attainable_p(&scheme).unwrap().smallest_p;
        let sought = by_brute_force(&all, scheme.treatments);
        assert!(
            (found - sought).abs() < 1e-15,
            "{scheme:?}: {found} {sought}"
        );
    }
    // Five blocks of two whole plots of two: 32 768 allocations, of which 64 have two treatments of one whole plot on
    // their plots or on each other's.
    assert_eq!(attainable_p(&split(5)).unwrap().smallest_p, 64.0 / 32_768.0);
    assert_eq!(attainable_p(&square(4, 1)).unwrap().smallest_p, 4.0 / 576.0);
}

fn listed(scheme: &Scheme) -> Vec<Vec<usize>> {
    let mut all = Vec::new();
    each_allowed(scheme, &[], 200_000, &mut |a| all.push(a.to_vec())).unwrap();
    all
}

/// Each method's smallest p in a layout, which the test of a list counts, is reached by scores that favour it most, and
/// the design's is the smallest over layouts.
#[test]
fn a_list_knows_the_smallest_p_of_its_layout() {
    for scheme in [square(3, 1), square(4, 1), split(3)] {
        let all = listed(&scheme);
        let rows = all.iter().map(|row| row.iter().copied());
        let set = randomisation::Allocations::from_rows(all[0].len(), rows).unwrap();
        let set = randomisation::Scheme::Listed(Arc::new(set));
        let settings = RandomisationSettings::default();
        let mut best = vec![1.0_f64; scheme.treatments - 1];
        for layout in all.iter().step_by(7) {
            for x in 1..scheme.treatments {
                let score = |&t: &usize| f64::from(u8::from(t == x)) - f64::from(u8::from(t == 0));
                let scores: Vec<f64> = layout.iter().map(score).collect();
                let test = against_control(&scores, layout, &set, &settings).unwrap();
                assert_eq!(test.p[x - 1].value, test.smallest_attainable_p[x - 1]);
                best[x - 1] = best[x - 1].min(test.p[x - 1].value);
            }
        }
        let largest = best.into_iter().fold(0.0, f64::max);
        assert_eq!(attainable_p(&scheme).unwrap().smallest_p, largest);
    }
}
