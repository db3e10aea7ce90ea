//! Draws: how many there are, and that each is equally likely.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use halfgreen::area::rectangle;
use halfgreen::design::allocation::{
    Positions, Sampler, Scheme, Shuffled, Split, Square, allocations, allowed, attainable_p, draw,
    squares,
};
use halfgreen::design::kinds::{Crossover, RandomisedBlocks, SplitPlot};
use halfgreen::design::{Balance, Protocol, Rule, lay_out, scheme_of};
use halfgreen_analysis::random::Generator;

use super::trial::{green, protocol};

/// Upper 0.1 % point of chi-squared by Wilson and Hilferty (1931), good to a few per cent here.
fn upper_chi2(df: usize) -> f64 {
    let k = df as f64;
    // Normal upper 0.1 % point.
    let z = 3.090_232_306_f64;
    let c = 2.0 / (9.0 * k);
    k * z.mul_add(c.sqrt(), 1.0 - c).powi(3)
}

pub(super) fn shuffled(blocks: usize, list: &[usize], treatments: usize) -> Scheme {
    let size = list.len();
    Scheme {
        randomisation: Arc::new(Shuffled {
            list: list.to_vec(),
        }),
        lines: vec![(0..blocks * size).collect()],
        blocks: (0..blocks)
            .map(|b| (b * size..(b + 1) * size).collect())
            .collect(),
        positions: Positions::default(),
        treatments,
        control: 0,
    }
}

pub(super) fn square(order: usize, blocks: usize) -> Scheme {
    Scheme {
        randomisation: Arc::new(Square { order }),
        ..shuffled(blocks, &vec![0; order * order], order)
    }
}

pub(super) fn split(blocks: usize) -> Scheme {
    Scheme {
        randomisation: Arc::new(Split {
            groups: vec![vec![0, 1], vec![2, 3]],
        }),
        ..shuffled(blocks, &[0; 4], 4)
    }
}

fn count(scheme: &Scheme, rules: &[Rule]) -> String {
    allocations(scheme, rules).unwrap().to_string()
}

/// Latin squares of orders 2 to 5: 2, 12, 576, 161 280; order 6: 812 851 200 (Fisher and Yates 1934;
/// `McKay` and Wanless 2005). Multinomials: 12!/(4!)^3 = 34 650, 6^4 = 1296.
#[test]
fn numbers_of_allocations_are_exact() {
    for (order, published) in [
        (2, "2"),
        (3, "12"),
        (4, "576"),
        (5, "161280"),
        (6, "812851200"),
    ] {
        assert_eq!(count(&square(order, 1), &[]), published);
    }
    assert_eq!(squares::reduced_squares(4).len(), 4);
    assert_eq!(squares::reduced_squares(5).len(), 56);
    assert_eq!(squares::reduced_squares(6).len(), 9408);
    let crd = [vec![0; 4], vec![1; 4], vec![2; 4]].concat();
    assert_eq!(count(&shuffled(1, &crd, 3), &[]), "34650");
    assert_eq!(count(&shuffled(4, &[0, 1, 2], 3), &[]), "1296");
    assert_eq!(
        count(&shuffled(70, &[0, 1], 2), &[]),
        (1_u128 << 70).to_string()
    );
    assert_eq!(count(&split(3), &[]), "512");
    assert!(allocations(&square(12, 1), &[]).is_err());
}

/// A number of its own for every allocation.
fn code(allocation: &[usize]) -> u64 {
    allocation
        .iter()
        .fold(0, |so_far, &t| 8 * so_far + t as u64)
}

/// Chi-squared over every allocation, each of which must be met, in a million draws.
fn even(scheme: &Scheme, seed: u64) {
    let draws: u32 = 1_000_000;
    let cells: usize = count(scheme, &[]).parse().unwrap();
    let mut generator = Generator::new(seed, 0);
    let sampler = Sampler::new(scheme, &[]).unwrap();
    let mut drawn: Vec<u64> = (0..draws)
        .map(|_| code(&sampler.draw(&mut generator).unwrap()))
        .collect();
    drawn.sort_unstable();
    let seen: Vec<usize> = drawn.chunk_by(PartialEq::eq).map(<[u64]>::len).collect();
    assert_eq!(
        seen.len(),
        cells,
        "every allocation, and no other, is drawn"
    );
    let expected = f64::from(draws) / cells as f64;
    let chi2: f64 = seen
        .iter()
        .map(|&o| (o as f64 - expected).powi(2) / expected)
        .sum();
    assert!(
        chi2 < upper_chi2(cells - 1),
        "chi2 {chi2} over {cells} cells"
    );
}

/// Whether an allocation keeps the rules, by their words.
fn keeps(scheme: &Scheme, rules: &[Rule], allocation: &[usize]) -> bool {
    let on = |units: &[usize]| units.iter().map(|&u| allocation[u]).collect::<Vec<_>>();
    let in_line = |line: &[usize]| on(line).windows(2).any(|two| two[0] == two[1]);
    let blocks: Vec<Vec<usize>> = scheme.blocks.iter().map(|b| on(b)).collect();
    rules.iter().all(|rule| match rule {
        Rule::NotTwiceInARow => !scheme.lines.iter().any(|line| in_line(line)),
        Rule::NotLikeTheBlockBefore => blocks.windows(2).all(|two| two[0] != two[1]),
        Rule::BalancedAlongGradient => balanced(scheme, allocation),
    })
}

/// Whether no treatment's places, in steps from the middle of the blocks, add up to a whole step or more than half
/// a block's length, along any direction.
fn balanced(scheme: &Scheme, allocation: &[usize]) -> bool {
    let step = scheme.positions.step as f64;
    scheme.positions.directions.iter().all(|direction| {
        let place = |u: usize| direction.scores[u] as f64 / step;
        let length = |b: &Vec<usize>| {
            let ends = b.iter().map(|&u| place(u));
            ends.clone().fold(f64::MIN, f64::max) - ends.fold(f64::MAX, f64::min)
        };
        let longest = scheme.blocks.iter().map(length).fold(0.0, f64::max);
        (0..scheme.treatments).all(|t| {
            let own = (0..allocation.len()).filter(|&u| allocation[u] == t);
            let off = own.map(place).sum::<f64>().abs();
            off < 1.0 - 1e-9 || off <= 0.5 * longest + 1e-9
        })
    })
}

/// Draws under rules are the draws without rules less those that break one, in their order. Where the draws
/// without rules are even, as `even` finds, these are even too: dropping a draw for what it is leaves the others as
/// likely as they were, one and all. Every allowed allocation, and no other, is met.
fn rules_only_drop(scheme: &Scheme, rules: &[Rule], seed: u64) {
    let cells: usize = count(scheme, rules).parse().unwrap();
    let (ruled, free) = (
        Sampler::new(scheme, rules).unwrap(),
        Sampler::new(scheme, &[]).unwrap(),
    );
    let mut generators = [Generator::new(seed, 0), Generator::new(seed, 0)];
    let mut seen = BTreeSet::new();
    // A hundred draws or more for each of the allocations.
    for _ in 0..100 * cells.max(200) {
        let drawn = ruled.draw(&mut generators[0]).unwrap();
        let kept = loop {
            let any = free.draw(&mut generators[1]).unwrap();
            if keeps(scheme, rules, &any) {
                break any;
            }
        };
        assert_eq!(drawn, kept);
        seen.insert(code(&drawn));
    }
    assert_eq!(seen.len(), cells, "every allowed allocation is drawn");
}

#[test]
fn every_allocation_is_equally_likely() {
    even(&shuffled(1, &[0, 0, 0, 1, 1, 2, 2], 3), 1);
    even(&shuffled(3, &[0, 1, 2], 3), 2);
    even(&shuffled(6, &[0, 1], 2), 3);
    even(&shuffled(2, &[0, 0, 1, 2], 3), 8);
    even(&square(3, 1), 4);
    even(&square(4, 1), 5);
    even(&square(2, 4), 6);
    even(&square(3, 2), 9);
    even(&split(2), 7);
}

/// The draw of a protocol's layout, as it is read back from the file.
fn of_protocol(plan: &Protocol) -> Scheme {
    let laid = lay_out(plan, &green(&rectangle(40.0, 30.0)), 1).unwrap();
    scheme_of(plan, &laid.layout).unwrap()
}

/// Two factors of two levels, on plots of a block and with one factor on whole plots; crossovers.
#[test]
fn every_allocation_of_factorials_and_crossovers_is_equally_likely() {
    let combined = ["none", "air", "sheet", "both"];
    let mut plan = protocol(&RandomisedBlocks, &combined, 2);
    even(&of_protocol(&plan), 21);
    plan.design.kind = &SplitPlot;
    let whole = combined
        .chunks(2)
        .map(|w| w.iter().map(|c| (*c).into()).collect());
    plan.design.arrangement.whole_plots = whole.collect();
    even(&of_protocol(&plan), 22);
    let mut turns = protocol(&Crossover, &combined[..3], 2);
    even(&of_protocol(&turns), 23);
    turns.design.arrangement.balance = Some(Balance::CarryOver);
    turns.design.blocks = 1;
    even(&of_protocol(&turns), 24);
    let mut four = protocol(&Crossover, &combined, 1);
    even(&of_protocol(&four), 25);
    four.design.arrangement.balance = Some(Balance::CarryOver);
    even(&of_protocol(&four), 26);
    rules_only_drop(&of_protocol(&four), &[Rule::NotTwiceInARow], 27);
}

#[test]
fn draws_under_rules_are_equally_likely_and_counted() {
    let both = [Rule::NotTwiceInARow, Rule::NotLikeTheBlockBefore];
    rules_only_drop(&shuffled(3, &[0, 1, 2], 3), &both[..1], 11);
    rules_only_drop(&shuffled(3, &[0, 1, 2], 3), &both[1..], 12);
    rules_only_drop(&shuffled(3, &[0, 1, 2], 3), &both, 13);
    rules_only_drop(&shuffled(2, &[0, 0, 1, 2], 3), &both, 14);
    rules_only_drop(&shuffled(1, &[0, 0, 0, 1, 1, 2, 2], 3), &both[..1], 15);
    rules_only_drop(&split(2), &both, 16);
    rules_only_drop(&square(4, 1), &both[..1], 17);
    rules_only_drop(&square(3, 2), &both, 18);
    rules_only_drop(&square(2, 4), &both[1..], 19);
}

/// Every square is Latin, up to the largest order.
#[test]
fn squares_are_latin() {
    for order in 1..=squares::LARGEST {
        let drawn = squares::draw(order, &mut Generator::new(5, 0)).unwrap();
        for i in 0..order {
            let mut row: Vec<usize> = drawn[i].clone();
            let mut column: Vec<usize> = drawn.iter().map(|r| r[i]).collect();
            row.sort_unstable();
            column.sort_unstable();
            assert!(row.iter().copied().eq(0..order) && row == column);
        }
    }
}

/// Smallest p by listing every allocation: with distinct counts chosen as extreme as can be, the
/// share of allocations whose difference of means is at least as large.
#[test]
fn smallest_p_is_what_listing_finds() {
    let p = |s: &Scheme| attainable_p(s).unwrap().smallest_p;
    assert_eq!(p(&shuffled(4, &[0, 1], 2)), 0.125);
    assert_eq!(p(&shuffled(6, &[0, 1], 2)), 0.03125);
    // 8 plots, 4 and 4: 70 allocations, two extreme.
    assert_eq!(p(&shuffled(1, &[0, 0, 0, 0, 1, 1, 1, 1], 2)), 2.0 / 70.0);
    assert_eq!(p(&shuffled(2, &[0, 1, 2], 3)), 2.0 / 36.0);
    assert_eq!(p(&square(3, 1)), 2.0 / 12.0);
    // Order 4: two letters with one common cycle leave 2 of 576 squares.
    assert_eq!(p(&square(4, 1)), 4.0 / 576.0);
    let two = attainable_p(&shuffled(4, &[0, 1, 2], 3)).unwrap();
    assert_eq!(two.smallest_p_exchanging_two, Some(0.125));
    assert_eq!(shuffled(4, &[0, 1, 2], 3).residual_df(), 6);
    assert_eq!(square(5, 1).residual_df(), 12);
}

/// Order 4 by brute force over all 576 squares.
#[test]
fn smallest_p_of_a_square_agrees_with_all_576() {
    let mut all = BTreeSet::new();
    let mut generator = Generator::new(9, 0);
    while all.len() < 576 {
        all.insert(draw(&square(4, 1), &[], &mut generator).unwrap());
    }
    let key = |a: &Vec<usize>| -> Vec<usize> { a.iter().map(|&x| x.min(2)).collect() };
    let mut together: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
    for a in &all {
        *together.entry(key(a)).or_default() += 1;
    }
    let fewest = together.values().min().copied().unwrap();
    let p = attainable_p(&square(4, 1)).unwrap().smallest_p;
    assert_eq!(p, 2.0 * fewest as f64 / 576.0);
}

#[test]
fn rules_that_cannot_be_kept_are_refused() {
    let alternating = shuffled(1, &[0, 0, 0, 1], 2);
    assert!(allocations(&alternating, &[Rule::NotTwiceInARow]).is_err());
    assert!(allocations(&square(6, 1), &[Rule::NotTwiceInARow]).is_err());
    assert!(allocations(&square(2, 1), &[Rule::NotTwiceInARow]).is_err());
    assert!(allowed(&alternating, &[], &[0, 0, 0, 1]));
}
