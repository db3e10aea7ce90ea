//! What could be done, what it costs and removes: a partial budget.
//!
//! Only costs that differ between the options are counted, each beside what it removes; an option is dominated where another
//! removes as much for no more money (CIMMYT 1988, "From Agronomic Data to Farmer Recommendations", ch. 3-4: dominance and
//! marginal analysis; from memory).

use halfgreen_analysis::efficacy::{Bounded, Removed, removed};
use serde::Serialize;

use super::effect::Effect;
use super::file::{MethodAsked, SeasonFile};
use super::ground::{Green, hours, larvae_on, pieces};
use super::schedule::Schedule;
use crate::Error;

/// What money and hours something takes; a part is null where its price is missing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Costs {
    /// Person-hours.
    pub hours: f64,
    /// Of labour.
    pub labour: Option<f64>,
    /// Of the sheet's wear: price over life for each square metre and night.
    pub sheet: Option<f64>,
    /// Of other material.
    pub material: Option<f64>,
    /// All together.
    pub total: Option<f64>,
}

impl Costs {
    /// Of so many person-hours, square metres of sheet times nights, and material.
    #[must_use]
    pub fn of(file: &SeasonFile, hours: f64, sheet_m2_nights: f64, material: f64) -> Self {
        let labour = if hours == 0.0 {
            Some(0.0)
        } else {
            file.person_hour.map(|price| price * hours)
        };
        let wear = file.sheet.price_per_m2.zip(file.sheet.life_nights);
        let sheet = if sheet_m2_nights == 0.0 {
            Some(0.0)
        } else {
            wear.map(|(price, life)| sheet_m2_nights * price / life)
        };
        Self {
            hours,
            labour,
            sheet,
            material: Some(material),
            total: labour
                .zip(sheet)
                .map(|(labour, sheet)| labour + sheet + material),
        }
    }
}

/// A number with its limits, of which the upper one may be missing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limits {
    /// Best estimate; null where there is none.
    pub estimate: Option<f64>,
    /// Lower limit; null where there is none.
    pub low: Option<f64>,
    /// Upper limit; null where it cannot be bounded.
    pub high: Option<f64>,
}

impl Limits {
    /// Limits without those that are infinite.
    #[must_use]
    pub fn new(estimate: f64, low: f64, high: f64) -> Self {
        let finite = |x: f64| Some(x).filter(|x| x.is_finite());
        Self {
            estimate: finite(estimate),
            low: finite(low),
            high: finite(high),
        }
    }
}

impl From<Removed> for Limits {
    fn from(found: Removed) -> Self {
        Self::new(found.estimate, found.low, found.high)
    }
}

/// Which option.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Doing nothing.
    Nothing,
    /// Sheets on hot spots only.
    HotSpots,
    /// Sheets as planned.
    Plan,
    /// Sheets on all greens, however many nights it takes.
    AllGreens,
    /// Another method on all greens.
    Method,
}

/// An option.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OptionRow {
    /// Which.
    pub what: What,
    /// Its name for people.
    pub name: String,
    /// Ground that it treats, square metres.
    pub area_m2: f64,
    /// What it costs.
    pub costs: Costs,
    /// Larvae that it removes.
    pub removed: Limits,
    /// Cost of a thousand larvae removed.
    pub cost_per_1000: Limits,
    /// The option that removes as much for no more money; null where there is none.
    pub dominated_by: Option<String>,
    /// What each thousand removed beyond the next cheaper option that is not dominated costs; null where there is none.
    pub cost_per_further_1000: Option<f64>,
    /// What it brings less what it costs; null without the user's own figure.
    pub net: Option<Limits>,
}

/// Ground that an option treats: shares of greens, and what treating it takes.
struct Treated<'a> {
    parts: Vec<(&'a Green, f64)>,
    costs: Costs,
}

/// Everything that an option is reckoned from.
#[derive(Debug)]
pub(super) struct Known<'a> {
    /// What was asked.
    pub(super) file: &'a SeasonFile,
    /// The greens.
    pub(super) greens: &'a [Green],
    /// What a sheet leaves.
    pub(super) effect: &'a Effect,
    /// What the other methods leave, in the order of the file.
    pub(super) methods: &'a [Effect],
    /// Correlation of the trial's control with each ratio of that trial, the sheet's first; 0 where a ratio was typed.
    pub(super) correlations: &'a [f64],
}

/// All options, cheapest first; those without a price stand in the order of the file, last.
///
/// # Errors
/// Limits out of order, which the file's reader refuses before.
pub(super) fn options(known: &Known<'_>, schedule: &Schedule) -> Result<Vec<OptionRow>, Error> {
    let Known {
        file,
        effect,
        greens,
        ..
    } = known;
    let nothing = Treated {
        parts: Vec::new(),
        costs: Costs::of(file, 0.0, 0.0, 0.0),
    };
    let mut all = vec![row(
        known,
        What::Nothing,
        "doing nothing",
        &nothing,
        (*effect, 0.0),
    )?];
    let sheet = (*effect, known.correlations.first().copied().unwrap_or(0.0));
    if let Some(hot) = hot_spots(file, greens) {
        all.push(row(
            known,
            What::HotSpots,
            "sheets on hot spots only",
            &hot,
            sheet,
        )?);
    }
    let plan = planned(file, greens, schedule);
    all.push(row(known, What::Plan, "sheets as planned", &plan, sheet)?);
    if (0..greens.len()).any(|g| schedule.share(g) < 1.0)
        && let Some(whole) = all_greens(file, greens)
    {
        all.push(row(
            known,
            What::AllGreens,
            "sheets on all greens",
            &whole,
            sheet,
        )?);
    }
    for (at, (asked, effect)) in file.methods.iter().zip(known.methods).enumerate() {
        let correlation = known.correlations.get(at + 1).copied().unwrap_or(0.0);
        let treated = method(file, greens, asked);
        all.push(row(
            known,
            What::Method,
            &asked.name,
            &treated,
            (effect, correlation),
        )?);
    }
    let cost = |o: &OptionRow| o.costs.total.unwrap_or(f64::INFINITY);
    all.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
    dominance(&mut all);
    Ok(all)
}

/// Hot spots of the greens that have them; `None` where none has.
fn hot_spots<'a>(file: &SeasonFile, greens: &'a [Green]) -> Option<Treated<'a>> {
    let mut treated = Treated {
        parts: Vec::new(),
        costs: Costs::of(file, 0.0, 0.0, 0.0),
    };
    let (mut work, mut wear) = (0.0, 0.0);
    for green in greens {
        let Some(hot) = green.hot_spots else { continue };
        let cut = pieces(
            hot.area_m2 * (1.0 + file.sheet.extra),
            &file.sheet,
            &file.work,
            &file.nights,
        )?;
        work += cut.number as f64 * cut.hours;
        wear += cut.number as f64 * cut.sheet_m2;
        treated.parts.push((green, hot.share));
    }
    let each = file.nights_each as f64;
    treated.costs = Costs::of(file, each * work, each * wear, 0.0);
    (!treated.parts.is_empty()).then_some(treated)
}

/// The plan.
fn planned<'a>(file: &SeasonFile, greens: &'a [Green], schedule: &Schedule) -> Treated<'a> {
    let work = schedule.nights.iter().map(|n| n.hours).sum();
    let wear = schedule.nights.iter().map(|n| n.sheet_m2).sum();
    let parts = greens
        .iter()
        .enumerate()
        .map(|(at, green)| (green, schedule.share(at)));
    Treated {
        parts: parts.filter(|(_, share)| *share > 0.0).collect(),
        costs: Costs::of(file, work, wear, 0.0),
    }
}

/// All greens, whatever nights there are; `None` where people do not suffice for a piece of one.
fn all_greens<'a>(file: &SeasonFile, greens: &'a [Green]) -> Option<Treated<'a>> {
    let (mut work, mut wear) = (0.0, 0.0);
    for green in greens {
        let cut = pieces(green.sheet_m2, &file.sheet, &file.work, &file.nights)?;
        work += cut.number as f64 * hours(cut.sheet_m2, &file.work);
        wear += cut.number as f64 * cut.sheet_m2;
    }
    let each = file.nights_each as f64;
    Some(Treated {
        parts: greens.iter().map(|green| (green, 1.0)).collect(),
        costs: Costs::of(file, each * work, each * wear, 0.0),
    })
}

fn method<'a>(file: &SeasonFile, greens: &'a [Green], asked: &MethodAsked) -> Treated<'a> {
    let area: f64 = greens.iter().map(|g| g.area_m2).sum();
    Treated {
        parts: greens.iter().map(|green| (green, 1.0)).collect(),
        costs: Costs::of(
            file,
            asked.hours_per_100_m2 * area / 100.0,
            0.0,
            asked.cost_per_m2 * area,
        ),
    }
}

fn row(
    known: &Known<'_>,
    what: What,
    name: &str,
    treated: &Treated<'_>,
    (effect, correlation): (&Effect, f64),
) -> Result<OptionRow, Error> {
    let (number, correlation) = larvae_on(&treated.parts, correlation);
    let gone = removed(number, effect.ratio, correlation)?;
    let cost = treated.costs.total;
    let unit = cost
        .filter(|_| what != What::Nothing)
        .map(|cost| gone.unit_cost(1000.0 * cost));
    let net = benefit(known.file, &treated.parts, effect, gone)?
        .zip(cost)
        .map(|(gain, cost)| Limits::new(gain.estimate - cost, gain.low - cost, gain.high - cost));
    Ok(OptionRow {
        what,
        name: name.to_owned(),
        area_m2: area_of(what, treated),
        costs: treated.costs,
        removed: gone.into(),
        cost_per_1000: Limits {
            estimate: unit.and_then(|u| u.estimate),
            low: unit.and_then(|u| u.low),
            high: unit.and_then(|u| u.high),
        },
        dominated_by: None,
        cost_per_further_1000: None,
        net,
    })
}

fn area_of(what: What, treated: &Treated<'_>) -> f64 {
    let parts = treated.parts.iter();
    match what {
        What::HotSpots => parts
            .filter_map(|(g, _)| g.hot_spots)
            .map(|hot| hot.area_m2)
            .sum(),
        _ => parts.map(|(g, share)| g.area_m2 * share).sum(),
    }
}

/// What larvae removed are worth to the user; `None` without a figure of the user's own. A green of which a part is
/// rid is worth that part.
fn benefit(
    file: &SeasonFile,
    parts: &[(&Green, f64)],
    effect: &Effect,
    gone: Removed,
) -> Result<Option<Removed>, Error> {
    let by = |found: Removed, factor: f64| Removed {
        estimate: found.estimate * factor,
        low: found.low * factor,
        high: found.high * factor,
    };
    if let Some(worth) = file.worth.per_1000_larvae {
        return Ok(Some(by(gone, worth / 1000.0)));
    }
    let Some(worth) = file.worth.per_green else {
        return Ok(None);
    };
    let greens: f64 = parts.iter().map(|(_, share)| share).sum();
    let rid = removed(Bounded::exactly(greens), effect.ratio, 0.0)?;
    Ok(Some(by(rid, worth)))
}

/// Names the options that another makes idle, and what each further thousand costs along the others.
fn dominance(all: &mut [OptionRow]) {
    let key = |o: &OptionRow| o.costs.total.zip(o.removed.estimate);
    let found: Vec<(Option<(f64, f64)>, String)> =
        all.iter().map(|o| (key(o), o.name.clone())).collect();
    for (at, option) in all.iter_mut().enumerate() {
        let Some((cost, gone)) = found[at].0 else {
            continue;
        };
        let better = found.iter().enumerate().find(|(other, (key, _))| {
            key.is_some_and(|(c, g)| {
                *other != at && c <= cost && g >= gone && (c < cost || g > gone || *other < at)
            })
        });
        option.dominated_by = better.map(|(_, (_, name))| name.clone());
    }
    let mut before: Option<(f64, f64)> = None;
    for option in all.iter_mut().filter(|o| o.dominated_by.is_none()) {
        let Some((cost, gone)) = key(option) else {
            continue;
        };
        if let Some((c, g)) = before {
            option.cost_per_further_1000 = (gone > g).then(|| 1000.0 * (cost - c) / (gone - g));
        }
        before = Some((cost, gone));
    }
}
