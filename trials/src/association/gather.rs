//! Effects from everywhere to one list: the same trial once, trials that contradict themselves not at all, names that tell trials apart.

use std::collections::{BTreeMap, BTreeSet};

use super::{LeftOut, TrialEffect};
use crate::Warning;

/// Animals from which on two trials with the same plots and counts are one, whatever their clubs are called: as many do not
/// fall alike by chance. Few do, in layouts drawn from one seed.
const SURELY_THE_SAME: u64 = 20;

/// What can be pooled, and what cannot.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gathered {
    /// A method of a trial each, in the order given; no two of one trial name, club, season and method.
    pub effects: Vec<TrialEffect>,
    /// What was left out, and why.
    pub left_out: Vec<LeftOut>,
    /// What the reader must know.
    pub warnings: Vec<Warning>,
}

/// What tells a method of a trial from all others.
type Key = (String, String, Option<i16>, String);

fn key(effect: &TrialEffect) -> Key {
    (
        effect.club.clone(),
        effect.trial.clone(),
        effect.season,
        effect.treatment.to_lowercase(),
    )
}

/// Gathers effects. What comes twice is taken once. Trials of one name with other plots are called by their source. Two lines that
/// say other things of one trial, with no plots that could tell which is right, are both left out.
#[must_use]
pub fn gather(effects: Vec<TrialEffect>, left_out: Vec<LeftOut>) -> Gathered {
    let mut found = Gathered {
        left_out,
        ..Gathered::default()
    };
    let mut once: Vec<TrialEffect> = Vec::new();
    // Those that may be the same: of the same plots, or of the same name.
    let mut alike: BTreeMap<Alike, Vec<usize>> = BTreeMap::new();
    for effect in effects {
        let marks = marks(&effect);
        let near = marks.iter().filter_map(|mark| alike.get(mark)).flatten();
        let first = near.map(|at| &once[*at]).find(|first| same(first, &effect));
        if let Some(told) = first.map(|first| twice(first, &effect)) {
            found.warnings.push(told);
            continue;
        }
        for mark in marks {
            alike.entry(mark).or_default().push(once.len());
        }
        once.push(effect);
    }
    told_apart(&mut once);
    let mut by_key: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for (at, effect) in once.iter().enumerate() {
        by_key.entry(key(effect)).or_default().push(at);
    }
    let against: Vec<&Vec<usize>> = by_key.values().filter(|lines| lines.len() > 1).collect();
    for lines in &against {
        let places: Vec<&str> = lines.iter().map(|at| once[*at].source.as_str()).collect();
        let first = &once[lines[0]];
        found.left_out.push(LeftOut {
            place: places.join(", "),
            reason: format!(
                "these say other things of {} at {} ({}), and nothing tells which is right: none is used. Keep the right one, \
                 or give the trials names or seasons that tell them apart.",
                first.treatment, first.club, first.trial
            ),
        });
    }
    let contradicted: BTreeSet<usize> = against.into_iter().flatten().copied().collect();
    found.effects = (once.into_iter().enumerate())
        .filter(|(at, _)| !contradicted.contains(at))
        .map(|(_, effect)| effect)
        .collect();
    found
}

/// What effects of one trial share: the plots, or the name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Alike {
    Plots(String),
    Name(Key),
}

fn marks(effect: &TrialEffect) -> Vec<Alike> {
    let plots = effect.digest.iter().cloned().map(Alike::Plots);
    plots.chain([Alike::Name(key(effect))]).collect()
}

/// Whether two are the same method of the same trial: the same plots with the same counts, or the same numbers under the same
/// name.
fn same(a: &TrialEffect, b: &TrialEffect) -> bool {
    if a.treatment.to_lowercase() != b.treatment.to_lowercase() {
        return false;
    }
    match (&a.digest, &b.digest) {
        (Some(one), Some(other)) => {
            let found = |e: &TrialEffect| e.treated_count.zip(e.control_count);
            let animals = found(a).map_or(0, |(t, c)| t.saturating_add(c));
            one == other && (key(a) == key(b) || a.club == b.club || animals >= SURELY_THE_SAME)
        }
        _ => key(a) == key(b) && a.effect == b.effect && a.se == b.se,
    }
}

fn twice(first: &TrialEffect, again: &TrialEffect) -> Warning {
    let message = format!(
        "{} of {} is the same trial as in {}, and is counted once",
        again.treatment, again.trial, first.source
    );
    Warning::at("same-trial-twice", message, again.source.clone())
}

/// Calls trials of one name, but with other plots, by their source.
fn told_apart(effects: &mut [TrialEffect]) {
    let mut digests: BTreeMap<Key, Vec<String>> = BTreeMap::new();
    for effect in effects.iter() {
        if let Some(digest) = &effect.digest {
            let known = digests.entry(key(effect)).or_default();
            if !known.contains(digest) {
                known.push(digest.clone());
            }
        }
    }
    for effect in effects.iter_mut() {
        if digests.get(&key(effect)).is_some_and(|d| d.len() > 1) && effect.digest.is_some() {
            // A trial of which no club is known was its own.
            if effect.club == effect.trial {
                effect.club.clone_from(&effect.source);
            }
            effect.trial.clone_from(&effect.source);
        }
    }
}
