//! Gathered effects to one answer for each method.

use std::collections::BTreeSet;

use halfgreen_analysis::comparison::{Call, Question, Relevance};
use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, Pooled, pool};
use halfgreen_analysis::results::Interval;

use super::answer::{Association, MethodAnswer, Pooling, TrialRow};
use super::empty_arms::EmptyArms;
use super::leave_one_out::without_each;
use super::methods::{Method, methods};
use super::moderators::moderators;
use super::network::network;
use super::next_club::NextClub;
use super::small_studies::SmallStudies;
use super::wording::sentence;
use super::{Gathered, TrialEffect};
use crate::text::spelling::number;
use crate::{Error, Warning};

/// What is asked of the trials together.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Code of the method to tell of first; that of most trials if not given.
    pub treatment: Option<String>,
    /// Accepted chance of a false claim, over all methods together.
    pub alpha: f64,
    /// Smallest change worth having, per cent.
    pub worthwhile_percent: f64,
    /// What effects are held against.
    pub moderators: Vec<String>,
    /// How they are pooled; the level follows from `alpha`.
    pub options: PoolOptions,
}

/// Pools every method by itself.
///
/// # Errors
/// No trial that can be pooled, a method that no trial tried, effects that cannot be weighed.
pub fn associate(
    gathered: &Gathered,
    asked: &Asked,
    anonymised: bool,
) -> Result<(Association, Vec<Warning>), Error> {
    let (methods, mut warnings) = methods(&gathered.effects);
    let Some(first) = methods.first() else {
        return Err(nothing(gathered));
    };
    let first = match &asked.treatment {
        None => first,
        Some(code) => named(&methods, code)?,
    };
    let family = methods.len();
    let answered = methods
        .iter()
        .map(|method| answer(method, asked, family).map(|a| (std::ptr::eq(method, first), a)));
    let answered: Vec<(bool, MethodAnswer)> = answered.collect::<Result<_, Error>>()?;
    let (main, others): (Vec<_>, Vec<_>) = answered.into_iter().partition(|(main, _)| *main);
    let Some((_, answer)) = main.into_iter().next() else {
        return Err(nothing(gathered));
    };
    warnings.extend(gathered.warnings.iter().cloned());
    if family > 1 {
        warnings.push(Warning {
            code: "several-methods",
            message: format!(
                "{} are pooled, each by itself; limits and verdicts hold for all of them together (Bonferroni)",
                number(family, "method")
            ),
            place: None,
        });
    }
    let found = Association {
        answer,
        methods: others.into_iter().map(|(_, method)| method).collect(),
        network: network(&methods, &asked.options, asked.alpha),
        alpha: asked.alpha,
        worthwhile_percent: asked.worthwhile_percent,
        anonymised,
        left_out_number: gathered.left_out.len(),
        left_out: gathered.left_out.clone(),
    };
    Ok((found, warnings))
}

fn nothing(gathered: &Gathered) -> Error {
    let mut whys = gathered.left_out.iter();
    let first = whys.next().map_or(String::new(), |left| {
        format!(
            " The first that was left out: {}: {}",
            left.place, left.reason
        )
    });
    Error::new(
        "the trials",
        "none of them can be pooled",
        format!("Mend what is wrong with them, or name others.{first}"),
    )
}

/// The method of a code.
fn named<'m, 'e>(methods: &'m [Method<'e>], code: &str) -> Result<&'m Method<'e>, Error> {
    let same = |m: &&Method<'_>| m.code.to_lowercase() == code.trim().to_lowercase();
    methods.iter().find(same).ok_or_else(|| {
        let codes: Vec<&str> = methods.iter().map(|m| m.code.as_str()).collect();
        let what = format!("no trial that can be pooled has a method {code}");
        let cure = format!("There are: {}.", codes.join(", "));
        Error::in_field("treatment", what, cure)
    })
}

/// A trial's effect for the pool; nothing where an arm is empty.
pub(super) fn effect_of(trial: &TrialEffect) -> Option<Effect> {
    Some(Effect {
        estimate: trial.effect?,
        standard_error: trial.se?,
        degrees_of_freedom: trial.degrees_of_freedom,
    })
}

/// The answer for one of so many methods.
fn answer(method: &Method<'_>, asked: &Asked, family: usize) -> Result<MethodAnswer, Error> {
    let question = Question {
        alpha: asked.alpha,
        better: method.better,
        worthwhile_ratio: method.better.ratio_by(asked.worthwhile_percent / 100.0),
    };
    let options = PoolOptions {
        level: 1.0 - asked.alpha / family as f64,
        ..asked.options
    };
    let (trials, effects): (Vec<&TrialEffect>, Vec<Effect>) = (method.effects.iter())
        .filter_map(|trial| Some((*trial, effect_of(trial)?)))
        .unzip();
    let pooled = if effects.is_empty() {
        None
    } else {
        Some(pool(&effects, &options)?)
    };
    let clubs: BTreeSet<&str> = trials.iter().map(|t| t.club.as_str()).collect();
    let (call, relevance) = pooled
        .as_ref()
        .map_or((Call::CannotTell, Relevance::Undecided), |p| {
            judged(p, &question)
        });
    let number = |get: fn(&Pooled) -> f64| pooled.as_ref().map(get).filter(|x| x.is_finite());
    let mut answer = MethodAnswer {
        treatment: method.code.clone(),
        name: method.name.clone(),
        kind: method.kind.clone(),
        counted: counted(method),
        better: method.better,
        clubs: clubs.len(),
        effect: number(|p| p.effect),
        se: number(|p| p.standard_error),
        low: number(|p| p.low),
        high: number(|p| p.high),
        ratio: number(|p| p.effect.exp()),
        ratio_low: number(|p| p.low.exp()),
        ratio_high: number(|p| p.high.exp()),
        confidence_level: options.level,
        p: number(|p| p.p),
        p_adjusted: number(|p| p.p).map(|p| (p * family as f64).min(1.0)),
        df: pooled.as_ref().and_then(|p| p.degrees_of_freedom),
        tau2: number(|p| p.tau2),
        tau2_low: number(|p| p.tau2_low),
        tau2_high: number(|p| p.tau2_high),
        i2: number(|p| p.i2),
        q: number(|p| p.q),
        q_df: pooled.as_ref().map(|p| p.q_df),
        q_p: number(|p| p.q_p),
        prediction_low: pooled.as_ref().and_then(|p| p.prediction_low),
        prediction_high: pooled.as_ref().and_then(|p| p.prediction_high),
        trials: rows(method, pooled.as_ref()),
        method: Pooling {
            between: options.between,
            interval: options.interval,
            hartung_knapp_factor: pooled.as_ref().and_then(|p| p.hartung_knapp_factor),
        },
        call,
        relevance,
        sentence: String::new(),
        next_club: pooled.as_ref().and_then(|p| NextClub::of(p, &question)),
        leave_one_out: match &pooled {
            Some(p) => without_each(&trials, &effects, &p.weights, &options, &question)?,
            None => Vec::new(),
        },
        empty_arms: EmptyArms::of(&method.effects, &options)?,
        small_studies: SmallStudies::of(&trials, &effects, &options),
        moderators: moderators(&trials, &effects, &asked.moderators, &options),
        cautions: cautions(method, pooled.as_ref(), clubs.len()),
    };
    answer.sentence = sentence(&answer, &question);
    Ok(answer)
}

/// The call by the pooled interval, by the rules that every trial is judged by.
pub(super) fn judged(pooled: &Pooled, question: &Question) -> (Call, Relevance) {
    let interval = Interval {
        low: pooled.low.exp(),
        high: pooled.high.exp(),
        level: pooled.level,
    };
    let relevance = question.relevance(&interval);
    let found = interval.low > 1.0 || interval.high < 1.0;
    (
        question.call(found, pooled.effect.exp(), relevance),
        relevance,
    )
}

/// What was counted, where all trials call it the same.
fn counted(method: &Method<'_>) -> String {
    let names: BTreeSet<&str> = (method.effects.iter())
        .filter_map(|e| e.counted.as_deref())
        .collect();
    match names.first() {
        Some(only) if names.len() == 1 => (*only).to_owned(),
        _ => "animals".to_owned(),
    }
}

/// Every trial, pooled or not.
fn rows(method: &Method<'_>, pooled: Option<&Pooled>) -> Vec<TrialRow> {
    let mut weights = pooled.into_iter().flat_map(|p| p.weights.iter().copied());
    let row = |t: &&TrialEffect| TrialRow {
        trial: t.trial.clone(),
        club: t.club.clone(),
        season: t.season,
        effect: t.effect,
        se: t.se,
        df: t.degrees_of_freedom,
        ratio_low: t.low,
        ratio_high: t.high,
        weight: effect_of(t).and_then(|_| weights.next()),
        treated_count: t.treated_count,
        control_count: t.control_count,
        zero_arm: t.zero_arm,
        call: t.call,
        source: t.source.clone(),
    };
    method.effects.iter().map(row).collect()
}

/// What the reader should know of the figures.
fn cautions(method: &Method<'_>, pooled: Option<&Pooled>, clubs: usize) -> Vec<String> {
    let mut all: Vec<String> = pooled
        .into_iter()
        .flat_map(|p| p.cautions.iter().map(|c| c.message.clone()))
        .collect();
    let named: BTreeSet<&str> = (method.effects.iter())
        .filter_map(|e| e.counted.as_deref())
        .collect();
    if named.len() > 1 {
        let named: Vec<&str> = named.into_iter().collect();
        all.push(format!(
            "trials counted different things ({}): a ratio compares them only if the method acts on all alike",
            named.join("; ")
        ));
    }
    let pooled_trials = pooled.map_or(0, |p| p.weights.len());
    if clubs < pooled_trials {
        all.push(format!(
            "{pooled_trials} trials come from {clubs} clubs: trials of one club are likely more alike than the answer reckons with, so that its \
             interval may be too narrow"
        ));
    }
    let without = method.effects.iter().filter(|e| effect_of(e).is_none());
    let (empty, unsure): (Vec<&TrialEffect>, Vec<&TrialEffect>) =
        without.copied().partition(|e| e.zero_arm);
    let have = |n: usize| if n == 1 { "has" } else { "have" };
    if !empty.is_empty() {
        let (trials, has) = (number(empty.len(), "trial"), have(empty.len()));
        all.push(format!(
            "{trials} with nothing found under the method or the control {has} no log ratio, and no weight in the average; where the \
             method wipes out, that leaves its best trials out"
        ));
    }
    if !unsure.is_empty() {
        let it_has = if unsure.len() == 1 {
            "it has"
        } else {
            "they have"
        };
        all.push(format!(
            "in {} so little was found, or plots differ so much, that nothing bounds the ratio: {it_has} no weight in the average",
            number(unsure.len(), "trial")
        ));
    }
    all
}
