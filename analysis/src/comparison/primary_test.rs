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
const BELOW: f64 = 100_000.0;

/// The primary test where `attainable_p` is the smallest attainable p-value of the randomisation test.
///
/// The randomisation test is primary when its smallest attainable p-value is a hundred-thousandth of `alpha`
/// or less: at 5 %, from 22 pairs, or 13 plots against 13. Its level is exact, but it pays for ties and for
/// the steps of its p-value, the more the fewer and the sparser the plots are: in the bench
/// (`benches/calibration/CALIBRATION.md`), at 12 pairs it would cost power in many cells; at 24 pairs
/// it finds as much as any other test where a control plot has a count of ten or more, and up to 13 points
/// less where the mean count is a half. With 5 pairs or fewer it can find nothing at all at 5 %.
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
    fn twenty_two_pairs_are_enough_at_five_per_cent() {
        let pairs = |n: i32| primary_test(2.0 / 2_f64.powi(n), 0.05);
        for n in 1..22 {
            assert_eq!(pairs(n), PrimaryTest::Model, "{n}");
        }
        for n in 22..40 {
            assert_eq!(pairs(n), PrimaryTest::Randomisation, "{n}");
        }
        // 12 against 12 plots have 2 704 156 allocations, 13 against 13 have 10 400 600.
        assert_eq!(primary_test(2.0 / 2_704_156.0, 0.05), PrimaryTest::Model);
        assert_eq!(
            primary_test(2.0 / 10_400_600.0, 0.05),
            PrimaryTest::Randomisation
        );
    }
}
