//! A verdict as plain sentences.

use halfgreen_analysis::answers::Interval;
use halfgreen_analysis::comparison::{Better, Call, Contrast, Lead, Matters, Question};

/// The four verdicts in their settled words.
#[must_use]
pub fn headline(call: Call) -> &'static str {
    match call {
        Call::BeatTheControl => "It beat the control",
        Call::DidWorse => "It did worse than the control",
        Call::TooSmallToMatter => "Any effect is too small to matter",
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
    /// Which test leads.
    pub(super) lead: Lead,
}

/// One to three plain sentences.
pub(super) fn sentence(words: Words<'_>, question: &Question, contrast: &Contrast) -> String {
    let found = change(contrast.ratio);
    let range = range(&contrast.interval);
    let Words {
        method,
        control,
        counted,
        lead,
    } = words;
    let worth = change(Some(question.worthwhile_ratio));
    let first = match contrast.call {
        Call::BeatTheControl => {
            format!(
                "{method} beat {control}: {found} {counted}; the true figure is likely between {range}."
            )
        }
        Call::DidWorse => {
            format!(
                "{method} did worse than {control}: {found} {counted}; the true figure is likely between {range}."
            )
        }
        Call::TooSmallToMatter => format!(
            "{method} did not differ from {control} by enough to matter: {found} {counted} were found, and anything \
             as large as {worth} is ruled out (likely between {range})."
        ),
        Call::CannotTell => match contrast.ratio {
            None => {
                format!("Cannot tell yet: no {counted} were found under {method} or {control}.")
            }
            Some(_) => format!(
                "Cannot tell yet whether {method} differs from {control}: {found} {counted} were found, but the true \
                 figure may lie anywhere between {range}."
            ),
        },
    };
    let second = match (contrast.call, contrast.matters) {
        (Call::BeatTheControl, Matters::Surely) => {
            format!(" That is enough to matter: even the cautious end is beyond {worth}.")
        }
        (Call::BeatTheControl, Matters::Perhaps) => {
            format!(" Whether it is enough to matter ({worth} or better) is not settled.")
        }
        (Call::BeatTheControl, Matters::No) => {
            format!(" It is not enough to matter: {worth} is ruled out.")
        }
        (Call::CannotTell, _) => coarse(contrast, question, lead),
        (Call::DidWorse | Call::TooSmallToMatter, _) => String::new(),
    };
    format!("{first}{second}")
}

/// Why a coarse design could not have told.
fn coarse(contrast: &Contrast, question: &Question, lead: Lead) -> String {
    match contrast.smallest_p {
        Some(p) if lead == Lead::Model && p > question.alpha => {
            " With so few plots the draw alone could never have shown it; more blocks would."
                .to_owned()
        }
        _ => " More blocks would tell.".to_owned(),
    }
}

/// A ratio as a change in per cent.
fn change(ratio: Option<f64>) -> String {
    match ratio {
        None => "an undefined change in".to_owned(),
        Some(r) if r.is_infinite() => "found only under the method:".to_owned(),
        Some(r) if r < 1.0 => format!("{} fewer", percent(1.0 - r)),
        Some(r) if r > 1.0 => format!("{} more", percent(r - 1.0)),
        Some(_) => "no fewer".to_owned(),
    }
}

/// An interval of ratios as changes, the smaller ratio first.
fn range(interval: &Interval) -> String {
    let end = |r: f64| match r {
        r if r.is_infinite() => "any increase".to_owned(),
        r if r < 1.0 => format!("{} fewer", percent(1.0 - r)),
        r if r > 1.0 => format!("{} more", percent(r - 1.0)),
        _ => "no change".to_owned(),
    };
    format!("{} and {}", end(interval.low), end(interval.high))
}

/// A share as whole per cent, or as "about n times" beyond tenfold.
#[must_use]
pub fn percent(share: f64) -> String {
    if share > 10.0 {
        return format!("{share:.0} times");
    }
    let whole = (100.0 * share).round();
    if whole == 0.0 && share > 0.0 {
        return "under 1 %".to_owned();
    }
    if whole == 100.0 && share < 1.0 {
        return "over 99 %".to_owned();
    }
    format!("{whole:.0} %")
}

/// Which direction is good, in a word.
pub(super) fn better(better: Better) -> &'static str {
    match better {
        Better::Fewer => "fewer",
        Better::More => "more",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let range = |low, high| {
            range(&Interval {
                low,
                high,
                level: 0.95,
            })
        };
        assert_eq!(range(0.3, 0.6), "70 % fewer and 40 % fewer");
        assert_eq!(range(0.0, 1.0), "100 % fewer and no change");
        assert_eq!(range(0.8, f64::INFINITY), "20 % fewer and any increase");
    }
}
