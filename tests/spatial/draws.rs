//! Drawn p-values of distance to regularity: their error, more draws near the border, no hold on the order of rows.

use halfgreen_analysis::random::{Generator, shuffle};
use halfgreen_analysis::results::{Origin, PValue};
use halfgreen_analysis::spatial::regularity::{BORDER, FURTHER, regularity, regularity_up_to};

use super::grid;

/// Counts on a grid of 6 by 6.
fn map(seed: u64) -> Vec<f64> {
    let mut generator = Generator::new(seed, 0);
    (0..36).map(|_| generator.below(7) as f64).collect()
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let (places, counts) = (grid(6, 6), map(1));
    let mut order: Vec<usize> = (0..36).collect();
    shuffle(&mut Generator::new(8, 0), &mut order);
    let turned: Vec<_> = order.iter().map(|&i| places[i]).collect();
    let moved: Vec<f64> = order.iter().map(|&i| counts[i]).collect();
    let (a, b) = (
        regularity(&places, &counts, 99, 3).unwrap(),
        regularity(&turned, &moved, 99, 3).unwrap(),
    );
    assert_eq!((a.distance, a.index, a.p), (b.distance, b.index, b.p));
    assert_eq!((a.patch_p, a.gap_p), (b.patch_p, b.gap_p));
    for (now, &was) in order.iter().enumerate() {
        assert_eq!(
            (a.local[was], a.local_p[was]),
            (b.local[now], b.local_p[now])
        );
    }
}

/// Twice as many draws as long as a p-value lies within three standard errors of the border, up to eight times as many.
#[test]
fn more_is_drawn_near_the_border() {
    let mut further = 0;
    for seed in 0..20 {
        let found = regularity(&grid(6, 6), &map(seed), 99, seed).unwrap();
        let drawn = [found.p, found.patch_p, found.gap_p];
        let open = |p: PValue| (p.value - BORDER).abs() < 3.0 * p.monte_carlo_se().unwrap();
        let open = drawn.into_iter().flatten().any(open);
        assert!(
            !open || found.draws >= FURTHER * 99,
            "{seed}: {}",
            found.draws
        );
        assert!((found.draws / 99).is_power_of_two(), "{}", found.draws);
        further += usize::from(found.draws > 99);
    }
    assert!(further > 0);
}

/// Where time is short, no more is drawn whatever is open; what was drawn is the same.
#[test]
fn no_more_is_drawn_than_there_is_time_for() {
    let mut cut = 0;
    for seed in 0..20 {
        let whole = regularity(&grid(6, 6), &map(seed), 99, seed).unwrap();
        let short = regularity_up_to(&grid(6, 6), &map(seed), (99, 150), seed).unwrap();
        assert_eq!(short.draws, whole.draws.min(150));
        assert_eq!(short.distance, whole.distance);
        cut += usize::from(whole.draws > 150);
    }
    assert!(cut > 0);
}

#[test]
fn only_drawn_p_values_have_an_error() {
    let of = |origin| PValue { value: 0.2, origin }.monte_carlo_se();
    assert_eq!(of(Origin::Exact), None);
    let se = of(Origin::Sampled(400)).unwrap();
    assert!((se - 0.02).abs() < 1e-15);
}
