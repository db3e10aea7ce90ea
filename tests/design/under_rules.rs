//! The smallest p under rules, against listing by other means.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use halfgreen::design::Rule;
use halfgreen::design::allocation::{
    CarryOver, Sampler, Scheme, allocations, attainable_p, attainable_p_under,
};
use halfgreen_analysis::random::Generator;

use super::draws::{shuffled, split, square};

const BOTH: [Rule; 2] = [Rule::NotTwiceInARow, Rule::NotLikeTheBlockBefore];

/// One block of a crossover balanced for carry-over; `lines` as on the ground, night by night.
fn carry_over(treatments: usize) -> Scheme {
    let plots = treatments * (1 + treatments % 2);
    let night = |n: usize| (0..plots).map(|p| p * treatments + n).collect();
    Scheme {
        randomisation: Arc::new(CarryOver { treatments }),
        lines: (0..treatments).map(night).collect(),
        ..shuffled(1, &vec![0; plots * treatments], treatments)
    }
}

/// All allowed allocations, collected from so many draws that none is missed.
fn collected(scheme: &Scheme, rules: &[Rule]) -> BTreeSet<Vec<usize>> {
    let wanted: usize = allocations(scheme, rules)
        .unwrap()
        .to_string()
        .parse()
        .unwrap();
    let sampler = Sampler::new(scheme, rules).unwrap();
    let mut generator = Generator::new(21, 0);
    let mut all = BTreeSet::new();
    for _ in 0..100 * wanted {
        all.insert(sampler.draw(&mut generator).unwrap());
    }
    assert_eq!(all.len(), wanted);
    all
}

/// For the layout with the largest smallest p: the share of allocations whose difference in totals is
/// at least as large in size, when the treatment's plots count 1, the control's -1 and all others 0. No
/// allocation passes the layout's own difference.
fn by_brute_force(scheme: &Scheme, rules: &[Rule]) -> f64 {
    let all = collected(scheme, rules);
    let mut worst = 0.0_f64;
    for x in (0..scheme.treatments).filter(|&x| x != scheme.control) {
        for layout in &all {
            let score =
                |t: usize| f64::from(u8::from(t == x)) - f64::from(u8::from(t == scheme.control));
            let plots = |of: usize| layout.iter().filter(|&&t| t == of).count() as f64;
            let difference = |a: &Vec<usize>| -> f64 {
                let mean = |of: usize| -> f64 {
                    let own = a.iter().zip(layout).filter(|(t, _)| **t == of);
                    own.map(|(_, &t)| score(t)).sum::<f64>() / plots(of)
                };
                (mean(x) - mean(scheme.control)).abs()
            };
            let own = difference(layout) - 1e-9;
            let as_far = all.iter().filter(|a| difference(a) >= own).count();
            worst = worst.max(as_far as f64 / all.len() as f64);
        }
    }
    worst
}

#[test]
fn listing_agrees_with_brute_force() {
    for (scheme, rules) in [
        (shuffled(3, &[0, 1, 2], 3), &BOTH[..1]),
        (shuffled(3, &[0, 1, 2], 3), &BOTH[1..]),
        (shuffled(2, &[0, 0, 1, 2], 3), &BOTH[..]),
        (shuffled(6, &[0, 1], 2), &BOTH[1..]),
        (shuffled(1, &[0, 0, 0, 1, 1, 1], 2), &BOTH[..1]),
        (split(2), &BOTH[..]),
        (square(3, 2), &BOTH[1..]),
        (carry_over(3), &[]),
        (carry_over(4), &[]),
        (carry_over(4), &BOTH[..1]),
    ] {
        let found = attainable_p_under(&scheme, rules).unwrap();
        let brute = by_brute_force(&scheme, rules);
        assert!(
            (found.smallest_p - brute).abs() < 1e-12,
            "{scheme:?}: {} {brute}",
            found.smallest_p
        );
        // Two treatments are exchanged whenever all are drawn anew; with more the test re-draws all.
        let two = scheme.treatments == 2;
        assert_eq!(
            found.smallest_p_exchanging_two,
            two.then_some(found.smallest_p)
        );
    }
    // Pairs that must each differ from the one before: two layouts in all, and they mirror each other.
    let turns = attainable_p_under(&shuffled(6, &[0, 1], 2), &BOTH[1..]).unwrap();
    assert_eq!(turns.smallest_p, 1.0);
}

/// Beyond what is listed the bound lies above the p-value without rules and is reached by none below it.
#[test]
fn beyond_listing_the_bound_errs_on_the_careful_side() {
    // 6^8 = 1 679 616 allocations are not listed; six blocks are.
    let bound = |blocks| {
        let scheme = shuffled(blocks, &[0, 1, 2], 3);
        let kept = allocations(&scheme, &BOTH[1..])
            .unwrap()
            .to_string()
            .parse::<f64>()
            .unwrap();
        let free = 6_f64.powf(blocks as f64);
        (
            attainable_p(&scheme).unwrap().smallest_p * free / kept,
            attainable_p_under(&scheme, &BOTH[1..]).unwrap(),
        )
    };
    let (eight, found) = bound(8);
    assert!(found.smallest_p >= eight && found.smallest_p < eight * 1.00001);
    let (six, exact) = bound(6);
    assert!(exact.smallest_p <= six * (1.0 + 1e-12) && exact.smallest_p > 0.5 * six);
    // Thousands of blocks overflow no float.
    let many = attainable_p_under(&shuffled(400, &[0, 1, 2, 3], 4), &BOTH[1..]).unwrap();
    assert!(many.smallest_p.is_finite() && many.smallest_p < 1e-300);
}

/// Blocks formed by rank do not follow each other along the walk: their allocations are listed.
#[test]
fn rules_on_scattered_blocks_are_counted_by_listing() {
    let mut scheme = shuffled(3, &[0, 1, 2], 3);
    scheme.blocks = vec![vec![0, 3, 8], vec![1, 4, 6], vec![2, 5, 7]];
    let mut kept = BTreeMap::new();
    let sampler = Sampler::new(&scheme, &[]).unwrap();
    let mut generator = Generator::new(3, 0);
    for _ in 0..30_000 {
        let drawn = sampler.draw(&mut generator).unwrap();
        let apart = drawn.windows(2).all(|w| w[0] != w[1]);
        kept.insert(drawn, apart);
    }
    assert_eq!(kept.len(), 216);
    let apart = kept.values().filter(|k| **k).count();
    assert_eq!(
        allocations(&scheme, &BOTH[..1]).unwrap().to_string(),
        apart.to_string()
    );
}
