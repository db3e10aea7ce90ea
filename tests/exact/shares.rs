//! Shares of animals that lie together in plots: how often the limits hold the truth.

use halfgreen_analysis::exact::{binomial_limits, clustered_limits};
use halfgreen_analysis::random::Generator;
use rand::RngExt;
use rand_distr::{Beta, Distribution};

/// Eight plots of three to ten animals whose shares differ (beta with mean 0.3, likeness 0.25 within a plot), 2000
/// times: the limits by plots hold the truth as stated, those by animals far less often.
#[test]
fn limits_by_plots_hold_the_truth() {
    let mut generator = Generator::new(7, 0);
    let law = Beta::new(0.3 * 3.0, 0.7 * 3.0).unwrap();
    let (mut by_plots, mut by_animals) = (0, 0);
    for _ in 0..2_000 {
        let plots: Vec<(u64, u64)> = (0..8_u64)
            .map(|plot| {
                let (of, share) = (3 + plot, law.sample(&mut generator));
                let found = (0..of)
                    .filter(|_| generator.random::<f64>() < share)
                    .count();
                (found as u64, of)
            })
            .collect();
        let (found, of) = plots.iter().fold((0, 0), |(x, n), p| (x + p.0, n + p.1));
        by_plots += u32::from(clustered_limits(&plots, 0.95).contains(0.3));
        by_animals += u32::from(binomial_limits(found, of, 0.95).contains(0.3));
    }
    assert!(by_plots >= 1_870, "{by_plots}");
    assert!(by_animals <= 1_750, "{by_animals}");
}

#[test]
fn the_ends_of_the_scale_and_single_plots() {
    let whole = |l: halfgreen_analysis::results::Interval| (l.low, l.high);
    assert_eq!(whole(clustered_limits(&[], 0.95)), (0.0, 1.0));
    assert_eq!(whole(clustered_limits(&[(3, 9), (0, 0)], 0.95)), (0.0, 1.0));
    let none = clustered_limits(&[(0, 50); 6], 0.95);
    assert_eq!(whole(none), whole(binomial_limits(0, 6, 0.95)));
    // Plots that all agree tell as much as their animals, and no more.
    let alike = clustered_limits(&[(2, 10); 6], 0.95);
    let alone = binomial_limits(12, 60, 0.95);
    assert!((alike.low - alone.low).abs() < 1e-12 && (alike.high - alone.high).abs() < 1e-12);
}
