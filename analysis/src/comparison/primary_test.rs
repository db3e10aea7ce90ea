//! Which test is primary: fixed by the design, before anything is counted.

use serde::Serialize;

/// The primary (headline) test, on which the verdict rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PrimaryTest {
    /// The randomisation test within the allocations that the design allowed.
    Randomisation,
    /// Analysis of variance of the transformed counts.
    Model,
}

/// How far below alpha the smallest attainable p-value must lie for the randomisation test to be primary.
const BELOW: f64 = 5e10;

/// The primary test where `attainable_p` is the smallest attainable p-value of the randomisation test.
///
/// The randomisation test is primary when its smallest attainable p-value is a fifty-thousand-millionth of `alpha`
/// or less: at 5 %, from 41 pairs, or 22 plots against 22. Its level is exact, but it pays for ties and for
/// the steps of its p-value, the more the fewer and the sparser the plots are: in the bench
/// (`benches/calibration/CALIBRATION.md`), at 24 pairs it finds up to 13 points less than the best
/// other test where the mean count is a half. With 5 pairs or fewer it can find nothing at all at 5 %.
#[must_use]
pub fn primary_test(attainable_p: f64, alpha: f64) -> PrimaryTest {
    if BELOW * attainable_p <= alpha {
        PrimaryTest::Randomisation
    } else {
        PrimaryTest::Model
    }
}

/// The largest attainable p-value with which the randomisation test is still primary at `alpha`.
#[must_use]
pub fn largest_attainable_p(alpha: f64) -> f64 {
    alpha / BELOW
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forty_one_pairs_are_enough_at_five_per_cent() {
        let pairs = |n: i32| primary_test(2.0 / 2_f64.powi(n), 0.05);
        for n in 1..41 {
            assert_eq!(pairs(n), PrimaryTest::Model, "{n}");
        }
        for n in 41..80 {
            assert_eq!(pairs(n), PrimaryTest::Randomisation, "{n}");
        }
        // 21 against 21 plots have 538 257 874 440 allocations, 22 against 22 have 2 104 098 963 720.
        assert_eq!(
            primary_test(2.0 / 538_257_874_440.0, 0.05),
            PrimaryTest::Model
        );
        assert_eq!(
            primary_test(2.0 / 2_104_098_963_720.0, 0.05),
            PrimaryTest::Randomisation
        );
    }
}
