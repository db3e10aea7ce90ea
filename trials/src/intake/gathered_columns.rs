//! Columns that are taken in part by part, so that a table may be larger than what is kept of it.

use std::collections::BTreeMap;

use super::Labels;
use crate::ranges::Range;
use crate::ranges::tables::NAMES;
use crate::table::{Cell, Complaint, Problem, Problems, RawTable, Rule};
use crate::text::names::{NAME, fault};

/// Where a column stands, and what is wrong with its cells.
#[derive(Debug)]
struct Column {
    name: String,
    /// Its position, once a part was seen that has it.
    at: Option<usize>,
    faults: Problems,
}

impl Column {
    fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            at: None,
            faults: Problems::default(),
        }
    }

    /// Its position; a column that is not there is one fault, however many parts there are.
    fn position(&mut self, part: &RawTable) -> Option<usize> {
        if self.at.is_none() && !self.faults.any_error() {
            match part.required(&self.name) {
                Ok(at) => self.at = Some(at),
                Err(absent) => self.faults.push(absent),
            }
        }
        self.at
    }
}

/// A column of values that are taken from each cell by itself.
#[derive(Debug)]
pub(crate) struct Values<T> {
    column: Column,
    values: Vec<T>,
}

impl<T> Values<T> {
    /// A column under this heading.
    pub(crate) fn of(name: &str) -> Self {
        Self {
            column: Column::new(name),
            values: Vec::new(),
        }
    }

    /// Takes in the cells of a part.
    fn take(&mut self, part: &RawTable, read: impl Fn(&Cell) -> Result<T, Problem>) {
        let Some(at) = self.column.position(part) else {
            return;
        };
        self.values.reserve(part.rows.len());
        for row in &part.rows {
            match read(&row[at]) {
                Ok(value) => self.values.push(value),
                Err(problem) => self.column.faults.push(problem),
            }
        }
    }

    /// What was taken in since this was last asked.
    pub(crate) fn taken(&mut self) -> Vec<T> {
        std::mem::take(&mut self.values)
    }

    /// All values.
    ///
    /// # Errors
    /// A missing column, or every cell that holds no such value.
    pub(crate) fn whole(self) -> Result<Vec<T>, Vec<Problem>> {
        sound(self.values, self.column.faults)
    }
}

impl Values<Option<u64>> {
    /// Takes in counts; blank ones are nothing.
    pub(crate) fn take_counts(&mut self, part: &RawTable) {
        self.take(part, |cell| part.count_in(cell));
    }
}

impl Values<f64> {
    /// Takes in numbers of a range.
    pub(crate) fn take_numbers(&mut self, part: &RawTable, range: &Range) {
        let name = self.column.name.clone();
        self.take(part, |cell| part.number_of(cell, &name, range));
    }
}

/// A column of names.
#[derive(Debug)]
pub(crate) struct Names {
    column: Column,
    levels: Vec<String>,
    /// The first cell of each level.
    firsts: Vec<Cell>,
    codes: Vec<usize>,
    places: BTreeMap<String, usize>,
    /// Level of the row before: lines of one plot or place mostly follow one another.
    latest: Option<usize>,
}

/// Names that were found, with the first cell of each level.
#[derive(Debug)]
pub(crate) struct Named {
    /// Levels and codes.
    pub(crate) labels: Labels,
    /// Where each level first stands.
    pub(crate) firsts: Vec<Cell>,
}

impl Names {
    /// A column under this heading.
    pub(crate) fn of(name: &str) -> Self {
        Self {
            column: Column::new(name),
            levels: Vec::new(),
            firsts: Vec::new(),
            codes: Vec::new(),
            places: BTreeMap::new(),
            latest: None,
        }
    }

    /// Takes in the names of a part.
    pub(crate) fn take(&mut self, part: &RawTable) {
        let Some(at) = self.column.position(part) else {
            return;
        };
        self.codes.reserve(part.rows.len());
        for row in &part.rows {
            let cell = &row[at];
            let again = self.latest.filter(|&code| self.levels[code] == cell.text);
            let known = again.or_else(|| self.places.get(&cell.text).copied());
            self.latest = known.or_else(|| self.meet(part, cell));
            self.codes.extend(self.latest);
        }
    }

    /// A name that was not met before, as a level of its own; nothing where it cannot be one.
    fn meet(&mut self, part: &RawTable, cell: &Cell) -> Option<usize> {
        let code = self.levels.len();
        if let Err(problem) = name_in(part, cell, &self.column.name) {
            self.column.faults.push(problem);
            return None;
        }
        if !NAMES.holds_whole(code as u64 + 1) {
            let what = NAMES.fault(&format!("more than {code} different names"));
            let many = Complaint::new(what, "Part the table, or name another column.");
            let rule = Rule::ImpossibleNumber;
            self.column
                .faults
                .push(Problem::new(&part.file, Some(cell), rule, many));
            return None;
        }
        self.levels.push(cell.text.clone());
        self.firsts.push(cell.clone());
        self.places.insert(cell.text.clone(), code);
        Some(code)
    }

    /// Codes that were taken in since this was last asked.
    pub(crate) fn taken(&mut self) -> Vec<usize> {
        std::mem::take(&mut self.codes)
    }

    /// All names.
    ///
    /// # Errors
    /// A missing column, every cell that is blank or no name, too many of them, or names that nobody can tell apart.
    pub(crate) fn whole(self, file: &str) -> Result<Named, Vec<Problem>> {
        let Self {
            column,
            levels,
            firsts,
            codes,
            ..
        } = self;
        let named = Named {
            labels: Labels { levels, codes },
            firsts,
        };
        let named = sound(named, column.faults)?;
        told_apart(file, &named)?;
        Ok(named)
    }
}

/// A value, unless there are faults.
fn sound<T>(value: T, faults: Problems) -> Result<T, Vec<Problem>> {
    let faults = faults.into_list();
    if faults.is_empty() {
        Ok(value)
    } else {
        Err(faults)
    }
}

/// Whether a cell holds a name.
fn name_in(part: &RawTable, cell: &Cell, name: &str) -> Result<(), Problem> {
    if cell.text.is_empty() {
        let blank = Complaint::new(format!("`{name}` is blank"), "Fill it in on every line.");
        return Err(Problem::new(&part.file, Some(cell), Rule::BlankCell, blank));
    }
    match fault(&cell.text, NAME) {
        None => Ok(()),
        Some((what, cure)) => {
            let unfit = Complaint::new(format!("`{name}`: {what}"), cure);
            let rule = Rule::BrokenLine;
            Err(Problem::new(&part.file, Some(cell), rule, unfit))
        }
    }
}

/// Refuses names that look the same.
fn told_apart(file: &str, named: &Named) -> Result<(), Vec<Problem>> {
    let mut met: BTreeMap<String, &Cell> = BTreeMap::new();
    for (name, cell) in named.labels.levels.iter().zip(&named.firsts) {
        let Some(first) = met.insert(seen(name), cell) else {
            continue;
        };
        let alike = Complaint::new(
            format!(
                "\"{}\" looks like the name on line {}, and holds other signs that nobody sees",
                seen(name),
                first.line
            ),
            "Type it anew on both lines.",
        );
        let rule = Rule::ImpossibleNumber;
        return Err(vec![Problem::new(file, Some(cell), rule, alike)]);
    }
    Ok(())
}

/// A name without what nobody sees: signs of no width, and marks of direction.
fn seen(name: &str) -> String {
    let unseen = |c: &char| matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
    name.chars().filter(|c| !unseen(c)).collect()
}
