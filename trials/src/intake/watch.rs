//! What lay under sheets, and how long it was watched: like must be compared with like.

use std::collections::{BTreeMap, BTreeSet};

use super::Observation;
use super::names::listed;
use crate::design::{Layout, Protocol, TreatmentKind};
use crate::table::{Complaint, Problem, Rule};

/// Plots of an occasion that were watched for different times after the lift, and catches under sheets beside plots that had
/// none. `file` is the name of the counts in complaints.
pub(super) fn unlike(
    file: &str,
    protocol: &Protocol,
    layout: &Layout,
    observations: &[Observation],
) -> Vec<Problem> {
    let mut problems = Vec::new();
    for occasion in &protocol.occasions {
        let of = || observations.iter().filter(|o| o.occasion == occasion.name);
        if of().all(|o| o.minutes == 0) {
            continue;
        }
        let mut watched: BTreeMap<&str, u64> = BTreeMap::new();
        for o in of() {
            let longest = watched.entry(&o.plot).or_default();
            *longest = o.minutes.max(*longest);
        }
        let at = |rule, complaint| Problem::at(file, 1, 1, rule, complaint);
        problems
            .extend(unevenly(&occasion.name, layout, &watched).map(|c| at(Rule::UnevenWatch, c)));
        problems.extend(
            bare(&occasion.name, protocol, layout, &watched).map(|c| at(Rule::SheetCatch, c)),
        );
    }
    problems
}

/// Some plots were watched longer than others.
fn unevenly(occasion: &str, layout: &Layout, watched: &BTreeMap<&str, u64>) -> Option<Complaint> {
    let longest = watched.values().copied().max()?;
    let names = layout.names();
    let shorter: Vec<&str> = names
        .into_iter()
        .filter(|plot| watched.get(plot).is_some_and(|m| *m < longest))
        .collect();
    if shorter.is_empty() {
        return None;
    }
    Some(Complaint::new(
        format!(
            "on occasion \"{occasion}\" some plots have counts up to {longest} minutes after the lift, and these have none so late: {}",
            listed(&shorter)
        ),
        "If nothing more came up, write a line with 0 for each; if nobody looked, compare all plots at the minutes they share.",
    ))
}

/// What came up after a lift can be counted only where a sheet was lifted.
fn bare(
    occasion: &str,
    protocol: &Protocol,
    layout: &Layout,
    watched: &BTreeMap<&str, u64>,
) -> Option<Complaint> {
    let covering: BTreeSet<&str> = protocol
        .treatments
        .iter()
        .filter(|t| t.kind == TreatmentKind::Covering)
        .map(|t| t.code.as_str())
        .collect();
    let without = layout
        .plots
        .iter()
        .filter(|p| !covering.contains(p.treatment.as_str()));
    let treatments: BTreeSet<&str> = without.map(|p| p.treatment.as_str()).collect();
    let sheeted = layout.plots.iter().any(|p| {
        covering.contains(p.treatment.as_str())
            && watched.get(p.plot.as_str()).is_some_and(|m| *m > 0)
    });
    if treatments.is_empty() || !sheeted {
        return None;
    }
    let treatments: Vec<&str> = treatments.into_iter().collect();
    Some(Complaint::new(
        format!(
            "on occasion \"{occasion}\" the catch under lifted sheets is compared with plots that had none ({}): what a sheet brings up \
             lies in the turf of the others unseen",
            listed(&treatments)
        ),
        "Take cores in every plot, or cover all of them alike for the night of the count; write the sheets' own catch in the notes.",
    ))
}
