//! What the trial was for: is it worth the labour on all greens, and what would change the answer?

use halfgreen_analysis::comparison::Call;
use serde::Serialize;

use super::effect::Effect;
use super::file::SeasonFile;
use super::options::{Known, OptionRow, What};
use crate::text::money::{gain, money, range};
use crate::text::rounding::percent;

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// It brings more than it costs, over all of its interval.
    Pays,
    /// It costs more than it brings, over all of its interval.
    DoesNotPay,
    /// The interval holds both.
    Undecided,
    /// The user's own figure of worth, or a price, is missing.
    FigureMissing,
    /// The trial could not tell: buying now is a risk.
    CannotTell,
    /// The method did worse, or too little to matter.
    DoNotBuy,
}

/// What buying risks before a trial can tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Risk {
    /// Money spent on the plan, and on sheet that is missing for it; null without prices.
    pub money: Option<f64>,
    /// Confidence that nothing is removed for it; null where it cannot be had.
    pub chance_of_nothing: Option<f64>,
    /// What that rests on.
    pub basis: &'static str,
    /// In words.
    pub sentence: String,
}

/// The answer and what stands with it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// The answer.
    pub answer: Answer,
    /// In words.
    pub sentences: Vec<String>,
    /// What buying risks; null where the trial told.
    pub risk: Option<Risk>,
    /// Figures that are missing for a full answer, as keys of the file.
    pub missing: Vec<&'static str>,
}

/// The option that the question is about: sheets on all greens, which is the plan where the plan reaches all.
pub(super) fn on_all(options: &[OptionRow]) -> Option<&OptionRow> {
    let of = |what: What| options.iter().find(move |o| o.what == what);
    of(What::AllGreens).or_else(|| of(What::Plan))
}

/// The answer from the options.
pub(super) fn advice(known: &Known<'_>, options: &[OptionRow], buying: Option<f64>) -> Advice {
    let missing = missing(known.file);
    let mut sentences = vec![told(known.effect)];
    let call = known.effect.call;
    if matches!(call, Call::DidWorse | Call::TooSmallToMatter) {
        sentences.push("Do not buy sheet for it, and do not spend nights on it.".to_owned());
        return Advice {
            answer: Answer::DoNotBuy,
            sentences,
            risk: None,
            missing,
        };
    }
    let risk = (call == Call::CannotTell).then(|| risk(known, options, buying));
    sentences.extend(risk.iter().map(|r| r.sentence.clone()));
    let all = on_all(options);
    let net = all.and_then(|o| o.net);
    let answer = match (call, net) {
        (Call::CannotTell, _) => Answer::CannotTell,
        (_, None) => Answer::FigureMissing,
        (_, Some(net)) if net.low.is_some_and(|x| x > 0.0) => Answer::Pays,
        (_, Some(net)) if net.high.is_some_and(|x| x < 0.0) => Answer::DoesNotPay,
        (_, Some(_)) => Answer::Undecided,
    };
    if let Some(all) = all {
        sentences.extend(worth_it(known.file, all, answer));
        sentences.extend(plan_by_itself(known.file, options, all));
        sentences.extend(budget(known.file, all));
    }
    if !missing.is_empty() {
        sentences.push(format!(
            "Missing for a full answer: {}. Nothing is put in their place.",
            missing.join(", ")
        ));
    }
    Advice {
        answer,
        sentences,
        risk,
        missing,
    }
}

/// The verdict of the trial, or what the typed interval says.
fn told(effect: &Effect) -> String {
    if !effect.sentence.is_empty() {
        return effect.sentence.clone();
    }
    let what = match effect.call {
        Call::BeatTheControl => "beats doing nothing",
        Call::DidWorse => "does worse than doing nothing",
        Call::TooSmallToMatter => "does too little to matter",
        Call::CannotTell => "may do nothing: its interval cannot tell",
    };
    format!(
        "By the ratio as typed, {} {what} ({} left, likely between {} and {}).",
        effect.method,
        percent(effect.ratio.estimate),
        percent(effect.ratio.low),
        percent(effect.ratio.high)
    )
}

/// What the answer rests on, in money.
fn worth_it(file: &SeasonFile, all: &OptionRow, answer: Answer) -> Option<String> {
    let currency = &file.currency;
    let cost = money(all.costs.total?, currency);
    let net = all.net;
    let span = net
        .map(|n| gain(n.low, n.high, currency))
        .unwrap_or_default();
    let name = &all.name;
    Some(match answer {
        Answer::Pays => format!(
            "It is worth the labour: {name} cost {cost}, and bring {span} more than that by your own figure."
        ),
        Answer::DoesNotPay => format!(
            "It is not worth the labour: {name} cost {cost}; what they bring less their cost is {span} by your own figure."
        ),
        Answer::Undecided => format!(
            "Whether it is worth the labour cannot be told: {name} cost {cost}; what they bring less their cost is {span} by your own figure."
        ),
        Answer::CannotTell if net.is_some() => format!(
            "If it works as found, {name} cost {cost}; what they bring less their cost is {span} by your own figure."
        ),
        _ => format!(
            "{} {name} cost {cost}; for each 1 000 larvae removed {}.",
            if all.costs.total == Some(0.0) {
                "Nothing has a price here:"
            } else {
                "Whether that is worth it only you can say:"
            },
            range(all.cost_per_1000.low, all.cost_per_1000.high, currency)
        ),
    })
}

/// Whether the plan pays by itself, where it is less than all greens.
fn plan_by_itself(file: &SeasonFile, options: &[OptionRow], all: &OptionRow) -> Option<String> {
    let plan = options
        .iter()
        .find(|o| o.what == What::Plan && o.name != all.name && o.area_m2 > 0.0)?;
    let (cost, net) = (plan.costs.total?, plan.net?);
    let what = match (net.low, net.high) {
        (Some(low), _) if low > 0.0 => "pay by themselves",
        (_, Some(high)) if high < 0.0 => "do not pay by themselves",
        _ => "may pay by themselves or not",
    };
    Some(format!(
        "Sheets as planned, on the greens with most larvae, cost {} and {what}: what they bring less their cost is {}.",
        money(cost, &file.currency),
        gain(net.low, net.high, &file.currency)
    ))
}

fn budget(file: &SeasonFile, all: &OptionRow) -> Option<String> {
    let (budget, cost) = (file.worth.budget?, all.costs.total?);
    let (spare, currency) = (budget - cost, &file.currency);
    let what = if spare >= 0.0 {
        format!("leaves {}", money(spare, currency))
    } else {
        format!("is {} too little", money(-spare, currency))
    };
    Some(format!(
        "Your budget of {} {what} for {}.",
        money(budget, currency),
        all.name
    ))
}

fn risk(known: &Known<'_>, options: &[OptionRow], buying: Option<f64>) -> Risk {
    let plan = options.iter().find(|o| o.what == What::Plan);
    let spent = plan
        .and_then(|o| o.costs.total)
        .map(|cost| cost + buying.unwrap_or(0.0));
    let chance = known.effect.chance_of_nothing;
    let spent_words = spent.map_or("money and nights".to_owned(), |m| {
        money(m, &known.file.currency)
    });
    let chance_words = chance.map_or("a chance that these counts do not give".to_owned(), |c| {
        format!("a chance of about {}", percent(c))
    });
    Risk {
        money: spent,
        chance_of_nothing: chance,
        basis: known.effect.chance_basis,
        sentence: format!(
            "Buying now risks {spent_words} for nothing, with {chance_words}: {}.",
            known.effect.chance_basis
        ),
    }
}

/// Keys without which something is left open.
fn missing(file: &SeasonFile) -> Vec<&'static str> {
    let worth = file.worth.per_1000_larvae.or(file.worth.per_green);
    [
        ("[cost] person_hour", file.person_hour.is_none()),
        ("[sheet] price_per_m2", file.sheet.price_per_m2.is_none()),
        ("[sheet] life_nights", file.sheet.life_nights.is_none()),
        ("[worth] per_1000_larvae or per_green", worth.is_none()),
    ]
    .into_iter()
    .filter_map(|(key, absent)| absent.then_some(key))
    .collect()
}
