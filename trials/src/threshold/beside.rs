//! Means beside the user's own figure.

use serde::Serialize;

use super::{PUBLISHED, Published, disagreement};
use crate::text::rounding::{figure, plain};

/// Where a mean lies beside a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// All of its interval lies above.
    Above,
    /// All of its interval lies below.
    Below,
    /// Its interval holds the figure.
    CannotTell,
}

impl Side {
    /// Of an interval whose upper limit may be missing, beside a figure. A limit at the figure itself tells nothing.
    #[must_use]
    pub fn of(low: Option<f64>, high: Option<f64>, own: f64) -> Self {
        if low.is_some_and(|low| low > own) {
            Self::Above
        } else if high.is_some_and(|high| high < own) {
            Self::Below
        } else {
            Self::CannotTell
        }
    }

    /// In words: "above", "below", "cannot tell".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Above => "above",
            Self::Below => "below",
            Self::CannotTell => "cannot tell",
        }
    }

    /// The same before the name of the figure.
    pub(crate) fn in_a_sentence(self) -> &'static str {
        match self {
            Self::CannotTell => "cannot tell whether above or below",
            side => side.words(),
        }
    }
}

/// A mean beside the user's own figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThresholdRow {
    /// Occasion; null where there is none.
    pub occasion: Option<String>,
    /// Treatment; null where there is none.
    pub treatment: Option<String>,
    /// Mean per square metre.
    pub mean: f64,
    /// Lower limit; null where unbounded.
    pub low: Option<f64>,
    /// Upper limit; null where unbounded.
    pub high: Option<f64>,
    /// Where the interval lies; null without a figure.
    pub side: Option<Side>,
    /// In plain words; null without a figure.
    pub sentence: Option<String>,
}

impl ThresholdRow {
    /// A mean with its limits beside the user's own figure, if there is one; `who` is what the sentence begins with.
    #[must_use]
    pub fn new(who: &str, mean: f64, limits: (Option<f64>, Option<f64>), own: Option<f64>) -> Self {
        let (low, high) = limits;
        let side = own.map(|own| Side::of(low, high, own));
        let sentence = own.zip(side).map(|(own, side)| {
            let range = match (low, high) {
                (_, None) => format!("at least {}", figure(low.unwrap_or(0.0))),
                (low, Some(high)) => {
                    format!(
                        "between {} and {}",
                        figure(low.unwrap_or(0.0)),
                        figure(high)
                    )
                }
            };
            let told = side.in_a_sentence();
            format!(
                "{who}: {told} your figure of {} per m2 ({} per m2, likely {range}).",
                plain(own),
                figure(mean)
            )
        });
        Self {
            occasion: None,
            treatment: None,
            mean,
            low,
            high,
            side,
            sentence,
        }
    }
}

/// Means beside the user's own figure and beside what was published.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Beside {
    /// The user's own figure, larvae per square metre; null where none was given.
    pub own_per_m2: Option<f64>,
    /// The means.
    pub rows: Vec<ThresholdRow>,
    /// What was published.
    pub published: &'static [Published],
    /// How far it disagrees, in a sentence.
    pub disagreement: String,
}

/// Says that a side is no advice.
const NO_ADVICE: &str = "This says where the count lies, not what to do.";

impl Beside {
    /// Rows beside the user's own figure.
    #[must_use]
    pub fn new(own_per_m2: Option<f64>, rows: Vec<ThresholdRow>) -> Self {
        Self {
            own_per_m2,
            rows,
            published: &PUBLISHED,
            disagreement: disagreement(),
        }
    }

    /// What to say: nothing without the user's own figure.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let mut all: Vec<String> = self
            .rows
            .iter()
            .filter_map(|r| r.sentence.clone())
            .collect();
        if !all.is_empty() {
            all.push(NO_ADVICE.to_owned());
            all.push(self.disagreement.clone());
        }
        all
    }
}

/// What was published near two levels per square metre, for whoever chooses them.
#[must_use]
pub fn told(lower: f64, upper: f64) -> String {
    let side = |p: &Published| Side::of(Some(p.low_per_m2), Some(p.high_per_m2), upper);
    let inside = PUBLISHED
        .iter()
        .filter(|p| p.low_per_m2 <= upper && p.high_per_m2 >= lower);
    let above = PUBLISHED.iter().filter(|p| side(p) == Side::Above).count();
    let below = PUBLISHED.iter().filter(|p| p.high_per_m2 < lower).count();
    format!(
        "Of {} published figures {below} lie below your levels, {} reach in between, and {above} lie above. {}",
        PUBLISHED.len(),
        inside.count(),
        disagreement()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interval_that_holds_the_figure_cannot_tell() {
        assert_eq!(Side::of(Some(51.0), Some(90.0), 50.0), Side::Above);
        assert_eq!(Side::of(Some(50.0), Some(90.0), 50.0), Side::CannotTell);
        assert_eq!(Side::of(None, Some(49.0), 50.0), Side::Below);
        assert_eq!(Side::of(Some(2.0), None, 50.0), Side::CannotTell);
        assert_eq!(Side::of(Some(60.0), None, 50.0), Side::Above);
    }

    #[test]
    fn sentences_name_the_figure_and_never_tell_what_to_do() {
        let limits = (Some(61.5), Some(140.0));
        let row = ThresholdRow::new("uncovered", 92.0, limits, Some(50.0));
        let beside = Beside::new(Some(50.0), vec![row]);
        assert_eq!(
            beside.sentences()[0],
            "uncovered: above your figure of 50 per m2 (92.0 per m2, likely between 61.5 and 140)."
        );
        assert!(beside.sentences()[1].contains("not what to do"));
        let silent = ThresholdRow::new("uncovered", 92.0, limits, None);
        assert_eq!(silent.side, None);
        assert!(Beside::new(None, vec![silent]).sentences().is_empty());
    }

    #[test]
    fn every_published_figure_is_told_once() {
        let told = told(100.0, 200.0);
        assert!(
            told.starts_with("Of 9 published figures 1 lie below your levels, 6 reach in between, and 2 lie above."),
            "{told}"
        );
    }
}
