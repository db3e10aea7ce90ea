//! Draws balanced along a gradient: counted, even, and respected wherever the draw is asked again.

use std::collections::BTreeSet;

use halfgreen::area::rectangle;
use halfgreen::design::allocation::{
    Positions, Sampler, Scheme, Split, allocations, allowed, attainable_p_under,
};
use halfgreen::design::kinds::{CompletelyRandomised, Crossover, Paired, RandomisedBlocks};
use halfgreen::design::{DesignKind, Protocol, Rule, lay_out, scheme_of, seal, verify};
use halfgreen_analysis::random::Generator;

use super::draws::{shuffled, split};
use super::trial::{green, protocol};

const BALANCED: [Rule; 1] = [Rule::BalancedAlongGradient];

/// Blocks of so many plots in a row.
fn in_rows(blocks: usize, list: &[usize], treatments: usize) -> Scheme {
    let mut scheme = shuffled(blocks, list, treatments);
    let along = (0..blocks * list.len()).map(|unit| (unit % list.len()) as f64);
    scheme.positions = Positions::new(&[along.collect()], &scheme.blocks, 0.5);
    scheme
}

fn count(scheme: &Scheme) -> u64 {
    let found = allocations(scheme, &BALANCED).unwrap();
    found.to_string().parse().unwrap()
}

/// Every allocation of blocks, by counting up, that the words of the rule let pass: places of a block from its
/// middle, added up over a treatment's plots, within half a block's length, or within less than a step.
fn by_words(blocks: usize, list: &[usize], treatments: usize) -> u64 {
    let size = list.len();
    let middle = (size as f64 - 1.0) / 2.0;
    let mut orders = BTreeSet::from([Vec::new()]);
    for _ in 0..size {
        let longer = orders.iter().flat_map(|o: &Vec<usize>| {
            let left = |t: &usize| {
                let of = |l: &[usize]| l.iter().filter(|x| *x == t).count();
                of(list) > of(o)
            };
            let next: BTreeSet<usize> = list.iter().copied().filter(left).collect();
            next.into_iter().map(|t| [&o[..], &[t]].concat())
        });
        orders = longer.collect();
    }
    let orders: Vec<Vec<usize>> = orders.into_iter().collect();
    let all = orders.len().pow(u32::try_from(blocks).unwrap());
    let kept = (0..all).filter(|&number| {
        let mut sums = vec![0.0_f64; treatments];
        let mut rest = number;
        for _ in 0..blocks {
            for (place, &t) in orders[rest % orders.len()].iter().enumerate() {
                sums[t] += place as f64 - middle;
            }
            rest /= orders.len();
        }
        sums.iter().all(|s| s.abs() < 1.0 || s.abs() <= middle)
    });
    kept.count() as u64
}

/// Half of the pairs have the method first: n over n/2 allocations; of an odd number one more or one fewer has:
/// twice n over (n-1)/2.
#[test]
fn pairs_are_halved() {
    for (pairs, ways) in [
        (1, 2),
        (2, 2),
        (3, 6),
        (4, 6),
        (5, 20),
        (6, 20),
        (8, 70),
        (9, 252),
    ] {
        let scheme = in_rows(pairs, &[0, 1], 2);
        assert_eq!(count(&scheme), ways, "{pairs} pairs");
        let p = attainable_p_under(&scheme, &BALANCED).unwrap();
        assert!(
            (p.smallest_p - 2.0 / ways as f64).abs() < 1e-15,
            "{pairs} pairs"
        );
        assert_eq!(p.smallest_p_exchanging_two, Some(p.smallest_p));
    }
    // Forty pairs: 40 over 20 (OEIS A000984), and the bound on p is no bound but the value.
    let many = in_rows(40, &[0, 1], 2);
    assert_eq!(count(&many), 137_846_528_820);
    let p = attainable_p_under(&many, &BALANCED).unwrap().smallest_p;
    assert!((p * 137_846_528_820.0 / 2.0 - 1.0).abs() < 1e-5, "{p}");
}

#[test]
fn larger_blocks_are_counted_as_the_words_say() {
    for (blocks, list, treatments) in [
        (3, vec![0, 1, 2], 3),
        (4, vec![0, 1, 2], 3),
        (3, vec![0, 1, 2, 3], 4),
        (4, vec![0, 0, 1], 2),
        (3, vec![0, 0, 1, 2], 3),
        (1, vec![0, 0, 0, 1, 1, 1, 2, 2], 3),
    ] {
        let scheme = in_rows(blocks, &list, treatments);
        assert_eq!(
            count(&scheme),
            by_words(blocks, &list, treatments),
            "{blocks} of {list:?}"
        );
    }
}

/// Counted by sums or by listing, it is the same number: with a second rule, which changes nothing where
/// no two neighbouring blocks can be alike, listing counts.
#[test]
fn whole_plots_and_two_directions_are_counted() {
    let mut square = shuffled(3, &[0, 1, 2, 3], 4);
    let axis = |of: fn(usize) -> usize| (0..12).map(|u| of(u % 4) as f64).collect::<Vec<_>>();
    square.positions = Positions::new(&[axis(|u| u % 2), axis(|u| u / 2)], &square.blocks, 0.5);
    let mut whole = split(3);
    whole.positions = Positions::new(&[axis(|u| u)], &whole.blocks, 0.5);
    assert_eq!(
        format!("{:?}", whole.randomisation),
        format!(
            "{:?}",
            Split {
                groups: vec![vec![0, 1], vec![2, 3]]
            }
        )
    );
    for scheme in [square, whole] {
        let mut kept = BTreeSet::new();
        let free = Sampler::new(&scheme, &[]).unwrap();
        let mut generator = Generator::new(11, 0);
        for _ in 0..300_000 {
            let drawn = free.draw(&mut generator).unwrap();
            if allowed(&scheme, &BALANCED, &drawn) {
                kept.insert(drawn);
            }
        }
        assert_eq!(count(&scheme), kept.len() as u64);
    }
}

/// Four treatments in two rows of two, both directions balanced: 2 520 of 24^3 draws, 1 944 of 24^4, by the convolution
/// of `itertools.permutations` in Python 3. Of ten blocks too few draws are; of one direction enough.
#[test]
fn a_balance_that_hardly_any_draw_has_is_refused() {
    let of = |blocks: usize, directions: usize| {
        let mut scheme = shuffled(blocks, &[0, 1, 2, 3], 4);
        let axis = |of: fn(usize) -> usize| {
            (0..4 * blocks)
                .map(|u| of(u % 4) as f64)
                .collect::<Vec<_>>()
        };
        let both = [axis(|u| u % 2), axis(|u| u / 2)];
        scheme.positions = Positions::new(&both[..directions], &scheme.blocks, 0.5);
        scheme
    };
    assert_eq!(
        (count(&of(3, 2)), count(&of(4, 2)), count(&of(6, 2))),
        (2520, 1944, 323_520)
    );
    let refused = allocations(&of(10, 2), &BALANCED).unwrap_err();
    assert!(refused.to_string().contains("gradient_deg"), "{refused}");
    assert!(allocations(&of(10, 1), &BALANCED).is_ok());
}

fn planned(kind: DesignKind, codes: &[&str], blocks: usize) -> Protocol {
    let mut plan = protocol(kind, codes, blocks);
    plan.design.arrangement.rules = BALANCED.to_vec();
    plan
}

/// The walk turns at the end of each row of blocks; sides of a pair are sides on the ground.
#[test]
fn laid_out_pairs_are_halved_on_the_ground() {
    let ground = green(&rectangle(22.0, 30.0));
    for seed in 0..40 {
        let plan = planned(&Paired, &["U", "C"], 8);
        let laid = lay_out(&plan, &ground, seed).unwrap();
        assert_eq!(laid.allocations, "70");
        assert!((laid.smallest_p - 2.0 / 70.0).abs() < 1e-15);
        let higher = laid.layout.plots.chunks(2).filter(|pair| {
            let [first, second] = [&pair[0], &pair[1]];
            let up = (second.x_m - first.x_m) + (second.y_m - first.y_m) > 0.0;
            (second.treatment == "C") == up
        });
        assert_eq!(higher.count(), 4, "seed {seed}");
        // What the verdict draws anew comes from the same set.
        let scheme = scheme_of(&plan, &laid.layout).unwrap();
        assert_eq!(count(&scheme), 70);
        let sealed = seal(&plan, &ground, &laid, "2026-09-01T09:00:00Z", None).unwrap();
        assert_eq!(sealed.allocations, "70");
        assert!(
            verify(&sealed, &plan, &ground, &laid.layout)
                .unwrap()
                .is_empty()
        );
    }
}

/// Along a stated direction nothing else is balanced; across a pair there is nothing to balance.
#[test]
fn a_stated_direction_is_the_only_one() {
    let ground = green(&rectangle(60.0, 12.0));
    let mut plan = planned(&RandomisedBlocks, &["U", "C", "S"], 4);
    plan.design.arrangement.angle_deg = Some(0.0);
    let free = 6_u64.pow(4).to_string();
    plan.design.arrangement.gradient_deg = Some(90.0);
    let up = lay_out(&plan, &ground, 1).unwrap();
    plan.design.arrangement.gradient_deg = Some(0.0);
    let east = lay_out(&plan, &ground, 1).unwrap();
    let kept = by_words(4, &[0, 1, 2], 3).to_string();
    let mut found = [up.allocations, east.allocations];
    found.sort_unstable();
    assert_eq!(found, [free, kept]);
}

/// Without blocks the whole ground is one: six and six plots lie east and west, north and south alike.
#[test]
fn plots_without_blocks_are_balanced_over_the_ground() {
    let ground = green(&rectangle(30.0, 30.0));
    let plan = planned(&CompletelyRandomised, &["U", "C"], 6);
    let laid = lay_out(&plan, &ground, 4).unwrap();
    let mean = |code: &str, of: fn(&halfgreen::design::Plot) -> f64| -> f64 {
        let own = laid.layout.plots.iter().filter(|p| p.treatment == code);
        own.map(of).sum::<f64>() / 6.0
    };
    for of in [
        |p: &halfgreen::design::Plot| p.x_m,
        |p: &halfgreen::design::Plot| p.y_m,
    ] {
        assert!((mean("U", of) - mean("C", of)).abs() < 3.0);
    }
    assert!(laid.allocations.parse::<u64>().unwrap() < 924);
}

/// Few blocks and a free draw: advised. More blocks, a crossover whose plots get everything, the rule kept: not. A
/// direction that nothing makes use of is told.
#[test]
fn a_free_draw_of_few_blocks_is_advised_against() {
    let ground = green(&rectangle(40.0, 40.0));
    let said = |plan: &Protocol| -> Vec<String> {
        let about = |code: &str| code == "draw-may-be-lopsided" || code == "gradient-not-balanced";
        let laid = lay_out(plan, &ground, 1).unwrap();
        let advice = laid.advice.into_iter().filter(|a| about(a.code));
        advice
            .map(|a| format!("{}: {}", a.code, a.message))
            .collect()
    };
    let free = protocol(&Paired, &["U", "C"], 3);
    let found = said(&free);
    assert!(
        found[0].starts_with("draw-may-be-lopsided: With 3 pairs about one draw in 4"),
        "{found:?}"
    );
    assert!(said(&planned(&Paired, &["U", "C"], 3)).is_empty());
    assert!(said(&protocol(&Paired, &["U", "C"], 6)).is_empty());
    assert!(said(&protocol(&Crossover, &["U", "C", "S"], 1)).is_empty());
    let mut stated = protocol(&Paired, &["U", "C"], 8);
    stated.design.arrangement.gradient_deg = Some(30.0);
    assert!(said(&stated)[0].starts_with("gradient-not-balanced: gradient_deg = 30"));
}
