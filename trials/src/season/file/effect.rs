//! What the sheet leaves, and what other methods leave and cost.

use std::path::PathBuf;

use halfgreen_analysis::efficacy::Bounded;

use crate::design::reader::{Reading, Section, TrialFile};
use crate::ranges::season::{METHOD_HOURS, METHODS, NIGHTS_EACH, PRICE, RATIO, WORTHWHILE};

/// Where the effect comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum EffectAsked {
    /// A judged trial.
    Trial {
        /// Its folder, as written: beside the season file.
        dir: PathBuf,
        /// The method; the only one where none is named.
        treatment: Option<String>,
    },
    /// A ratio with its interval.
    Typed {
        /// The ratio and its limits, at 95 %.
        ratio: Bounded,
        /// The smallest reduction worth having, per cent.
        worthwhile_percent: Option<f64>,
    },
}

/// What a method leaves.
#[derive(Debug, Clone, PartialEq)]
pub enum Leaves {
    /// By the contrast of a treatment of the trial.
    Treatment(String),
    /// By a ratio with its interval.
    Typed(Bounded),
}

/// Another method.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodAsked {
    /// Name for people.
    pub name: String,
    /// What it leaves.
    pub leaves: Leaves,
    /// Cost of material for a square metre.
    pub cost_per_m2: f64,
    /// Person-hours for 100 square metres.
    pub hours_per_100_m2: f64,
}

const EFFECT: [&str; 7] = [
    "trial",
    "treatment",
    "ratio",
    "low",
    "high",
    "worthwhile_reduction_percent",
    "nights",
];

/// The effect, and the nights under the sheet for which it holds.
pub(super) fn effect(
    parts: &TrialFile<'_>,
    reading: &mut Reading<'_>,
) -> Option<(EffectAsked, usize)> {
    let section = parts.section("effect", reading);
    section.only(&EFFECT, reading);
    let nights = section.whole("nights", &NIGHTS_EACH, reading);
    if !section.has("nights") {
        let cure = "Write for how many nights under the sheet the effect holds.";
        section.missing("nights", cure, reading);
    }
    let from_trial = section.text("trial", reading);
    let typed = ["ratio", "low", "high"].iter().any(|key| section.has(key));
    let asked = if let Some(dir) = from_trial {
        for key in ["ratio", "low", "high", "worthwhile_reduction_percent"] {
            if section.has(key) {
                let what = format!("`{key}` stands beside `trial`, which has its own");
                reading.refuse(section.offset(key), what, "Leave one of them out.");
            }
        }
        let treatment = section.name("treatment", reading);
        Some(EffectAsked::Trial {
            dir: PathBuf::from(dir),
            treatment,
        })
    } else if typed {
        if section.has("treatment") {
            let what = "`treatment` names a method of a trial, and no trial is named";
            reading.refuse(
                section.offset("treatment"),
                what,
                "Name the trial, or leave it out.",
            );
        }
        let worthwhile_percent =
            section.number("worthwhile_reduction_percent", &WORTHWHILE, reading);
        ratio(&section, reading).map(|ratio| EffectAsked::Typed {
            ratio,
            worthwhile_percent,
        })
    } else {
        let cure = "Name the folder of the judged trial, or write ratio, low and high.";
        section.missing("trial", cure, reading);
        None
    };
    Some((asked?, usize::try_from(nights?).ok()?))
}

/// A ratio with its limits, in order.
fn ratio(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Bounded> {
    for key in ["ratio", "low", "high"] {
        if !section.has(key) {
            section.missing(key, "A ratio needs both limits of its interval.", reading);
        }
    }
    let number = |key: &str, reading: &mut Reading<'_>| section.number(key, &RATIO, reading);
    let (estimate, low, high) = (
        number("ratio", reading),
        number("low", reading),
        number("high", reading),
    );
    let ratio = Bounded {
        estimate: estimate?,
        low: low?,
        high: high?,
    };
    in_order(section, ratio, "ratio", reading).then_some(ratio)
}

/// Whether limits stand about their estimate; complains otherwise.
pub(super) fn in_order(
    section: &Section<'_>,
    found: Bounded,
    key: &str,
    reading: &mut Reading<'_>,
) -> bool {
    let ordered = found.low <= found.estimate && found.estimate <= found.high;
    if !ordered {
        let what = format!(
            "the interval from {} to {} does not hold `{key}` = {}",
            found.low, found.high, found.estimate
        );
        let cure = "Write the lower limit as low and the upper one as high.";
        reading.refuse(section.offset("low"), what, cure);
    }
    ordered
}

const METHOD: [&str; 7] = [
    "name",
    "treatment",
    "ratio",
    "low",
    "high",
    "cost_per_m2",
    "hours_per_100_m2",
];

/// The other methods.
pub(super) fn methods(
    parts: &TrialFile<'_>,
    effect: Option<&EffectAsked>,
    reading: &mut Reading<'_>,
) -> Vec<MethodAsked> {
    let sections = parts.list("method", reading);
    if !METHODS.holds_whole(sections.len() as u64) {
        let what = METHODS.fault(&sections.len().to_string());
        let at = sections.first().map_or(0, |s| s.at);
        reading.refuse(at, format!("[[method]]: {what}"), "Leave some out.");
    }
    let from_trial = !matches!(effect, Some(EffectAsked::Typed { .. }));
    sections
        .iter()
        .filter_map(|s| method(s, from_trial, reading))
        .collect()
}

fn method(
    section: &Section<'_>,
    from_trial: bool,
    reading: &mut Reading<'_>,
) -> Option<MethodAsked> {
    section.only(&METHOD, reading);
    let name = section.name("name", reading);
    for (key, cure) in [
        ("name", "Say what it is called."),
        (
            "cost_per_m2",
            "Write what its material costs for a square metre; 0 if nothing.",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let cost = section.number("cost_per_m2", &PRICE.named("cost_per_m2"), reading);
    let hours = section.number("hours_per_100_m2", &METHOD_HOURS, reading);
    let leaves = if section.has("treatment") {
        if !from_trial {
            let what = "`treatment` names a method of a trial, and [effect] names no trial";
            reading.refuse(
                section.offset("treatment"),
                what,
                "Write ratio, low and high instead.",
            );
        }
        section.name("treatment", reading).map(Leaves::Treatment)
    } else {
        ratio(section, reading).map(Leaves::Typed)
    };
    Some(MethodAsked {
        name: name?,
        leaves: leaves?,
        cost_per_m2: cost?,
        hours_per_100_m2: hours.unwrap_or(0.0),
    })
}
