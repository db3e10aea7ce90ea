//! Greens, or blocks with several plots of a treatment: the effect on each, how far it differs between them, and the
//! verdict on the other of the two questions that can be asked of them.

use halfgreen_analysis::comparison::{
    Contrast, EffectSpread, GroupEffect, GroupEffects, compare, effects_by_group,
};
use serde::Serialize;

use super::judge::{contrast_row, settings};
use super::result::ContrastRow;
use super::tested_ratio::finite;
use super::wording::{stated_high, stated_low};
use crate::design::{ENOUGH, Grouping, VerdictAbout};
use crate::text::rounding::{Changes, figure, p_value};
use crate::trial_data::plot_table::{groups, table};
use crate::trial_data::{About, TrialData};
use crate::{Error, Warning};

/// A method against the control on one green, or in one block.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupRow {
    /// The green.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub green: Option<String>,
    /// The block.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub block: Option<String>,
    /// Method.
    pub treatment: String,
    /// Plots of the method, and of the control.
    pub plots: [usize; 2],
    /// What was counted in them.
    pub counted: [u64; 2],
    /// Ratio of mean counts; null where it is infinite or not defined.
    pub ratio: Option<f64>,
    /// Lower limit, for this green alone; null where there is none.
    pub low: Option<f64>,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
}

impl GroupRow {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        let name = self.green.as_ref().or(self.block.as_ref());
        name.map_or("", String::as_str)
    }
}

/// How far a method's effect differs between groups.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpreadRow {
    /// Method.
    pub treatment: String,
    /// Standard deviation of the log ratio between groups.
    pub sd: f64,
    /// Lower limit (Wald 1940).
    pub low: f64,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
    /// Mean square of treatment by group over that of plots.
    pub f: f64,
    /// Its degrees of freedom: between groups, and of plots.
    pub df: [usize; 2],
    /// p of F, were the effect the same everywhere.
    pub p: f64,
    /// The spread in plain words.
    pub sentence: String,
}

/// The same trial, asked the other question.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OtherReading {
    /// What it is about: "these-greens", "greens-like-these", or the same of blocks.
    pub about: String,
    /// Each method against the control.
    pub contrasts: Vec<ContrastRow>,
    /// Each method in plain words: what is likely, and no verdict, for a trial has one question.
    pub descriptions: Vec<String>,
    /// How to read them.
    pub sentence: String,
}

/// What the verdict is about, and what else can be said.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ByGroup {
    /// Greens or blocks.
    pub group: Grouping,
    /// What the verdict is about: "these-greens", "greens-like-these", or the same of blocks.
    pub about: String,
    /// Whether that is others like them.
    #[serde(skip)]
    pub like_these: bool,
    /// How many there are.
    pub groups: usize,
    /// Every method on every green, or in every block.
    #[serde(skip)]
    pub rows: Vec<GroupRow>,
    /// How far each method's effect differs between them; empty where no treatment has several plots on one.
    pub spread: Vec<SpreadRow>,
    /// The second analysis; null where nothing else can be asked.
    pub other: Option<OtherReading>,
    /// What the verdict is about and what cannot be known, in plain words.
    pub sentence: String,
}

/// Greens or blocks of a trial; `None` where they leave no choice. What cannot be worked out is a warning, never
/// a refusal of the whole.
pub(super) fn by_group(
    data: &TrialData,
    seed: u64,
    warnings: &mut Vec<Warning>,
) -> Option<ByGroup> {
    let about = data.about?;
    let factor = groups(data, about.grouping);
    let found = effects_by_group(&table(data), &factor, data.question.alpha);
    let found = found.unwrap_or_else(|refused| {
        let refused: Error = refused.into();
        warnings.push(Warning {
            code: "not-compared-by-group",
            message: format!("{}; {}", refused.what, refused.cure),
            place: None,
        });
        GroupEffects {
            effects: Vec::new(),
            spreads: Vec::new(),
        }
    });
    let spread: Vec<SpreadRow> = (found.spreads.iter())
        .map(|s| spread_row(data, about, s))
        .collect();
    if about.verdict == VerdictAbout::These {
        let differs = spread.iter().filter(|s| s.p <= data.question.alpha);
        warnings.extend(differs.map(|s| Warning {
            code: "effect-differs",
            message: format!(
                "the effect of {} differs from {one} to {one} by more than plots scatter ({}): the verdict is about these \
                 {}, and says nothing of others",
                data.name_of(&s.treatment),
                p_value(s.p),
                about.grouping.several(),
                one = about.grouping.one(),
            ),
            place: None,
        }));
    }
    Some(ByGroup {
        group: about.grouping,
        about: about.verdict.key(about.grouping),
        like_these: about.verdict == VerdictAbout::LikeThese,
        groups: factor.levels.len(),
        rows: (found.effects.iter())
            .map(|e| group_row(data, about.grouping, e))
            .collect(),
        sentence: sentence(about, factor.levels.len()),
        other: other(data, about, factor.levels.len(), seed),
        spread,
    })
}

/// What the verdict is about.
fn sentence(about: About, groups: usize) -> String {
    let (one, several) = (about.grouping.one(), about.grouping.several());
    match about.verdict {
        VerdictAbout::LikeThese => format!(
            "The verdict is about {several} like these {groups}: the error is how far the effect differs from {one} to {one}."
        ),
        VerdictAbout::These if groups < ENOUGH => format!(
            "The verdict is about these {several} and no others: what the method does on another {one} cannot be known from \
             {groups}."
        ),
        VerdictAbout::These => format!(
            "The verdict is about these {several} and no others: the error is how far plots scatter, whatever {one} they \
             lie on."
        ),
    }
}

/// A method in the second analysis.
fn described(data: &TrialData, place: &str, c: &Contrast) -> String {
    let alpha = data.question.alpha;
    let (low, high) = (Some(stated_low(c, alpha)), stated_high(c, alpha));
    let told = Changes::of(c.ratio, low, high).beside(data.question.worthwhile_ratio);
    let (method, counted) = (data.name_of(&c.treatment), &data.counted);
    let found = match c.ratio {
        None => return format!("{method}, {place}: no {counted} on either side."),
        Some(ratio) if ratio.is_infinite() => format!("{counted} under {method} alone"),
        Some(1.0) => format!("just as many {counted}"),
        Some(ratio) => format!("{} {counted}", told.change(ratio)),
    };
    format!(
        "{method}, {place}: {found}, likely between {}.",
        told.between(low, high)
    )
}

fn group_row(data: &TrialData, grouping: Grouping, effect: &GroupEffect) -> GroupRow {
    let here = |treatment: &str| {
        let plots = data.plots.iter().filter(|p| {
            let group = match grouping {
                Grouping::Green => &p.green,
                Grouping::Block => &p.block,
            };
            p.treatment == treatment && group.as_deref() == Some(effect.group.as_str())
        });
        plots.fold((0, 0), |(n, sum), p| (n + 1, sum + p.count))
    };
    let (method, control) = (here(&effect.treatment), here(&data.treatments[0]));
    let named = |of: Grouping| (of == grouping).then(|| effect.group.clone());
    GroupRow {
        green: named(Grouping::Green),
        block: named(Grouping::Block),
        treatment: effect.treatment.clone(),
        plots: [method.0, control.0],
        counted: [method.1, control.1],
        ratio: effect.ratio.and_then(finite),
        low: finite(effect.interval.low),
        high: finite(effect.interval.high),
    }
}

fn spread_row(data: &TrialData, about: About, spread: &EffectSpread) -> SpreadRow {
    let (one, method) = (about.grouping.one(), data.name_of(&spread.treatment));
    let high = finite(spread.interval.high);
    let most = high.map_or("no limit".to_owned(), |h| figure(h.exp()));
    let nothing_shown = figure(spread.sd.exp()) == figure(1.0);
    let sentence = if nothing_shown {
        let limit = match high {
            Some(h) if figure(h.exp()) == figure(1.0) => "at most by less than 1 %".to_owned(),
            Some(_) => format!("it may differ by a factor of up to {most} either way"),
            None => "these counts set no limit to it".to_owned(),
        };
        format!("It was not shown that the ratio of {method} differs from {one} to {one}: {limit}.")
    } else {
        format!(
            "From {one} to {one} the ratio of {method} differs by a factor of about {} either way (likely between {} and {most}).",
            figure(spread.sd.exp()),
            figure(spread.interval.low.exp()),
        )
    };
    SpreadRow {
        treatment: spread.treatment.clone(),
        sd: spread.sd,
        low: spread.interval.low,
        high,
        f: spread.f,
        df: [spread.df.0, spread.df.1],
        p: spread.p,
        sentence,
    }
}

/// The other question, asked of the same counts; `None` where no method can be compared so.
fn other(data: &TrialData, about: About, groups: usize, seed: u64) -> Option<OtherReading> {
    let verdict = about.verdict.other();
    let mut second = data.clone();
    second.about = Some(About { verdict, ..about });
    // Fixed for the first question; the other one has its own by the design.
    second.primary_test = None;
    let found = compare(&table(&second), &data.question, &settings(&second, seed)).ok()?;
    if found.df == 0 {
        return None;
    }
    let (one, place) = (about.grouping.one(), verdict.place(about.grouping));
    let sentence = match verdict {
        VerdictAbout::These => format!(
            "A second analysis, {place} alone: the error is how far plots scatter, whatever {one} they lie on. It does not \
             tell what to expect elsewhere, and the verdict stays the one above."
        ),
        VerdictAbout::LikeThese => format!(
            "A second analysis, {place}: the error is how far the effect differs between {groups} {}. The verdict stays the \
             one above.",
            about.grouping.several()
        ),
    };
    Some(OtherReading {
        about: verdict.key(about.grouping),
        contrasts: (found.contrasts.iter())
            .map(|c| contrast_row(&second, (found.primary_test, found.contrasts.len()), c))
            .collect(),
        descriptions: (found.contrasts.iter())
            .map(|c| described(data, &place, c))
            .collect(),
        sentence,
    })
}
