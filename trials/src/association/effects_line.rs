//! One line of a table of effects: its cells by their headings, each within its range.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Better, Call};
use halfgreen_analysis::distributions;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::TrialEffect;
use super::effects_table::is_known;
use crate::Error;
use crate::ranges::Range;
use crate::ranges::tables::{
    ARM_COUNT, ARM_EXPOSURE, ARM_K, EFFECT, EFFECT_DF, EFFECT_PLOTS, EFFECT_RATIO, EFFECT_SE, YEAR,
};
use crate::table::{Cell, RawTable};
use crate::text::names::{NAME, fault};
use crate::text::spelling::offer;

/// Level of limits that a table gives instead of standard errors.
const LEVEL: f64 = 0.95;

/// What a method and a control are called where the table does not say it.
const METHOD: &str = "method";
const CONTROL: &str = "control";

/// A line of a table of effects.
#[derive(Debug, Clone, Copy)]
pub(super) struct EffectsLine<'t> {
    table: &'t RawTable,
    row: &'t [Cell],
}

impl<'t> EffectsLine<'t> {
    pub(super) fn new(table: &'t RawTable, row: &'t [Cell]) -> Self {
        Self { table, row }
    }

    /// All that it says.
    pub(super) fn effect(self) -> Result<TrialEffect, Error> {
        let trial = self.name("trial")?.ok_or_else(|| {
            let place = self.place("trial");
            Error::new(place, "the trial has no name", "Give it one.")
        })?;
        let treatment = self.name("treatment")?.unwrap_or_else(|| METHOD.to_owned());
        let df = self.number("df", &EFFECT_DF)?;
        let limits = [
            self.number("low", &EFFECT_RATIO)?,
            self.number("high", &EFFECT_RATIO)?,
        ];
        let ratio = self.number("ratio", &EFFECT_RATIO)?;
        let written = self.number("effect", &EFFECT)?;
        let se = self.number("se", &EFFECT_SE)?;
        let treated_count = self.whole("treated_count", &ARM_COUNT)?;
        let control_count = self.whole("control_count", &ARM_COUNT)?;
        let effect = TrialEffect {
            club: self.name("club")?.unwrap_or_else(|| trial.clone()),
            season: self.season()?,
            name: self.name("name")?.unwrap_or_else(|| treatment.clone()),
            kind: self.name("kind")?,
            control: self.name("control")?.unwrap_or_else(|| CONTROL.to_owned()),
            counted: self.name("counted")?,
            better: self
                .word::<Better>("better", &["fewer", "more"])?
                .unwrap_or(Better::Fewer),
            effect: written.or_else(|| ratio.filter(|r| *r > 0.0).map(f64::ln)),
            se: match se {
                None => self.se_of_limits(limits, df)?,
                written => written,
            },
            degrees_of_freedom: df,
            low: limits[0],
            high: limits[1],
            plots: self.size("plots")?,
            blocks: self.size("blocks")?,
            treated_plots: self.size("treated_plots")?,
            control_plots: self.size("control_plots")?,
            treated_count,
            control_count,
            treated_exposure: self.number("treated_exposure", &ARM_EXPOSURE)?,
            control_exposure: self.number("control_exposure", &ARM_EXPOSURE)?,
            k: self.number("k", &ARM_K)?,
            zero_arm: treated_count == Some(0) || control_count == Some(0),
            call: self.word::<Call>("call", &CALLS)?,
            moderators: self.moderators(),
            source: self.name("source")?.unwrap_or_else(|| self.source()),
            digest: self.name("digest")?,
            trial,
            treatment,
        };
        let arms = effect.treated_count.is_some() && effect.control_count.is_some();
        let found = effect.effect.is_some();
        // Where nothing bounds the ratio there is no standard error, and the counts are what the trial says.
        if arms && (effect.zero_arm || found) || found && effect.se.is_some() {
            return Ok(effect);
        }
        Err(Error::new(
            self.source(),
            "the line has no effect with its standard error, and no arm in which nothing was found",
            "Write effect and se, or ratio with low and high; where an arm is empty, the counts of both arms.",
        ))
    }

    /// Standard error by the limits of the ratio.
    fn se_of_limits(self, limits: [Option<f64>; 2], df: Option<f64>) -> Result<Option<f64>, Error> {
        let [Some(low), Some(high)] = limits else {
            return Ok(None);
        };
        if low >= high {
            let what = format!("the lower limit {low} is not below the upper one {high}");
            return Err(Error::new(
                self.place("low"),
                what,
                "Correct the limits of the ratio.",
            ));
        }
        let upper_tail = 1.0 - (1.0 - LEVEL) / 2.0;
        let bound = match df {
            Some(df) => distributions::t_quantile(upper_tail, df),
            None => distributions::normal_quantile(upper_tail),
        };
        Ok((low > 0.0).then(|| (high / low).ln() / (2.0 * bound)))
    }

    /// `file:line`.
    fn source(self) -> String {
        let line = self.row.first().map_or(1, |cell| cell.line);
        format!("{}:{line}", self.table.file)
    }

    fn cell(self, name: &str) -> Option<&'t Cell> {
        self.row.get(self.table.position(name)?)
    }

    fn place(self, name: &str) -> String {
        self.cell(name)
            .map_or(self.source(), |cell| self.table.place(cell))
    }

    /// A name; nothing where the cell is blank.
    fn name(self, name: &str) -> Result<Option<String>, Error> {
        let Some(cell) = self.cell(name).filter(|c| !c.text.is_empty()) else {
            return Ok(None);
        };
        match fault(&cell.text, NAME) {
            Some((what, cure)) => Err(Error::new(self.table.place(cell), what, cure)),
            None => Ok(Some(cell.text.clone())),
        }
    }

    fn number(self, name: &str, range: &Range) -> Result<Option<f64>, Error> {
        let filled = self.cell(name).filter(|c| !c.text.is_empty());
        filled
            .map(|cell| self.table.number_within(cell, range))
            .transpose()
    }

    fn whole(self, name: &str, range: &Range) -> Result<Option<u64>, Error> {
        let Some(cell) = self.cell(name).filter(|c| !c.text.is_empty()) else {
            return Ok(None);
        };
        self.table.number_within(cell, range)?;
        let whole = cell.text.parse::<u64>().map(Some);
        whole.map_err(|_| {
            let what = format!("`{}` is no whole number", cell.text);
            Error::new(self.table.place(cell), what, "Write it as figures alone.")
        })
    }

    fn size(self, name: &str) -> Result<Option<usize>, Error> {
        let whole = self.whole(name, &EFFECT_PLOTS)?;
        Ok(whole.and_then(|n| usize::try_from(n).ok()))
    }

    fn season(self) -> Result<Option<i16>, Error> {
        let year = self.whole("season", &YEAR)?;
        Ok(year.and_then(|y| i16::try_from(y).ok()))
    }

    /// One of a few words, as values are written.
    fn word<T: DeserializeOwned>(self, name: &str, words: &[&str]) -> Result<Option<T>, Error> {
        let Some(cell) = self.cell(name).filter(|c| !c.text.is_empty()) else {
            return Ok(None);
        };
        serde_json::from_value(Value::from(cell.text.as_str()))
            .map(Some)
            .map_err(|_| {
                let what = format!(
                    "`{name}` cannot be `{}`; it is one of {}",
                    cell.text,
                    words.join(", ")
                );
                Error::new(self.table.place(cell), what, offer(&cell.text, words))
            })
    }

    /// What else the line says, by its headings.
    fn moderators(self) -> BTreeMap<String, String> {
        let headed = self.table.header.iter().zip(self.row);
        headed
            .filter(|(head, cell)| {
                !is_known(&head.text) && !head.text.is_empty() && !cell.text.is_empty()
            })
            .map(|(head, cell)| (head.text.clone(), cell.text.clone()))
            .collect()
    }
}

/// The four calls as they are written.
const CALLS: [&str; 4] = [
    "beat-the-control",
    "did-worse",
    "too-small-to-matter",
    "cannot-tell",
];
