//! Draws: how many there are, and that each is equally likely.

use std::collections::BTreeMap;

use halfgreen::area::rectangle;
use halfgreen::design::allocation::{
    Kind, Lots, Scheme, allocations, allowed, draw, resolution, squares,
};
use halfgreen::design::{Balance, DesignKind, Protocol, Rule, lay_out, scheme_of};
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
        kind: Kind::Shuffled {
            list: list.to_vec(),
        },
        lines: vec![(0..blocks * size).collect()],
        blocks: (0..blocks)
            .map(|b| (b * size..(b + 1) * size).collect())
            .collect(),
        treatments,
        control: 0,
    }
}

pub(super) fn square(order: usize, blocks: usize) -> Scheme {
    Scheme {
        kind: Kind::Square,
        ..shuffled(blocks, &vec![0; order * order], order)
    }
}

pub(super) fn split(blocks: usize) -> Scheme {
    Scheme {
        kind: Kind::Split {
            groups: vec![vec![0, 1], vec![2, 3]],
        },
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

/// Chi-squared over every allocation; `expected` cells must all be met.
fn even(scheme: &Scheme, rules: &[Rule], draws: usize, seed: u64) {
    let cells: usize = count(scheme, rules).parse().unwrap();
    let mut generator = Generator::new(seed, 0);
    let lots = Lots::new(scheme, rules).unwrap();
    let mut seen: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
    for _ in 0..draws {
        *seen.entry(lots.draw(&mut generator).unwrap()).or_default() += 1;
    }
    assert_eq!(
        seen.len(),
        cells,
        "every allowed allocation, and no other, is drawn"
    );
    let expected = draws as f64 / cells as f64;
    let chi2: f64 = seen
        .values()
        .map(|&o| (o as f64 - expected).powi(2) / expected)
        .sum();
    assert!(
        chi2 < upper_chi2(cells - 1),
        "chi2 {chi2} over {cells} cells"
    );
}

#[test]
fn every_allocation_is_equally_likely() {
    let draws = 1_000_000;
    even(&shuffled(1, &[0, 0, 0, 1, 1, 2, 2], 3), &[], draws, 1);
    even(&shuffled(3, &[0, 1, 2], 3), &[], draws, 2);
    even(&shuffled(6, &[0, 1], 2), &[], draws, 3);
    even(&square(3, 1), &[], draws, 4);
    even(&square(4, 1), &[], draws, 5);
    even(&square(2, 4), &[], draws, 6);
    even(&split(2), &[], draws, 7);
}

/// The draw of a protocol's layout, as it is read back from the file.
fn of_protocol(plan: &Protocol) -> Scheme {
    let laid = lay_out(plan, &green(&rectangle(40.0, 30.0)), 1).unwrap();
    scheme_of(plan, &laid.layout).unwrap()
}

/// Two factors of two levels, on plots of a block and with one factor on whole plots; crossovers.
#[test]
fn every_allocation_of_factorials_and_crossovers_is_equally_likely() {
    let draws = 1_000_000;
    let combined = ["none", "air", "sheet", "both"];
    let mut plan = protocol(DesignKind::RandomisedBlocks, &combined, 2);
    even(&of_protocol(&plan), &[], draws, 21);
    plan.design.kind = DesignKind::SplitPlot;
    let whole = combined
        .chunks(2)
        .map(|w| w.iter().map(|c| (*c).into()).collect());
    plan.design.arrangement.whole_plots = whole.collect();
    even(&of_protocol(&plan), &[], draws, 22);
    let mut turns = protocol(DesignKind::Crossover, &combined[..3], 2);
    even(&of_protocol(&turns), &[], draws, 23);
    turns.design.arrangement.balance = Some(Balance::CarryOver);
    turns.design.blocks = 1;
    even(&of_protocol(&turns), &[], draws, 24);
    let mut four = protocol(DesignKind::Crossover, &combined, 1);
    even(&of_protocol(&four), &[], draws, 25);
    four.design.arrangement.balance = Some(Balance::CarryOver);
    even(&of_protocol(&four), &[], draws, 26);
    even(&of_protocol(&four), &[Rule::NotTwiceInARow], draws, 27);
}

#[test]
fn draws_under_rules_are_equally_likely_and_counted() {
    let both = [Rule::NotTwiceInARow, Rule::NotLikeTheBlockBefore];
    let draws = 1_000_000;
    even(&shuffled(3, &[0, 1, 2], 3), &both[..1], draws, 11);
    even(&shuffled(3, &[0, 1, 2], 3), &both[1..], draws, 12);
    even(&shuffled(3, &[0, 1, 2], 3), &both, draws, 13);
    even(&shuffled(2, &[0, 0, 1, 2], 3), &both, draws, 14);
    even(
        &shuffled(1, &[0, 0, 0, 1, 1, 2, 2], 3),
        &both[..1],
        draws,
        15,
    );
    even(&split(2), &both, draws, 16);
    even(&square(4, 1), &both[..1], draws, 17);
    even(&square(3, 2), &both, draws, 18);
    even(&square(2, 4), &both[1..], draws, 19);
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
    let p = |s: &Scheme| resolution(s).unwrap().smallest_p;
    assert_eq!(p(&shuffled(4, &[0, 1], 2)), 0.125);
    assert_eq!(p(&shuffled(6, &[0, 1], 2)), 0.03125);
    // 8 plots, 4 and 4: 70 allocations, two extreme.
    assert_eq!(p(&shuffled(1, &[0, 0, 0, 0, 1, 1, 1, 1], 2)), 2.0 / 70.0);
    assert_eq!(p(&shuffled(2, &[0, 1, 2], 3)), 2.0 / 36.0);
    assert_eq!(p(&square(3, 1)), 2.0 / 12.0);
    // Order 4: two letters with one common cycle leave 2 of 576 squares.
    assert_eq!(p(&square(4, 1)), 4.0 / 576.0);
    let two = resolution(&shuffled(4, &[0, 1, 2], 3)).unwrap();
    assert_eq!(two.smallest_p_exchanging_two, Some(0.125));
    assert_eq!(two.residual_df, 6);
    assert_eq!(resolution(&square(5, 1)).unwrap().residual_df, 12);
}

/// Order 4 by brute force over all 576 squares.
#[test]
fn smallest_p_of_a_square_agrees_with_all_576() {
    let mut all = std::collections::BTreeSet::new();
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
    let p = resolution(&square(4, 1)).unwrap().smallest_p;
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
