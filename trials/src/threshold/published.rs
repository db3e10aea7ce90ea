//! Densities of crane-fly larvae that were published, each with what it was said to mean.

use serde::Serialize;

use crate::text::rounding::plain;

/// What a published figure says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// From here on action is advised, or pays.
    Threshold,
    /// Damage was seen at these densities.
    Damage,
    /// No damage was seen at these densities.
    NoDamage,
}

/// A published figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Published {
    /// Where it holds.
    pub turf: &'static str,
    /// What it says.
    pub kind: Kind,
    /// Lower end, larvae per square metre.
    pub low_per_m2: f64,
    /// Upper end; the lower end again where there is one figure.
    pub high_per_m2: f64,
    /// What it is about.
    pub about: &'static str,
    /// Who published it.
    pub source: &'static str,
}

/// Peck and others: read as an abstract.
const PECK: &str = "Peck, Olmstead & Petersen, Pest status of invasive crane flies in New York turfgrass (abstract)";

/// A line a figure: turf, kind, ends, what it is about, source.
const fn row(
    turf: &'static str,
    kind: Kind,
    ends: [f64; 2],
    about: &'static str,
    source: &'static str,
) -> Published {
    let [low_per_m2, high_per_m2] = ends;
    Published {
        turf,
        kind,
        low_per_m2,
        high_per_m2,
        about,
        source,
    }
}

/// Published figures, putting greens first. Those per square foot were multiplied by 10.764.
pub const PUBLISHED: [Published; 9] = [
    row(
        "putting green",
        Kind::Damage,
        [140.0, 318.0],
        "Tipula oleracea",
        PECK,
    ),
    row(
        "lawn",
        Kind::NoDamage,
        [123.0, 142.0],
        "late instars in spring, mainly Tipula paludosa",
        PECK,
    ),
    row(
        "lawn",
        Kind::Damage,
        [753.0, 829.0],
        "late instars in spring, mainly Tipula paludosa",
        PECK,
    ),
    row(
        "lawn",
        Kind::NoDamage,
        [123.0, 544.0],
        "early instars in autumn, mainly Tipula paludosa",
        PECK,
    ),
    row(
        "rough",
        Kind::NoDamage,
        [136.0, 375.0],
        "autumn, Tipula paludosa",
        PECK,
    ),
    row(
        "rough",
        Kind::NoDamage,
        [77.0, 115.0],
        "spring, Tipula paludosa",
        PECK,
    ),
    row(
        "lawn",
        Kind::Threshold,
        [269.0, 323.0],
        "25 to 30 to the square foot",
        "Washington State University, county agent, 1996 (25: also Oregon State University)",
    ),
    row(
        "pasture",
        Kind::Threshold,
        [100.0, 100.0],
        "grass may be damaged",
        "Blackshaw 1983, Plant Pathology 32:345-349; so too doi 10.15212/ijafr-2022-0107",
    ),
    row(
        "spring cereals after grass",
        Kind::Threshold,
        [60.0, 60.0],
        "0.6 million to the hectare, severe damage",
        "SRUC (McCracken), The Herald and The Courier, 2016-17",
    ),
];

/// How far the published figures disagree, in a sentence.
#[must_use]
pub fn disagreement() -> String {
    let of = |kind: Kind| PUBLISHED.iter().filter(move |p| p.kind == kind);
    let acted = of(Kind::Threshold).map(|p| p.low_per_m2);
    let harmed = of(Kind::Damage).map(|p| p.low_per_m2);
    let fine = of(Kind::NoDamage).map(|p| p.high_per_m2);
    format!(
        "Published figures disagree: action is advised from {} per m2 by one and {} by another, damage was seen from {}, and \
         elsewhere none up to {}. Turf, kind of larva and season differ, so that your own figure is the one that is used.",
        plain(acted.clone().fold(f64::INFINITY, f64::min)),
        plain(acted.fold(0.0, f64::max)),
        plain(harmed.fold(f64::INFINITY, f64::min)),
        plain(fine.fold(0.0, f64::max)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_ends_in_order_and_the_sentence_is_made_from_them() {
        for p in PUBLISHED {
            assert!(0.0 < p.low_per_m2 && p.low_per_m2 <= p.high_per_m2, "{p:?}");
            assert!(!p.source.is_empty() && !p.about.is_empty(), "{p:?}");
        }
        let told = disagreement();
        for figure in [
            "from 60 per m2",
            "269 by another",
            "seen from 140",
            "up to 544",
        ] {
            assert!(told.contains(figure), "{told}");
        }
    }

    /// 1 ft2 is 0.09290304 m2 exactly.
    #[test]
    fn square_feet_are_brought_to_square_metres() {
        for (feet, metres) in [(25.0, 269.0), (30.0, 323.0)] {
            assert_eq!((feet / 0.09290304_f64).round(), metres);
        }
    }
}
