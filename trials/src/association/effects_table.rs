//! A table of effects, a line for each method of each trial: read, and written so that it reads back the same.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::Value;

use super::TrialEffect;
use super::effects_line::EffectsLine;
use crate::Error;
use crate::table::{Complaint, Problem, RawTable, Rule};
use crate::text::table_cells::written;

/// What the cells of a column are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EffectCells {
    /// Names, though some may look like numbers.
    Names,
    /// Numbers.
    Numbers,
    /// Whole numbers, which may be large.
    Whole,
}

/// Columns of a table that is written, in their order, with what is in them; the source and what trials are told apart by follow.
pub const EFFECT_COLUMNS: [(&str, EffectCells); 25] = {
    use EffectCells::{Names, Numbers, Whole};
    [
        ("trial", Names),
        ("club", Names),
        ("season", Whole),
        ("treatment", Names),
        ("name", Names),
        ("kind", Names),
        ("control", Names),
        ("counted", Names),
        ("better", Names),
        ("effect", Numbers),
        ("se", Numbers),
        ("df", Numbers),
        ("low", Numbers),
        ("high", Numbers),
        ("plots", Numbers),
        ("blocks", Numbers),
        ("treated_plots", Numbers),
        ("control_plots", Numbers),
        ("treated_count", Whole),
        ("control_count", Whole),
        ("treated_exposure", Numbers),
        ("control_exposure", Numbers),
        ("k", Numbers),
        ("call", Names),
        ("digest", Names),
    ]
};

/// The column behind them.
const SOURCE: &str = "source";

/// A column that people write and nobody else.
const RATIO: &str = "ratio";

/// Whether a heading means the same in every table of effects; all others are what trials may be told apart by.
pub(super) fn is_known(heading: &str) -> bool {
    let heading = heading.to_lowercase();
    [SOURCE, RATIO].contains(&heading.as_str())
        || EFFECT_COLUMNS.iter().any(|(name, _)| *name == heading)
}

/// A trial, or a line of a table, that no answer can be had from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// Where it stands: a folder, a file with line and column.
    pub place: String,
    /// What is wrong with it.
    pub reason: String,
}

impl From<Error> for LeftOut {
    fn from(fault: Error) -> Self {
        Self {
            place: fault.place,
            reason: format!("{}. {}", fault.what, fault.cure),
        }
    }
}

/// What a table of effects holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReadEffects {
    /// A method of a trial for each line that can be used, in the order of the file.
    pub effects: Vec<TrialEffect>,
    /// The other lines.
    pub left_out: Vec<LeftOut>,
}

/// Reads a table of effects; `file` is its name in complaints. Needed are `trial` and either `effect` and `se` (natural logarithms
/// of the ratio of means) or `ratio`, `low` and `high` (95 per cent limits). A line without a standard error
/// is taken where it has the counts of both arms, a line without an effect where one of them is nought.
///
/// # Errors
/// A text that is no table, or one without these columns. A line that cannot be used stops no other.
pub fn read_effects(file: &str, text: &str) -> Result<ReadEffects, Vec<Problem>> {
    let table = RawTable::read(file, text)?;
    table.required("trial").map_err(|p| vec![p])?;
    let has = |name: &str| table.position(name).is_some();
    if !(has("effect") && has("se") || has("ratio") && has("low") && has("high")) {
        let headings: Vec<&str> = table.header.iter().map(|h| h.text.as_str()).collect();
        let missing = Complaint::new(
            "there is neither `effect` with `se` nor `ratio` with `low` and `high`",
            format!(
                "Name the columns so; the headings here are {}. A table of counts is read with --count, --treatment and \
                 --control.",
                headings.join(", ")
            ),
        );
        let heading = table.header.first();
        return Err(vec![Problem::new(
            file,
            heading,
            Rule::MissingColumn,
            missing,
        )]);
    }
    let mut found = ReadEffects::default();
    for row in &table.rows {
        match EffectsLine::new(&table, row).effect() {
            Ok(effect) => found.effects.push(effect),
            Err(fault) => found.left_out.push(fault.into()),
        }
    }
    Ok(found)
}

/// The effects as a table that [`read_effects`] reads, and with it the source of each.
///
/// # Errors
/// Only where memory ends.
pub fn write_effects(effects: &[TrialEffect]) -> Result<String, Error> {
    let names: BTreeSet<&String> = effects.iter().flat_map(|e| e.moderators.keys()).collect();
    let columns = || EFFECT_COLUMNS.iter().map(|(name, _)| *name).chain([SOURCE]);
    let heads = columns();
    let heads: Vec<String> = (heads.chain(names.iter().map(|n| n.as_str())))
        .map(|head| written(head).into_owned())
        .collect();
    let mut writer = csv::Writer::from_writer(Vec::new());
    let unwritable = |what: String| Error::new("effects.csv", what, "Try again.");
    writer
        .write_record(&heads)
        .map_err(|e| unwritable(e.to_string()))?;
    for effect in effects {
        let row = serde_json::to_value(effect).map_err(|e| unwritable(e.to_string()))?;
        let known = columns().map(|name| {
            let key = if name == "df" {
                "degrees_of_freedom"
            } else {
                name
            };
            cell(&row[key])
        });
        let others = (names.iter()).map(|name| {
            let value = effect.moderators.get(*name).map_or("", String::as_str);
            written(value).into_owned()
        });
        writer
            .write_record(known.chain(others))
            .map_err(|e| unwritable(e.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|e| unwritable(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| unwritable(e.to_string()))
}

/// A value as a cell.
fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => written(text).into_owned(),
        other => other.to_string(),
    }
}
