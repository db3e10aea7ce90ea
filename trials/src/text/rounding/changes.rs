//! A ratio of means, and its limits, as changes in words.
//!
//! | rule | so not |
//! |---|---|
//! | Fewer is told in per cent, more in per cent or as so many times *as many*. | "12 times more" for a ratio of 13.2; "-1314 %" |
//! | Both ends of a range are told in one unit, and so is an increase beside it. | "between 239 % more and 158 times more" |
//! | A figure never reads as the change worth having unless it is that. | "40 % fewer is ruled out (likely between 40 % fewer and ...)" |

use super::percent;

/// Ratio beyond which an increase is told as so many times as many: per cent of thousands say nothing.
const TIMES: f64 = 11.0;

/// Most decimals that are added to keep a figure apart from the change worth having.
const FINEST: usize = 2;

/// An end that is none.
const ANY: &str = "any increase";

/// In what the ratios of one sentence are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Percent,
    Times,
}

/// How the ratios of one sentence are told: an estimate, its limits, and the change worth having beside which they stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Changes {
    unit: Unit,
    worth: Option<f64>,
}

impl Changes {
    /// For an estimate and its limits, of which any may be missing.
    #[must_use]
    pub fn of(ratio: Option<f64>, low: Option<f64>, high: Option<f64>) -> Self {
        let many = |r: &f64| *r > TIMES && r.is_finite();
        let unit = if [ratio, low, high].iter().flatten().any(many) {
            Unit::Times
        } else {
            Unit::Percent
        };
        Self { unit, worth: None }
    }

    /// The same beside a ratio that would just be worth having.
    #[must_use]
    pub fn beside(self, worth: f64) -> Self {
        Self {
            worth: Some(worth),
            ..self
        }
    }

    /// A ratio as a change: "60 % fewer", "20 % more", "13 times as many", "no change".
    #[must_use]
    pub fn change(&self, ratio: f64) -> String {
        if ratio < 1.0 {
            return self.fewer(ratio);
        }
        match self.unit {
            _ if ratio == 1.0 => "no change".to_owned(),
            Unit::Percent => self.apart(ratio, |r, decimals| match decimals {
                0 => format!("{} more", percent(r - 1.0)),
                _ => format!("{:.decimals$} % more", 100.0 * (r - 1.0)),
            }),
            Unit::Times => self.apart(ratio, times),
        }
    }

    /// The ends of an interval of ratios as changes, both in one unit; an absent upper end has no limit.
    #[must_use]
    pub fn ends(&self, low: Option<f64>, high: Option<f64>) -> [String; 2] {
        let low = low.unwrap_or(0.0);
        match (self.unit, high.filter(|h| h.is_finite())) {
            (Unit::Times, Some(high)) => [self.apart(low, factor), self.apart(high, times)],
            (_, Some(high)) => [self.change(low), self.change(high)],
            (_, None) => [self.change(low), ANY.to_owned()],
        }
    }

    /// The same with "and" between.
    #[must_use]
    pub fn between(&self, low: Option<f64>, high: Option<f64>) -> String {
        if low.is_some_and(f64::is_infinite) {
            return ANY.to_owned();
        }
        self.ends(low, high).join(" and ")
    }

    fn fewer(&self, ratio: f64) -> String {
        self.apart(ratio, |r, decimals| match decimals {
            0 => format!("{} fewer", percent(1.0 - r)),
            _ => format!("{:.decimals$} % fewer", 100.0 * (1.0 - r)),
        })
    }

    /// The text of a ratio with decimals enough to differ from that of the change worth having, or with a word that says
    /// on which side of it the ratio lies.
    fn apart(&self, ratio: f64, text: impl Fn(f64, usize) -> String) -> String {
        let same = |decimals: &usize| {
            self.worth.is_some_and(|worth| {
                let own = text(ratio, *decimals);
                // The change worth having itself is told without more decimals.
                worth != ratio && (text(worth, *decimals) == own || text(worth, 0) == own)
            })
        };
        let Some(decimals) = (0..=FINEST).find(|decimals| !same(decimals)) else {
            let less = self
                .worth
                .is_some_and(|worth| (ratio < worth) == (worth > 1.0));
            let side = if less { "just under" } else { "just over" };
            return format!("{side} {}", text(ratio, 0));
        };
        text(ratio, decimals)
    }
}

/// "13 times as many", with a decimal below ten.
fn times(ratio: f64, more: usize) -> String {
    format!("{} times as many", factor(ratio, more))
}

/// A factor with two significant digits, and as many decimals more as are asked for; none where they are nought.
fn factor(ratio: f64, more: usize) -> String {
    let decimals = more
        + match ratio {
            r if r == 0.0 || r >= 10.0 => 0,
            r if r >= 1.0 => 1,
            r if r >= 0.1 => 2,
            _ => 3,
        };
    let text = format!("{ratio:.decimals$}");
    match text.split_once('.') {
        Some((whole, rest)) if ratio >= 1.0 && rest.bytes().all(|b| b == b'0') => whole.to_owned(),
        _ => text,
    }
}

/// A ratio of means as a change in words, by itself.
#[must_use]
pub fn change(ratio: f64) -> String {
    Changes::of(Some(ratio), None, None).change(ratio)
}

/// An interval of ratios as changes, by itself.
#[must_use]
pub fn between(low: Option<f64>, high: Option<f64>) -> String {
    Changes::of(None, low, high).between(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn changes_name_their_direction() {
        assert_eq!(between(Some(0.3), Some(1.2)), "70 % fewer and 20 % more");
        assert_eq!(between(Some(0.3), Some(0.6)), "70 % fewer and 40 % fewer");
        assert_eq!(between(None, None), "100 % fewer and any increase");
        assert_eq!(
            between(Some(0.8), Some(f64::INFINITY)),
            "20 % fewer and any increase"
        );
        assert_eq!(between(Some(0.0), Some(1.0)), "100 % fewer and no change");
        assert_eq!(between(Some(f64::INFINITY), None), "any increase");
        assert_eq!(change(1.0), "no change");
        assert_eq!(change(13.2), "13 times as many");
        assert_eq!(change(14.14), "14 times as many");
    }

    #[test]
    fn both_ends_and_an_increase_beside_them_are_in_one_unit() {
        assert_eq!(
            between(Some(3.39), Some(159.0)),
            "3.4 and 159 times as many"
        );
        assert_eq!(
            between(Some(0.061), Some(13.0)),
            "0.061 and 13 times as many"
        );
        assert_eq!(between(Some(0.0), Some(13.0)), "0 and 13 times as many");
        let told = Changes::of(Some(9.6), Some(3.39), Some(159.0));
        assert_eq!(told.change(9.6), "9.6 times as many");
        assert_eq!(told.change(0.4), "60 % fewer");
    }

    #[test]
    fn what_is_not_the_change_worth_having_does_not_read_like_it() {
        let beside = |ratio: f64| {
            Changes::of(Some(ratio), None, None)
                .beside(0.6)
                .change(ratio)
        };
        assert_eq!(beside(0.6), "40 % fewer");
        assert_eq!(beside(0.603), "39.7 % fewer");
        assert_eq!(beside(0.5996), "40.04 % fewer");
        assert_eq!(beside(0.600_001), "just under 40 % fewer");
        assert_eq!(beside(0.599_999), "just over 40 % fewer");
        assert_eq!(beside(0.65), "35 % fewer");
        let more = |ratio: f64| {
            Changes::of(Some(ratio), None, None)
                .beside(1.5)
                .change(ratio)
        };
        assert_eq!(more(1.499), "49.9 % more");
        assert_eq!(more(1.499_999), "just under 50 % more");
        assert_eq!(more(1.500_001), "just over 50 % more");
        // A nought that is left out is no decimal that tells two figures apart.
        let many = Changes::of(Some(24.02), None, None).beside(23.886);
        assert_eq!(many.change(24.02), "24.02 times as many");
    }

    proptest! {
        /// The rules, for any estimate, limits and change worth having.
        #[test]
        fn no_ratios_break_a_rule(
            low in 0.0..20.0_f64, wide in 0.0..300.0_f64, share in 0.0..=1.0_f64, worth in prop_oneof![0.05..0.95_f64, 1.05..30.0_f64],
        ) {
            let (high, ratio) = (low + wide, low + share * wide);
            let told = Changes::of(Some(ratio), Some(low), Some(high)).beside(worth);
            let range = told.between(Some(low), Some(high));
            prop_assert!(!(range.contains('%') && range.contains("times")), "{range}");
            if ratio > 1.0 {
                prop_assert_eq!(told.change(ratio).contains('%'), range.contains('%'));
            }
            for text in [told.change(ratio), range] {
                prop_assert!(!text.contains("times more") && !text.contains('-'), "{text}");
            }
            for limit in [low, ratio, high] {
                prop_assert!(limit == worth || told.change(limit) != told.change(worth));
            }
        }
    }
}
