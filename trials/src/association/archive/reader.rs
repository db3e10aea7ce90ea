//! Lines of a club's table as rows of counts.

use indexmap::{IndexMap, IndexSet};
use jiff::civil::Date;
use rustc_hash::FxBuildHasher;

use super::cells::{Meanings, Wrong, area, count, day, name, season};
use super::facts::{AllFacts, Facts, Fault, mixed, name_digest};
use super::rows::{Named, Role};
use super::{Head, Rows, TableColumns, TableTerms, TrialKey};
use crate::table::{LineCells, each_line};

/// Reads blocks of lines of one table. Blocks may be read in any order, several at once.
#[derive(Debug, Clone, Copy)]
pub struct RowReader<'a> {
    head: &'a Head,
    wanted: &'a TableColumns,
    terms: &'a TableTerms,
}

impl<'a> RowReader<'a> {
    /// A reader of the table with this head.
    #[must_use]
    pub fn new(head: &'a Head, wanted: &'a TableColumns, terms: &'a TableTerms) -> Self {
        Self {
            head,
            wanted,
            terms,
        }
    }

    /// The rows of a block of whole lines, the first of which has this number in the file, and what they come to. The header is
    /// line 1 and no row. Roles are those of the occasions that the request names.
    #[must_use]
    pub fn block(&self, block: &str, first: u64) -> (Rows, AllFacts) {
        let mut reading = Reading::of(self);
        each_line(block, self.head.separator, first, |line, cells| {
            if line > 1 {
                reading.line(line, cells);
            }
        });
        reading.finish()
    }

    /// What an occasion is for, by the request; the only occasion of a trial is its main one.
    #[must_use]
    pub fn role(&self, occasion: &str, only: bool) -> Role {
        let among = |names: &[String]| names.iter().any(|n| n.trim() == occasion);
        if among(&self.wanted.before) {
            Role::Before
        } else if among(&self.wanted.main) || (only && self.wanted.main.is_empty()) {
            Role::Main
        } else {
            Role::Other
        }
    }
}

/// A block on its way.
struct Reading<'a> {
    by: RowReader<'a>,
    seasons: Meanings<i16>,
    days: Meanings<Date>,
    clubs: Meanings<()>,
    trials: Meanings<()>,
    names: Meanings<()>,
    areas: Meanings<f64>,
    /// Trials by the codes of season, club and trial.
    keys: IndexMap<(i16, u32, u32), u32, FxBuildHasher>,
    rows: Rows,
    facts: Vec<Facts>,
    /// Different values of each moderator, trial by trial.
    values: Vec<IndexSet<(u32, u32), FxBuildHasher>>,
    moderators: Vec<Named>,
    firsts: IndexMap<(u32, u32), Date, FxBuildHasher>,
    all: AllFacts,
}

impl<'a> Reading<'a> {
    fn of(by: &RowReader<'a>) -> Self {
        let moderators = by.head.moderators.len();
        Self {
            by: *by,
            seasons: Meanings::none(),
            days: Meanings::none(),
            clubs: Meanings::none(),
            trials: Meanings::none(),
            names: Meanings::none(),
            areas: Meanings::none(),
            keys: IndexMap::default(),
            rows: Rows::default(),
            facts: Vec::new(),
            values: vec![IndexSet::default(); moderators],
            moderators: vec![Named::default(); moderators],
            firsts: IndexMap::default(),
            all: AllFacts::default(),
        }
    }

    fn line(&mut self, line: u64, cells: LineCells<'_>) {
        let place = |column: usize, (what, cure): Wrong| Fault {
            line,
            column: column + 1,
            what,
            cure,
        };
        let (key, day) = match self.key(cells) {
            Ok(found) => found,
            Err((column, wrong)) => return self.all.lost.add(place(column, wrong)),
        };
        let facts = &mut self.facts[key as usize];
        if facts.first_line == 0 {
            facts.first_line = line;
        }
        match self.row(key, day, line, cells) {
            Ok(true) => self.facts[key as usize].counted += 1,
            Ok(false) => self.facts[key as usize].uncounted += 1,
            Err((column, wrong)) => self.facts[key as usize].fault(place(column, wrong)),
        }
    }

    /// The trial of a line, and its day.
    fn key(&mut self, cells: LineCells<'_>) -> Result<(u32, Option<Date>), (usize, Wrong)> {
        let head = self.by.head;
        let cell = |at: usize| cells.at(at);
        let own = head.own_name();
        let day = match head.date {
            Some(at) => Some(
                *self
                    .days
                    .of(cell(at), day)
                    .1
                    .as_ref()
                    .map_err(|w| (at, w.clone()))?,
            ),
            None => None,
        };
        let season = match (head.season, day) {
            (Some(at), _) => *self
                .seasons
                .of(cell(at), season)
                .1
                .as_ref()
                .map_err(|w| (at, w.clone()))?,
            (None, Some(day)) => day.year(),
            (None, None) => {
                let what = "neither a column of seasons nor one of dates tells the year".to_owned();
                return Err((0, (what, "Name one with --season or --date.".to_owned())));
            }
        };
        let (club, known) = self.clubs.of(head.club.map_or(own, cell), name);
        known
            .as_ref()
            .map_err(|w| (head.club.unwrap_or(0), w.clone()))?;
        let (trial, known) = self.trials.of(head.trial.map_or(own, cell), name);
        known
            .as_ref()
            .map_err(|w| (head.trial.unwrap_or(0), w.clone()))?;
        let next = self.facts.len();
        let code = *self.keys.entry((season, club, trial)).or_insert_with(|| {
            let key = TrialKey {
                season,
                club: self.clubs.texts.name(club).to_owned(),
                trial: self.trials.texts.name(trial).to_owned(),
            };
            self.rows.trials.meet(&key).0
        });
        if code as usize == next {
            self.facts.push(Facts::default());
        }
        Ok((code, day))
    }

    /// Takes in a row; not where nothing was counted.
    fn row(
        &mut self,
        key: u32,
        day: Option<Date>,
        line: u64,
        cells: LineCells<'_>,
    ) -> Result<bool, (usize, Wrong)> {
        let head = self.by.head;
        let cell = |at: usize| cells.at(at);
        if cells.any_from(head.width) {
            let what = format!(
                "this line has {} cells under {} headings",
                cells.len(),
                head.width
            );
            let cure = "Put quotation marks round a text that holds the separator, or take out the surplus cell.";
            return Err((head.width, (what, cure.to_owned())));
        }
        let Some(count) = count(cell(head.count)).map_err(|w| (head.count, w))? else {
            return Ok(false);
        };
        let area = match head.area {
            Some(at) => {
                let unit = self.by.wanted.area_unit;
                let read =
                    |text: &str| area(text, head.separator != b',', |x| unit.square_metres(x));
                *self
                    .areas
                    .of(cell(at), read)
                    .1
                    .as_ref()
                    .map_err(|w| (at, w.clone()))?
            }
            None => self.by.terms.core_area.unwrap_or(0.0),
        };
        let named = [Some(head.treatment), head.occasion, head.block, head.plot];
        for at in named.into_iter().flatten() {
            self.names
                .of(cell(at), name)
                .1
                .as_ref()
                .map_err(|w| (at, w.clone()))?;
        }
        let rows = &mut self.rows;
        rows.of.push(key);
        rows.occasions
            .push(head.occasion.map_or(Role::Main.word(), cell));
        rows.treatments.push(cell(head.treatment));
        rows.blocks.push(head.block.map_or("", cell));
        rows.plots.push(head.plot.map_or("", cell));
        rows.counts.push(count);
        rows.areas.push(area);
        rows.lines.push(line);
        if let (Some(day), Some(&occasion)) = (day, rows.occasions.codes.last()) {
            let first = self.firsts.entry((key, occasion)).or_insert(day);
            *first = day.min(*first);
        }
        self.moderate(key, line, cells);
        Ok(true)
    }

    /// Takes in what else the line says of its trial.
    fn moderate(&mut self, key: u32, line: u64, cells: LineCells<'_>) {
        let columns = self.by.head.moderators.iter().zip(&mut self.values);
        for (((heading, at), values), named) in columns.zip(&mut self.moderators) {
            let text = cells.at(*at);
            if text.is_empty() {
                continue;
            }
            let (code, _) = named.levels.meet(text);
            if !values.insert((key, code)) {
                continue;
            }
            let facts = &mut self.facts[key as usize];
            match facts.moderators.get(heading) {
                None => {
                    facts.moderators.insert(heading.clone(), text.to_owned());
                }
                Some(other) => {
                    let what = format!(
                        "`{heading}` is {text} here and {other} on an earlier line of the trial"
                    );
                    facts.fault(Fault {
                        line,
                        column: at + 1,
                        what,
                        cure: "Write one value on all lines of a trial.".to_owned(),
                    });
                }
            }
        }
    }

    fn finish(mut self) -> (Rows, AllFacts) {
        let rows = &mut self.rows;
        let numbers =
            |named: &Named| -> Vec<u64> { named.levels.iter().map(|n| name_digest(n)).collect() };
        let (occasions, treatments) = (numbers(&rows.occasions), numbers(&rows.treatments));
        let (blocks, plots) = (numbers(&rows.blocks), numbers(&rows.plots));
        let (mut with_occasion, mut with_treatment) = (
            IndexSet::<(u32, u32), FxBuildHasher>::default(),
            IndexSet::<(u32, u32), FxBuildHasher>::default(),
        );
        for at in 0..rows.len() {
            let key = rows.of[at];
            let (occasion, treatment) = (rows.occasions.codes[at], rows.treatments.codes[at]);
            let facts = &mut self.facts[key as usize];
            facts.animals += u64::from(rows.counts[at]);
            let names = [
                occasions[occasion as usize],
                treatments[treatment as usize],
                blocks[rows.blocks.codes[at] as usize],
                plots[rows.plots.codes[at] as usize],
            ];
            facts.add_row(mixed(names, rows.counts[at], rows.areas[at]));
            with_occasion.insert((key, occasion));
            with_treatment.insert((key, treatment));
        }
        for (key, occasion) in with_occasion {
            let name = rows.occasions.levels.name(occasion).to_owned();
            self.facts[key as usize].occasions.insert(name);
        }
        for (key, treatment) in with_treatment {
            let name = rows.treatments.levels.name(treatment).to_owned();
            self.facts[key as usize].treatments.insert(name);
        }
        for ((key, occasion), day) in self.firsts {
            let name = rows.occasions.levels.name(occasion).to_owned();
            self.facts[key as usize].days.insert(name, day);
        }
        let (source, _) = rows.sources.levels.meet(self.by.head.file.as_str());
        rows.sources.codes = vec![source; rows.counts.len()];
        let occasion_roles: Vec<Role> = rows
            .occasions
            .levels
            .iter()
            .map(|o| self.by.role(o, self.by.head.occasion.is_none()))
            .collect();
        rows.roles = rows
            .occasions
            .codes
            .iter()
            .map(|o| occasion_roles[*o as usize])
            .collect();
        let keys: Vec<TrialKey> = rows.trials.iter().cloned().collect();
        self.all.trials = keys.into_iter().zip(self.facts).collect();
        (self.rows, self.all)
    }
}
