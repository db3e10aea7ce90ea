//! A table of counts of many trials: each is judged by itself, and one that cannot be stops no other.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::columns::named_once;
use super::super::judge::{Request as JudgeRequest, data_of_rows};
use super::super::{Refusal, Surroundings};
use super::Request;
use super::inputs::{Named, Waiting, listed};
use crate::Error;
use crate::association::{LeftOut, TrialFacts};
use crate::table::{Cell, RawTable};

/// Seed of sampled allocations where none is given.
const SEED: u64 = 1;

/// The trials of a table, in the order of their first lines.
pub(super) fn trials(
    file: &Path,
    request: &Request,
    at: &Surroundings<'_>,
    left_out: &mut Vec<LeftOut>,
) -> Result<Vec<Named>, Refusal> {
    let shown = file.display().to_string();
    let table = RawTable::read(&shown, &at.sources.table(file)?)?;
    let columns = Columns::of(&table, request)?;
    let mut waiting = Vec::new();
    for (name, rows) in columns.split(&table, left_out) {
        let facts = columns.facts(&table, &rows, name);
        let first = rows
            .first()
            .and_then(|row| row.first())
            .map_or(1, |c| c.line);
        let rows = RawTable {
            file: table.file.clone(),
            header: table.header.clone(),
            rows,
            decimal_comma: table.decimal_comma,
        };
        let seed = request.seed.unwrap_or(SEED);
        match data_of_rows(rows, &of_judge(file, request), seed) {
            Ok(mut data) => {
                data.counted = request.count.clone().unwrap_or_default();
                waiting.push(Named::Waiting(Box::new(Waiting { data, seed, facts })));
            }
            Err(refusal) if refusal.errors.iter().any(|e| e.field.is_some()) => {
                return Err(refusal);
            }
            Err(refusal) => left_out.push(listed(&format!("{shown}:{first}"), refusal)),
        }
    }
    Ok(waiting)
}

/// The question of `judge`, asked of each trial.
fn of_judge(file: &Path, request: &Request) -> JudgeRequest {
    JudgeRequest {
        counts: Some(file.to_path_buf()),
        count: request.count.clone().unwrap_or_default(),
        treatment: request.treatment.clone(),
        control: request.control.clone(),
        block: request.block.clone(),
        plot: request.plot.clone(),
        before: request.before.clone(),
        area: request.area.clone(),
        better: request.better,
        worthwhile: Some(request.worthwhile),
        alpha: request.alpha,
        not_randomised: request.not_randomised,
        ..JudgeRequest::default()
    }
}

/// Where the columns stand that tell trials apart.
struct Columns {
    trial: usize,
    club: Option<usize>,
    season: Option<usize>,
    moderators: Vec<(String, usize)>,
}

impl Columns {
    fn of(table: &RawTable, request: &Request) -> Result<Self, Refusal> {
        named_once(&[
            ("trial", request.trial.as_deref()),
            ("club", request.club.as_deref()),
            ("season", request.season.as_deref()),
            ("count", request.count.as_deref()),
            ("treatment", Some(&request.treatment)),
            ("block", request.block.as_deref()),
            ("plot", request.plot.as_deref()),
            ("before", request.before.as_deref()),
            ("area", request.area.as_deref()),
        ])?;
        let mut faults: Vec<Error> = Vec::new();
        let mut position = |field: &str, name: Option<&String>| match table.required(name?) {
            Ok(at) => Some(at),
            Err(problem) => {
                faults.push(Error {
                    field: Some(field.to_owned()),
                    ..problem.into()
                });
                None
            }
        };
        let trial = position("trial", request.trial.as_ref());
        let club = position("club", request.club.as_ref());
        let season = position("season", request.season.as_ref());
        for (field, name) in [
            ("count", request.count.as_ref()),
            ("treatment", Some(&request.treatment)),
            ("block", request.block.as_ref()),
            ("plot", request.plot.as_ref()),
            ("before", request.before.as_ref()),
            ("area", request.area.as_ref()),
        ] {
            position(field, name);
        }
        let moderators = (request.moderator.iter())
            .filter_map(|name| Some((name.clone(), position("moderator", Some(name))?)))
            .collect();
        match trial {
            Some(trial) if faults.is_empty() => Ok(Self {
                trial,
                club,
                season,
                moderators,
            }),
            _ => Err(faults.into()),
        }
    }

    /// Rows by the name of their trial (within club and season), in the order of first lines; rows without a name are listed.
    fn split(
        &self,
        table: &RawTable,
        left_out: &mut Vec<LeftOut>,
    ) -> Vec<(String, Vec<Vec<Cell>>)> {
        let mut order: Vec<(String, Vec<Vec<Cell>>)> = Vec::new();
        let mut known: BTreeMap<[String; 3], usize> = BTreeMap::new();
        for row in &table.rows {
            let text = |at: Option<usize>| at.map_or(String::new(), |at| row[at].text.clone());
            let key = [text(Some(self.trial)), text(self.club), text(self.season)];
            if key[0].is_empty() {
                left_out.push(LeftOut {
                    place: table.place(&row[self.trial]),
                    reason: "no trial is named here, so that the line belongs to none.".to_owned(),
                });
                continue;
            }
            let name = key[0].clone();
            let at = *known.entry(key).or_insert_with(|| {
                order.push((name, Vec::new()));
                order.len() - 1
            });
            order[at].1.push(row.clone());
        }
        order
    }

    /// What the lines of a trial tell of it: where they differ, nothing.
    fn facts(&self, table: &RawTable, rows: &[Vec<Cell>], name: String) -> TrialFacts {
        let one = |at: usize| {
            let mut values = rows.iter().map(|row| row[at].text.as_str());
            let first = values.next().filter(|v| !v.is_empty())?;
            values.all(|v| v == first).then(|| first.to_owned())
        };
        let first = rows.first().and_then(|row| row.first());
        TrialFacts {
            club: self.club.and_then(one),
            season: self.season.and_then(one).and_then(|year| year.parse().ok()),
            moderators: (self.moderators.iter())
                .filter_map(|(name, at)| Some((name.clone(), one(*at)?)))
                .collect(),
            source: format!("{}:{}", table.file, first.map_or(1, |c| c.line)),
            trial: name,
            ..TrialFacts::default()
        }
    }
}
