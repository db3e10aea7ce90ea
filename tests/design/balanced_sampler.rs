//! Many balanced draws: the same set as by rejection, each as likely as any.

use std::collections::BTreeMap;
use std::sync::Arc;

use halfgreen::design::Rule;
use halfgreen::design::allocation::{
    BalancedSampler, Positions, Scheme, Split, allowed, each_allowed,
};
use halfgreen_analysis::random::Generator;

use super::draws::{shuffled, split};

const BALANCED: [Rule; 1] = [Rule::BalancedAlongGradient];

/// Where units stand along a direction, given their places in their blocks.
fn places(units: usize, size: usize, place: fn(usize) -> usize) -> Vec<f64> {
    (0..units).map(|unit| place(unit % size) as f64).collect()
}

/// Blocks of so many plots, in a row or in rows of two with both directions balanced.
fn blocks_of(blocks: usize, list: &[usize], in_twos: bool) -> Scheme {
    let treatments = list.iter().max().unwrap() + 1;
    let mut scheme = shuffled(blocks, list, treatments);
    let along = |place| places(blocks * list.len(), list.len(), place);
    let directions = if in_twos {
        vec![along(|u| u % 2), along(|u| u / 2)]
    } else {
        vec![along(|u| u)]
    };
    scheme.positions = Positions::new(&directions, &scheme.blocks, 0.5);
    scheme
}

/// Pearson's statistic of two hundred draws for each allowed allocation, against its mean and four of its standard
/// deviations: less than one true evenness in ten thousand is called uneven, and the seed is fixed.
fn is_even(scheme: &Scheme) {
    let mut times = BTreeMap::new();
    each_allowed(scheme, &BALANCED, 1_000_000, &mut |allocation| {
        times.insert(allocation.to_vec(), 0_u32);
    })
    .unwrap();
    let sampler = BalancedSampler::new(scheme, &BALANCED).unwrap();
    let mut generator = Generator::new(3, 1);
    for _ in 0..200 * times.len() {
        let drawn = sampler.draw(&mut generator).unwrap();
        *times.get_mut(&drawn).unwrap() += 1;
    }
    let squares = times.values().map(|&n| (f64::from(n) - 200.0).powi(2));
    let statistic = squares.sum::<f64>() / 200.0;
    let df = times.len() as f64 - 1.0;
    assert!(
        (statistic - df).abs() < 4.0 * (2.0 * df).sqrt(),
        "{} of {}: {statistic} on {df}",
        scheme.blocks.len(),
        scheme.blocks[0].len()
    );
}

#[test]
fn every_balanced_allocation_is_equally_likely() {
    for (blocks, list, in_twos) in [
        (1, vec![0, 1], false),
        (9, vec![0, 1], false),
        (4, vec![0, 1, 2], false),
        (3, vec![0, 1, 2, 3], true),
        (4, vec![0, 0, 1], false),
        (1, vec![0, 0, 0, 1, 1, 1, 2, 2], false),
    ] {
        is_even(&blocks_of(blocks, &list, in_twos));
    }
}

/// Whole plots, whose arrangements are listed block by block; eight of each block.
#[test]
fn whole_plots_are_drawn_evenly_too() {
    for blocks in [2, 3, 4] {
        let mut whole = split(blocks);
        let along = places(4 * blocks, 4, |u| u);
        whole.positions = Positions::new(&[along], &whole.blocks, 0.5);
        is_even(&whole);
    }
}

/// Of 500 pairs there are more than 10^149 balanced allocations. Either treatment is first in half of the first pairs drawn,
/// and the next pair lies the same way with chance 249/499. Of eight blocks of six one free draw in 421 is balanced.
#[test]
fn designs_too_large_to_list_are_drawn() {
    let pairs = blocks_of(500, &[0, 1], false);
    let sampler = BalancedSampler::new(&pairs, &BALANCED).unwrap();
    let mut generator = Generator::new(5, 1);
    let (mut first, mut alike) = (0, 0);
    for _ in 0..2_000 {
        let drawn = sampler.draw(&mut generator).unwrap();
        assert!(allowed(&pairs, &BALANCED, &drawn));
        first += drawn[0];
        alike += usize::from(drawn[0] == drawn[2]);
    }
    // Four standard errors of a half from 2 000 draws: 89.
    assert!(
        first.abs_diff(1000) < 89 && alike.abs_diff(1000) < 89,
        "{first} {alike}"
    );
    let six = blocks_of(8, &[0, 1, 2, 3, 4, 5], false);
    let sampler = BalancedSampler::new(&six, &BALANCED).unwrap();
    for _ in 0..50 {
        let drawn = sampler.draw(&mut generator).unwrap();
        assert!(allowed(&six, &BALANCED, &drawn));
    }
}

#[test]
fn what_cannot_be_drawn_so_is_left_to_rejection() {
    let pairs = blocks_of(4, &[0, 1], false);
    assert!(BalancedSampler::new(&pairs, &[]).is_none());
    let two = [Rule::BalancedAlongGradient, Rule::NotTwiceInARow];
    assert!(BalancedSampler::new(&pairs, &two).is_none());
    // Whole plots of eight kinds have too many arrangements to be listed.
    let mut large = shuffled(2, &[0; 16], 16);
    large.randomisation = Arc::new(Split {
        groups: (0..8).map(|i| vec![2 * i, 2 * i + 1]).collect(),
    });
    large.positions = Positions::new(&[places(32, 16, |u| u)], &large.blocks, 0.5);
    assert!(BalancedSampler::new(&large, &BALANCED).is_none());
}
