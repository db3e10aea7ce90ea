//! One trial of an archive, judged as `judge` judges its folder or its table.

use std::collections::BTreeMap;
use std::path::Path;

use halfgreen_analysis::comparison::Question;

use super::super::{Refusal, trial};
use crate::association::archive::{
    Asked, Finding, Ground, LeftOutTrial, Outcome, Role, SourceEntry, TrialEntry, table_input,
};
use crate::association::{TrialFacts, trial_effects};
use crate::judgement::judge;
use crate::next_season::past_trial::PastTrial;
use crate::store::{Archive, TrialFolder};
use crate::trial_data::{TableQuestion, TrialData, data_from_table};

/// Seed of sampled allocations of a table: that of `judge`.
const SEED: u64 = 1;

/// Judges a trial; what stands against it is its answer.
pub(super) fn judged(archive: &Archive, source: &SourceEntry, entry: &TrialEntry) -> Outcome {
    let finding = finding(archive, source, entry).unwrap_or_else(|refusal| {
        let first = refusal.errors.first();
        Finding::LeftOut(LeftOutTrial {
            place: first.map_or_else(|| source.source.clone(), |e| placed(&e.place, source)),
            reason: first.map_or_else(String::new, |e| format!("{}. {}", e.what, e.cure)),
            trial: Some(entry.key.clone()),
        })
    });
    Outcome {
        key: entry.key.clone(),
        state: entry.state(source.asked.as_ref()),
        finding,
    }
}

/// A place that begins with the source that it is in.
fn placed(place: &str, source: &SourceEntry) -> String {
    if place.starts_with(&source.source) {
        place.to_owned()
    } else {
        format!("{}: {place}", source.source)
    }
}

fn finding(
    archive: &Archive,
    source: &SourceEntry,
    entry: &TrialEntry,
) -> Result<Finding, Refusal> {
    let mut facts = TrialFacts {
        trial: entry.key.trial.clone(),
        club: Some(entry.key.club.clone()),
        season: Some(entry.key.season),
        names: BTreeMap::new(),
        kinds: BTreeMap::new(),
        moderators: entry.moderators.clone(),
        source: source.source.clone(),
    };
    let (data, seed, core_area) = if let Some(asked) = &source.asked {
        let (data, area, line) = of_table(archive, entry, asked)?;
        facts.source = format!("{}:{line}", source.source);
        (data, SEED, area)
    } else {
        let (kept, sha) = (entry.kept.as_deref(), entry.kept_sha256.as_deref());
        let (kept, sha) = (kept.unwrap_or_default(), sha.unwrap_or_default());
        let path = Path::new(&source.source);
        let texts = archive.kept(kept, sha, path)?.texts();
        let folder = TrialFolder::open(&texts, path)?;
        let trial = trial::trial(&folder, None)?;
        let known = trial::facts(&folder, &trial);
        (facts.names, facts.kinds) = (known.names, known.kinds);
        (trial.data, trial.seed, trial.protocol.response.core_area_m2)
    };
    let (judgement, _) = judge(&data, seed)?;
    let past = PastTrial::of(&judgement, core_area).ok();
    Ok(Finding::Judged {
        effects: trial_effects(&judgement, &facts),
        ground: past.as_ref().map(Ground::from),
    })
}

/// The plots of a trial of a table, the area of its first core, and its first line.
fn of_table(
    archive: &Archive,
    entry: &TrialEntry,
    asked: &Asked,
) -> Result<(TrialData, f64, u64), Refusal> {
    let rows = archive.read_rows(&entry.key, &entry.pieces)?;
    let input = table_input(&rows, &asked.terms.control)?;
    let better = asked.terms.better;
    let question = TableQuestion {
        question: Question {
            alpha: asked.terms.alpha,
            better,
            worthwhile_ratio: better.ratio_by(asked.terms.worthwhile / 100.0),
        },
        randomised: asked.terms.randomised,
        verdict_about: None,
        seed: SEED,
    };
    let first = (0..rows.len())
        .find(|at| rows.roles[*at] == Role::Main)
        .unwrap_or(0);
    let area = rows
        .areas
        .get(first)
        .copied()
        .filter(|a| *a > 0.0)
        .unwrap_or(1.0);
    Ok((
        data_from_table(&input, &question)?,
        area,
        rows.lines.get(first).copied().unwrap_or(0),
    ))
}
