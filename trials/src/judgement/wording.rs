//! A verdict as plain sentences.

use halfgreen_analysis::comparison::{
    Call, Contrast, PrimaryTest, Question, Relevance, markov_limits,
};

use crate::text::rounding::{self, Changes};

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

/// What was found: "40 % fewer larvae", with `closing` after it, or what the two were where there is no ratio to tell;
/// as an estimate where that is not what the counts show as they stand.
fn found(words: Words<'_>, told: Changes, ratio: Option<f64>, closing: &str) -> String {
    let (counted, method) = (words.counted, words.method);
    let change = |ratio: f64| match told.change(ratio).as_str() {
        "no change" => "just as many".to_owned(),
        changed => changed.to_owned(),
    };
    match (ratio, words.as_counted) {
        (None, _) => format!("no {counted}{closing}"),
        (Some(ratio), _) if ratio.is_infinite() => {
            format!("{counted} were found under {method} alone")
        }
        (Some(ratio), Some(plain)) if plain.is_finite() && tell_apart(ratio, plain) => format!(
            "{} {counted} after allowing for {} (as counted: {})",
            change(ratio),
            words.allowing,
            told.change(plain)
        ),
        (Some(ratio), _) => format!("{} {counted}{closing}", change(ratio)),
    }
}

/// Whether an estimate reads otherwise than the counts as they stand.
pub(super) fn tell_apart(ratio: f64, as_counted: f64) -> bool {
    rounding::change(ratio) != rounding::change(as_counted)
}

/// One to three plain sentences.
pub(super) fn sentence(words: Words<'_>, question: &Question, contrast: &Contrast) -> String {
    let low = Some(stated_low(contrast, question.alpha));
    let high = stated_high(contrast, question.alpha);
    let told = Changes::of(contrast.ratio, low, high).beside(question.worthwhile_ratio);
    let range = told.between(low, high);
    let Words {
        method,
        control,
        counted,
        primary_test,
        place,
        more,
        ..
    } = words;
    let found = |closing| found(words, told, contrast.ratio, closing);
    let worth = told.change(question.worthwhile_ratio);
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
        (Call::BeatTheControl, relevance) => enough_to_matter(relevance, &worth),
        // Where nothing was found, no size of trial would have told.
        (Call::CannotTell, _) if contrast.ratio.is_none() => {
            " A trial can tell only where there are some.".to_owned()
        }
        (Call::CannotTell, _) => coarse(contrast, question, primary_test, more),
        (Call::DidWorse | Call::TooSmallToMatter, _) => String::new(),
    };
    format!("{first}{second}")
}

/// Whether a method that beat the control did so by enough, as the second sentence of a verdict.
pub(crate) fn enough_to_matter(relevance: Relevance, worth: &str) -> String {
    match relevance {
        Relevance::Established => {
            format!(" That is enough to matter: even the cautious end is beyond {worth}.")
        }
        Relevance::Undecided => {
            format!(" Whether it is enough to matter ({worth} or better) is not settled.")
        }
        Relevance::Excluded => format!(" It is not enough to matter: {worth} is ruled out."),
    }
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
