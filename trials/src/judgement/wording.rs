//! A verdict as plain sentences.

use halfgreen_analysis::comparison::{
    Call, Contrast, PrimaryTest, Question, Relevance, markov_limits,
};

use crate::text::rounding;

/// The four verdicts as every page words them.
#[must_use]
pub fn headline(call: Call) -> &'static str {
    match call {
        Call::BeatTheControl => "It beat the control",
        Call::DidWorse => "It did worse than the control",
        Call::TooSmallToMatter => "Any gain is too small to matter",
        Call::CannotTell => "Cannot tell yet",
    }
}

/// What the sentences speak of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words<'a> {
    /// Name of the method.
    pub(super) method: &'a str,
    /// Name of the control.
    pub(super) control: &'a str,
    /// What was counted.
    pub(super) counted: &'a str,
    /// The primary test.
    pub(super) primary_test: PrimaryTest,
    /// Ratio of the counts as they stand.
    pub(super) as_counted: Option<f64>,
    /// What the estimate allows for.
    pub(super) allowing: &'a str,
    /// What the verdict is about, after a space: " on greens like these"; empty where there is no choice.
    pub(super) place: &'a str,
    /// What there would have to be more of.
    pub(super) more: &'a str,
}

/// What was found, as an estimate where that is not what the counts show as they stand.
fn found(words: Words<'_>, ratio: Option<f64>, closing: &str) -> String {
    let counted = words.counted;
    match (ratio, words.as_counted) {
        (Some(ratio), Some(plain)) if tell_apart(ratio, plain) => format!(
            "{} {counted} after allowing for {} (as counted: {})",
            change(Some(ratio)),
            words.allowing,
            change(Some(plain))
        ),
        _ => format!("{} {counted}{closing}", change(ratio)),
    }
}

/// Whether an estimate reads otherwise than the counts as they stand.
pub(super) fn tell_apart(ratio: f64, as_counted: f64) -> bool {
    change(Some(ratio)) != change(Some(as_counted))
}

/// One to three plain sentences.
pub(super) fn sentence(words: Words<'_>, question: &Question, contrast: &Contrast) -> String {
    let range = range(
        stated_low(contrast, question.alpha),
        stated_high(contrast, question.alpha),
    );
    let Words {
        method,
        control,
        counted,
        primary_test,
        place,
        more,
        ..
    } = words;
    let found = |closing| found(words, contrast.ratio, closing);
    let worth = change(Some(question.worthwhile_ratio));
    let first = match contrast.call {
        Call::BeatTheControl => {
            format!(
                "{method} beat {control}{place}: {}; the true figure is likely between {range}.",
                found("")
            )
        }
        Call::DidWorse => {
            format!(
                "{method} did worse than {control}{place}: {}; the true figure is likely between {range}.",
                found("")
            )
        }
        Call::TooSmallToMatter => format!(
            "{method} does not beat {control} by enough to matter{place}: {}, and anything as large as {worth} is ruled out \
             (likely between {range}).",
            found(" were found")
        ),
        Call::CannotTell => match contrast.ratio {
            None => {
                format!("Cannot tell yet: no {counted} were found under {method} or {control}.")
            }
            Some(_) => format!(
                "Cannot tell yet whether {method} differs from {control}{place}: {}, but the true figure may lie anywhere \
                 between {range}.",
                found(" were found")
            ),
        },
    };
    let second = match (contrast.call, contrast.relevance) {
        (Call::BeatTheControl, Relevance::Established) => {
            format!(" That is enough to matter: even the cautious end is beyond {worth}.")
        }
        (Call::BeatTheControl, Relevance::Undecided) => {
            format!(" Whether it is enough to matter ({worth} or better) is not settled.")
        }
        (Call::BeatTheControl, Relevance::Excluded) => {
            format!(" It is not enough to matter: {worth} is ruled out.")
        }
        // Where nothing was found, no size of trial would have told.
        (Call::CannotTell, _) if contrast.ratio.is_none() => {
            " A trial can tell only where there are some.".to_owned()
        }
        (Call::CannotTell, _) => coarse(contrast, question, primary_test, more),
        (Call::DidWorse | Call::TooSmallToMatter, _) => String::new(),
    };
    format!("{first}{second}")
}

/// Whether the lower limit of a ratio is no more than what holds for any scatter whatever (Markov's
/// inequality, which the comparison falls back upon): a total of 1/p times its expectation has a chance of p or less.
pub(super) fn low_is_markov_bound(contrast: &Contrast, alpha: f64) -> bool {
    let ratio = contrast.ratio.filter(|r| *r > 0.0 && r.is_finite());
    ratio.is_some_and(|r| contrast.interval.low <= markov_limits(r, alpha).0)
}

/// The same of the upper limit.
pub(super) fn high_is_markov_bound(contrast: &Contrast, alpha: f64) -> bool {
    let ratio = contrast.ratio.filter(|r| *r > 0.0 && r.is_finite());
    ratio.is_some_and(|r| contrast.interval.high >= markov_limits(r, alpha).1)
}

/// The lower limit as people are told it: 0 where it is only the bound by Markov's inequality.
pub(super) fn stated_low(contrast: &Contrast, alpha: f64) -> f64 {
    if low_is_markov_bound(contrast, alpha) {
        0.0
    } else {
        contrast.interval.low
    }
}

/// The upper limit as people are told it: none where it is only that bound, or infinite.
pub(super) fn stated_high(contrast: &Contrast, alpha: f64) -> Option<f64> {
    let high = contrast.interval.high;
    (high.is_finite() && !high_is_markov_bound(contrast, alpha)).then_some(high)
}

/// Why a coarse design could not have told.
fn coarse(
    contrast: &Contrast,
    question: &Question,
    primary_test: PrimaryTest,
    more: &str,
) -> String {
    match contrast.smallest_attainable_p {
        Some(p) if primary_test == PrimaryTest::Model && p > question.alpha && more == "blocks" => {
            " With so few plots the draw alone cannot show any effect, however large; more blocks might tell."
                .to_owned()
        }
        _ => format!(" More {more} might tell."),
    }
}

/// A ratio as a change in per cent.
pub(super) fn change(ratio: Option<f64>) -> String {
    match ratio {
        None => "an undefined change in".to_owned(),
        Some(r) if r.is_infinite() => "found only under the method:".to_owned(),
        Some(1.0) => "no fewer".to_owned(),
        Some(r) => rounding::change(r),
    }
}

/// An interval of ratios as changes, the smaller ratio first; an absent upper end has no limit.
pub(super) fn range(low: f64, high: Option<f64>) -> String {
    if low.is_infinite() {
        return "any increase".to_owned();
    }
    rounding::between(Some(low), high.filter(|r| r.is_finite()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::rounding::percent;

    #[test]
    fn shares_are_rounded_without_claiming_all_or_nothing() {
        assert_eq!(percent(0.604), "60 %");
        assert_eq!(percent(0.999), "over 99 %");
        assert_eq!(percent(1.0), "100 %");
        assert_eq!(percent(0.001), "under 1 %");
        assert_eq!(percent(12.3), "12 times");
    }

    #[test]
    fn ranges_name_both_directions() {
        let range = |low, high| range(low, Some(high));
        assert_eq!(range(0.3, 0.6), "70 % fewer and 40 % fewer");
        assert_eq!(range(0.0, 1.0), "100 % fewer and no change");
        assert_eq!(range(0.8, f64::INFINITY), "20 % fewer and any increase");
        // Both ends of a range are told alike, and so many times as many are not so many times more.
        assert_eq!(
            range(3.39, 159.0),
            "3.4 times as many and 159 times as many"
        );
        assert_eq!(change(Some(13.2)), "13 times as many");
    }
}
