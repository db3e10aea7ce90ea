//! The interval of a mean of clumped counts: against another program, and how often it holds the mean.

use halfgreen_analysis::dispersion::{FrequencyTable, mean_interval, mean_interval_known_k};
use halfgreen_analysis::distributions::negative_binomial::draw;
use halfgreen_analysis::random::Generator;

use super::close;

const LEVEL: f64 = 0.95;

/// scipy: k by bounded search of the likelihood and by moments; both agree to the search's own tolerance, some 1e-7 of k. The
/// upper limits are those of the log scale, the lower ones too: the exact ones of Poisson totals lie inside.
#[test]
fn limits_are_those_of_another_program() {
    let counts = [0, 2, 1, 4, 0, 3, 1, 1, 2, 6, 0, 0, 9, 1, 0, 3, 2, 0, 5, 1];
    let found = mean_interval(&FrequencyTable::of(&counts).unwrap(), LEVEL);
    close(found.low, 1.180_685_476_678_237_5, 1e-6);
    close(found.high, 3.559_372_993_918_237_7, 1e-6);
    let known = mean_interval_known_k(34, 20, 0.8, LEVEL);
    close(known.low, 0.938_405_508_570_687, 1e-9);
    close(known.high, 3.079_692_066_601_19, 1e-9);
    // Nothing in 20 cores: nbinom.pmf(0)^20 = 0.025.
    let none = mean_interval_known_k(0, 20, 0.8, LEVEL);
    assert_eq!(none.low, 0.0);
    close(none.high, 0.207_438_947_077_109_9, 1e-9);
}

/// Garwood 1936: 10 events are no surprise at expectations from 4.795 to 18.390 (chi2.ppf of scipy).
#[test]
fn no_interval_is_shorter_than_that_of_a_poisson_total() {
    let even = FrequencyTable::of(&[2; 5]).unwrap();
    let found = mean_interval(&even, LEVEL);
    assert!(
        found.low <= 4.795_389 / 5.0 && found.high >= 18.390_356 / 5.0,
        "{found:?}"
    );
    let known = mean_interval_known_k(10, 5, f64::INFINITY, LEVEL);
    // On the log scale 10 of a Poisson law reach from 5.381 to 18.585: the lower limit is the exact one.
    close(known.low, 4.795_389 / 5.0, 1e-6);
    close(known.high, 18.585_471 / 5.0, 1e-6);
}

#[test]
fn what_the_units_cannot_bound_has_no_upper_limit() {
    let of = |counts: &[u64]| mean_interval(&FrequencyTable::of(counts).unwrap(), LEVEL);
    assert!(of(&[7]).high.is_infinite());
    let heap = of(&[0, 0, 900]);
    assert!(heap.low < 10.0 && heap.high > 9000.0, "{heap:?}");
    let empty = of(&[0; 12]);
    assert_eq!(empty.low, 0.0);
    // t^2 / 12 with t = 2.200985 of 11 degrees of freedom; a Poisson total would have -ln(0.025) / 12 = 0.307.
    close(empty.high, 0.403_695, 1e-6);
    assert!(of(&[1_000_000, 3, 0, 40]).low > 0.0);
}

/// Share of intervals that hold the mean, of those samples in which something was found.
fn held(n: usize, mean: f64, k: f64, seed: u64) -> f64 {
    let mut generator = Generator::new(seed, 0);
    let (mut within, mut samples) = (0, 0);
    for _ in 0..1000 {
        let counts: Vec<u64> = (0..n).map(|_| draw(&mut generator, mean, k)).collect();
        if counts.iter().all(|&c| c == 0) {
            continue;
        }
        samples += 1;
        let found = mean_interval(&FrequencyTable::of(&counts).unwrap(), LEVEL);
        within += i32::from(found.contains(mean));
    }
    f64::from(within) / f64::from(samples)
}

/// Cells of `mean_interval.md`: 95 % are promised, the standard error of a share of 1000 is 0.7 points, and the page
/// tells what each cell held.
#[test]
fn clumped_counts_are_covered() {
    let mut all = 0.0;
    let cells = [
        (10, 2.0, 0.4),
        (10, 5.0, 1.0),
        (20, 2.0, 0.4),
        (20, 5.0, 1.0),
        (40, 2.0, 1.0),
    ];
    for (n, mean, k) in cells {
        let share = held(n, mean, k, 31);
        assert!(
            (0.91..0.985).contains(&share),
            "{n} units, mean {mean}, k {k}: {share}"
        );
        all += share / cells.len() as f64;
    }
    assert!((0.93..0.97).contains(&all), "{all}");
}
