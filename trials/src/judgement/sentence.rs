//! A sentence that can be told with or without the p-value behind it.

use std::fmt;

use serde::{Serialize, Serializer};

use crate::text::rounding::p_value;

/// A sentence in two forms. Programs and the appendix read it with the p-value, members without.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sentence {
    with_p: String,
    plain: String,
}

impl Sentence {
    /// A sentence that rests on `p`: `say` writes it round what stands in brackets, which begins with a space.
    /// `beside` is what stands there before the p-value, and stays where that is left out.
    pub(super) fn resting_on(p: f64, beside: &str, say: impl Fn(&str) -> String) -> Self {
        let p = p_value(p);
        let (with_p, without) = if beside.is_empty() {
            (format!(" ({p})"), String::new())
        } else {
            (format!(" ({beside}, {p})"), format!(" ({beside})"))
        };
        Self {
            with_p: say(&with_p),
            plain: say(&without),
        }
    }

    /// A sentence without a p-value.
    pub(super) fn without_p(text: impl Into<String>) -> Self {
        let plain = text.into();
        Self {
            with_p: plain.clone(),
            plain,
        }
    }

    /// With the p-value.
    #[must_use]
    pub fn with_p(&self) -> &str {
        &self.with_p
    }

    /// Without it.
    #[must_use]
    pub fn plain(&self) -> &str {
        &self.plain
    }
}

impl fmt::Display for Sentence {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.with_p)
    }
}

impl Serialize for Sentence {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.with_p)
    }
}

#[cfg(test)]
mod tests {
    use super::Sentence;

    #[test]
    fn the_p_value_alone_is_left_out() {
        let bare = Sentence::resting_on(0.0301, "", |aside| format!("It did not stay{aside}."));
        assert_eq!(bare.with_p(), "It did not stay (p = 0.030).");
        assert_eq!(bare.plain(), "It did not stay.");
        let beside = Sentence::resting_on(0.0001, "likely 2 to 3", |aside| format!("More{aside}."));
        assert_eq!(beside.with_p(), "More (likely 2 to 3, p < 0.001).");
        assert_eq!(beside.plain(), "More (likely 2 to 3).");
    }
}
