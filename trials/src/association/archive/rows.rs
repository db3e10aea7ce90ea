//! Rows of counts, column by column, with names as numbers.

use serde::{Deserialize, Serialize};

use super::{Levels, TrialKey};

/// What an occasion is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Before treatment.
    Before,
    /// The one that decides.
    Main,
    /// Any other: kept, and not judged.
    Other,
}

impl Role {
    /// The word in the archive's files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::Main => "main",
            Self::Other => "other",
        }
    }

    /// The role of a word.
    #[must_use]
    pub fn of(word: &str) -> Self {
        match word {
            "before" => Self::Before,
            "main" => Self::Main,
            _ => Self::Other,
        }
    }
}

/// A column of names.
#[derive(Debug, Clone, Default)]
pub struct Named {
    /// The different names.
    pub levels: Levels,
    /// For each row, the position of its name.
    pub codes: Vec<u32>,
}

impl Named {
    /// Adds a name.
    pub fn push(&mut self, name: &str) {
        let (code, _) = self.levels.meet(name);
        self.codes.push(code);
    }

    /// Name of a row.
    #[must_use]
    pub fn name(&self, row: usize) -> &str {
        self.codes
            .get(row)
            .map_or("", |code| self.levels.name(*code))
    }

    /// Positions here of the names of another column.
    fn take_levels(&mut self, other: &Levels) -> Vec<u32> {
        other
            .iter()
            .map(|name| self.levels.meet(&**name).0)
            .collect()
    }
}

/// One row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row<'r> {
    /// Occasion as it was called.
    pub occasion: &'r str,
    /// What it is for.
    pub role: Role,
    /// Treatment.
    pub treatment: &'r str,
    /// Block; empty without blocks.
    pub block: &'r str,
    /// Plot; empty where every row is a plot.
    pub plot: &'r str,
    /// Animals counted.
    pub count: u32,
    /// Sampled area, square metres; 0 where it is not known.
    pub area_m2: f64,
    /// File that the row was read from.
    pub source: &'r str,
    /// Its line.
    pub line: u64,
}

/// Rows of any number of trials.
#[derive(Debug, Clone, Default)]
pub struct Rows {
    /// The trials.
    pub trials: Levels<TrialKey>,
    /// For each row, the position of its trial.
    pub of: Vec<u32>,
    /// Occasions.
    pub occasions: Named,
    /// Roles.
    pub roles: Vec<Role>,
    /// Treatments.
    pub treatments: Named,
    /// Blocks.
    pub blocks: Named,
    /// Plots.
    pub plots: Named,
    /// Counts.
    pub counts: Vec<u32>,
    /// Areas, square metres; 0 where not known.
    pub areas: Vec<f64>,
    /// Files.
    pub sources: Named,
    /// Lines.
    pub lines: Vec<u64>,
}

impl Rows {
    /// How many rows there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.counts.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.counts.is_empty()
    }

    /// Position of a trial, which becomes one of these where it was none.
    pub fn trial(&mut self, key: &TrialKey) -> u32 {
        self.trials.meet(key).0
    }

    /// Adds a row of the trial at a position.
    pub fn push(&mut self, trial: u32, row: &Row<'_>) {
        self.of.push(trial);
        self.occasions.push(row.occasion);
        self.roles.push(row.role);
        self.treatments.push(row.treatment);
        self.blocks.push(row.block);
        self.plots.push(row.plot);
        self.counts.push(row.count);
        self.areas.push(row.area_m2);
        self.sources.push(row.source);
        self.lines.push(row.line);
    }

    /// A row.
    #[must_use]
    pub fn row(&self, at: usize) -> Row<'_> {
        Row {
            occasion: self.occasions.name(at),
            role: self.roles[at],
            treatment: self.treatments.name(at),
            block: self.blocks.name(at),
            plot: self.plots.name(at),
            count: self.counts[at],
            area_m2: self.areas[at],
            source: self.sources.name(at),
            line: self.lines[at],
        }
    }

    /// Adds those rows of others whose trial is wanted; roles are given anew by trial and occasion.
    pub fn take(
        &mut self,
        other: &Rows,
        wanted: impl Fn(&TrialKey) -> bool,
        role: impl Fn(&TrialKey, &str) -> Role,
    ) {
        let keys: Vec<Option<&TrialKey>> = other
            .trials
            .iter()
            .map(|k| Some(k).filter(|k| wanted(k)))
            .collect();
        let trials: Vec<Option<u32>> = keys
            .iter()
            .map(|key| key.map(|k| self.trials.meet(k).0))
            .collect();
        let occasions = self.occasions.take_levels(&other.occasions.levels);
        let treatments = self.treatments.take_levels(&other.treatments.levels);
        let blocks = self.blocks.take_levels(&other.blocks.levels);
        let plots = self.plots.take_levels(&other.plots.levels);
        let sources = self.sources.take_levels(&other.sources.levels);
        let mut latest: Option<(u32, u32, Role)> = None;
        for at in 0..other.len() {
            let (of, occasion) = (other.of[at], other.occasions.codes[at]);
            let (Some(trial), Some(key)) = (trials[of as usize], keys[of as usize]) else {
                continue;
            };
            let role = match latest {
                Some((t, o, role)) if t == of && o == occasion => role,
                _ => role(key, other.occasions.levels.name(occasion)),
            };
            latest = Some((of, occasion, role));
            self.of.push(trial);
            self.roles.push(role);
            self.occasions.codes.push(occasions[occasion as usize]);
            self.treatments
                .codes
                .push(treatments[other.treatments.codes[at] as usize]);
            self.blocks
                .codes
                .push(blocks[other.blocks.codes[at] as usize]);
            self.plots.codes.push(plots[other.plots.codes[at] as usize]);
            self.sources
                .codes
                .push(sources[other.sources.codes[at] as usize]);
            self.counts.push(other.counts[at]);
            self.areas.push(other.areas[at]);
            self.lines.push(other.lines[at]);
        }
    }

    /// Positions of all rows, trial by trial in the order of their keys, and within a trial as they came.
    #[must_use]
    pub fn by_trial(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.trials.len()).collect();
        let keys: Vec<&TrialKey> = self.trials.iter().collect();
        order.sort_by_key(|at| keys[*at]);
        let mut rank = vec![0; order.len()];
        for (place, &at) in order.iter().enumerate() {
            rank[at] = place;
        }
        let mut rows: Vec<usize> = (0..self.len()).collect();
        rows.sort_by_key(|row| rank[self.of[*row] as usize]);
        rows
    }
}
