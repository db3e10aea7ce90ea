//! Which trials tried the same method: the same code, the same sort, the same direction.

use std::collections::{BTreeMap, BTreeSet};

use halfgreen_analysis::comparison::Better;

use super::TrialEffect;
use crate::Warning;
use crate::text::spelling::number;

/// A method and the effects that tell of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Method<'e> {
    /// Its code, as most trials write it.
    pub code: String,
    /// Its name for people.
    pub name: String,
    /// Its sort, where it is known.
    pub kind: Option<String>,
    /// Which direction is good.
    pub better: Better,
    /// A method of a trial each, in the order given.
    pub effects: Vec<&'e TrialEffect>,
}

/// Sorts effects by method: those tried in most trials first, then by code. What bears one code but is of another sort, or has
/// the other direction as its good one, is another method, and is told.
#[must_use]
pub fn methods(effects: &[TrialEffect]) -> (Vec<Method<'_>>, Vec<Warning>) {
    let mut kinds: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for effect in effects {
        let known = kinds.entry(code_of(effect)).or_default();
        known.extend(effect.kind.as_deref());
    }
    // A trial that does not say its sort is of the only one there is.
    let kind_of = |effect: &TrialEffect| {
        let known = kinds.get(&code_of(effect));
        let only = known.filter(|k| k.len() == 1).and_then(|k| k.first());
        effect
            .kind
            .clone()
            .or_else(|| only.map(|k| (*k).to_owned()))
    };
    let mut groups: BTreeMap<(String, Option<String>, bool), Vec<&TrialEffect>> = BTreeMap::new();
    for effect in effects {
        let fewer = effect.better == Better::Fewer;
        let group = groups.entry((code_of(effect), kind_of(effect), !fewer));
        group.or_default().push(effect);
    }
    let warnings = apart(&groups);
    let mut all: Vec<Method<'_>> = groups
        .into_iter()
        .map(|((_, kind, _), effects)| Method {
            code: usual(effects.iter().map(|e| e.treatment.as_str())),
            name: usual(effects.iter().map(|e| e.name.as_str())),
            kind,
            better: effects.first().map_or(Better::Fewer, |e| e.better),
            effects,
        })
        .collect();
    // Stable, so that codes decide among methods of as many trials.
    all.sort_by_key(|m| std::cmp::Reverse(m.effects.len()));
    (all, warnings)
}

/// The code by which trials are matched: capitals do not matter.
fn code_of(effect: &TrialEffect) -> String {
    effect.treatment.trim().to_lowercase()
}

/// The word that occurs most often; of several the first in the alphabet.
fn usual<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let mut times: BTreeMap<&str, usize> = BTreeMap::new();
    for word in words {
        *times.entry(word).or_default() += 1;
    }
    let most = times
        .iter()
        .max_by_key(|(word, n)| (**n, std::cmp::Reverse(**word)));
    most.map_or(String::new(), |(word, _)| (*word).to_owned())
}

/// Codes that stand for several methods, and controls that are called differently.
fn apart(groups: &BTreeMap<(String, Option<String>, bool), Vec<&TrialEffect>>) -> Vec<Warning> {
    let mut of_code: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for ((code, kind, more), effects) in groups {
        let sort = kind.as_deref().unwrap_or("of no stated sort");
        let good = if *more { "more" } else { "fewer" };
        let trials = number(effects.len(), "trial");
        let told = format!("{sort}, {good} is better: {trials}");
        of_code.entry(code).or_default().push(told);
    }
    let split = of_code.iter().filter(|(_, sorts)| sorts.len() > 1);
    let mut warnings: Vec<Warning> = split
        .map(|(code, sorts)| Warning {
            code: "one-code-two-methods",
            message: format!(
                "{code} is not the same in all trials ({}): each is pooled by itself",
                sorts.join("; ")
            ),
            place: None,
        })
        .collect();
    let controls: BTreeSet<String> = (groups.values().flatten())
        .map(|e| e.control.to_lowercase())
        .collect();
    if controls.len() > 1 {
        let named: Vec<String> = controls.into_iter().take(8).collect();
        let message = format!(
            "controls have different codes ({}): the answer holds only if all of them were left alike",
            named.join(", ")
        );
        warnings.push(Warning {
            code: "controls-differ",
            message,
            place: None,
        });
    }
    warnings
}
