//! From what was asked and is known to the plan.

use halfgreen_analysis::efficacy::{Bounded, correlation_in_one_trial, removed};

use super::advice::{advice, on_all};
use super::effect::Effect;
use super::file::SeasonFile;
use super::ground::{Green, larvae_on};
use super::options::{Costs, Known, Limits, options};
use super::result::{EffectRow, GreenRow, SeasonPlan, SheetRow};
use super::schedule::{Schedule, schedule};
use super::switching::switching;
use crate::Error;
use crate::threshold::Side;

/// What a plan is reckoned from.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The file.
    pub file: &'a SeasonFile,
    /// The greens, in its order.
    pub greens: &'a [Green],
    /// What a sheet leaves.
    pub effect: &'a Effect,
    /// What the other methods leave, in the order of the file; each with whether its ratio is of the trial.
    pub methods: &'a [Effect],
    /// Mean of the trial's control per square metre; `None` where ratios were typed.
    pub control: Option<Bounded>,
    /// Whether each ratio, the sheet's first, comes from the trial.
    pub of_trial: &'a [bool],
}

/// Plans a season.
///
/// # Errors
/// Limits out of order, which the file's reader refuses before.
pub fn reckon(asked: &Asked<'_>) -> Result<SeasonPlan, Error> {
    let Asked {
        file,
        greens,
        effect,
        methods,
        ..
    } = *asked;
    let ratios = std::iter::once(effect).chain(methods);
    let correlations: Vec<f64> = ratios
        .zip(asked.of_trial)
        .map(|(of, from_trial)| match asked.control {
            Some(control) if *from_trial => correlation_in_one_trial(control, of.ratio),
            _ => 0.0,
        })
        .collect();
    let known = Known {
        file,
        greens,
        effect,
        methods,
        correlations: &correlations,
    };
    let plan = schedule(file, greens);
    let options = options(&known, &plan)?;
    let sheet = sheet(file, greens);
    let advice = advice(&known, &options, sheet.price_of_short);
    let switching = on_all(&options).map_or_else(Vec::new, |all| switching(&known, all));
    let rows = (0..greens.len()).map(|at| green_row(&known, &plan, at));
    Ok(SeasonPlan {
        title: file.title.clone(),
        currency: file.currency.clone(),
        effect: effect_row(effect, file.nights_each),
        greens: rows.collect::<Result<_, Error>>()?,
        notes: notes(file, greens, &plan),
        nights: plan.nights,
        reach: plan.reach,
        sheet,
        options,
        advice,
        switching,
    })
}

fn effect_row(effect: &Effect, nights: usize) -> EffectRow {
    EffectRow {
        method: effect.method.clone(),
        ratio: effect.ratio.estimate,
        low: effect.ratio.low,
        high: Some(effect.ratio.high).filter(|x| x.is_finite()),
        confidence_level: effect.level,
        call: effect.call,
        chance_of_nothing: effect.chance_of_nothing,
        chance_basis: effect.chance_basis,
        basis: effect.basis.clone(),
        nights,
    }
}

fn sheet(file: &SeasonFile, greens: &[Green]) -> SheetRow {
    let largest_m2 = greens.iter().map(|g| g.sheet_m2).fold(0.0, f64::max);
    // Sheet is bought by the square metre here: whole ones.
    let short_m2 = (largest_m2 - file.sheet.owned_m2).max(0.0).ceil();
    SheetRow {
        owned_m2: file.sheet.owned_m2,
        largest_m2,
        short_m2,
        price_of_short: file.sheet.price_per_m2.map(|price| price * short_m2),
    }
}

fn limits(of: Bounded) -> Limits {
    Limits::new(of.estimate, of.low, of.high)
}

fn green_row(known: &Known<'_>, plan: &Schedule, at: usize) -> Result<GreenRow, Error> {
    let (file, green) = (known.file, &known.greens[at]);
    let share = plan.share(at);
    let cut = plan.pieces[at];
    let covered = plan.on[at].iter().filter(|on| !on.is_empty()).count();
    let times = (covered * file.nights_each) as f64;
    let (hours, sheet) = cut.map_or((0.0, 0.0), |c| (c.hours, c.sheet_m2));
    let costs = Costs::of(file, times * hours, times * sheet, 0.0);
    let correlation = known.correlations.first().copied().unwrap_or(0.0);
    let (number, correlation) = larvae_on(&[(green, share)], correlation);
    let gone = removed(number, known.effect.ratio, correlation)?;
    let unit = costs
        .total
        .filter(|_| covered > 0)
        .map(|cost| gone.unit_cost(1000.0 * cost));
    let mut nights: Vec<usize> = plan.on[at].iter().flatten().map(|n| n + 1).collect();
    nights.sort_unstable();
    nights.dedup();
    let per_m2 = limits(green.per_m2);
    Ok(GreenRow {
        green: green.name.clone(),
        area_m2: green.area_m2,
        per_m2,
        side: file
            .threshold_per_m2
            .map(|own| Side::of(per_m2.low, per_m2.high, own)),
        larvae: limits(green.larvae()),
        priority: green.priority,
        pieces: cut.map_or(0, |c| c.number),
        covered,
        nights,
        costs,
        removed: gone.into(),
        cost_per_1000: Limits {
            estimate: unit.and_then(|u| u.estimate),
            low: unit.and_then(|u| u.low),
            high: unit.and_then(|u| u.high),
        },
        left: left(plan, green, at),
    })
}

/// Why a green is left, or left in part.
fn left(plan: &Schedule, green: &Green, at: usize) -> Option<String> {
    let pieces = plan.on[at].len();
    let covered = plan.on[at].iter().filter(|on| !on.is_empty()).count();
    if plan.pieces[at].is_none() {
        Some("no night has the people for even a twentieth of it".to_owned())
    } else if covered == pieces {
        None
    } else if green.per_m2.estimate == 0.0 {
        Some("nothing was found on it".to_owned())
    } else if covered == 0 {
        Some("nights and sheet reach more elsewhere".to_owned())
    } else {
        Some(format!(
            "{} of its {pieces} pieces: nights and sheet reach more elsewhere",
            pieces - covered
        ))
    }
}

/// How many nights all greens take at least, where the plan leaves some: by sheet and by people alone, whatever fits beside whatever.
fn nights_for_all(file: &SeasonFile, greens: &[Green], plan: &Schedule) -> Option<String> {
    if (0..greens.len()).all(|at| plan.share(at) == 1.0) {
        return None;
    }
    let each = file.nights_each as f64;
    let (mut sheet, mut hours, mut longest) = (0.0, 0.0, 0.0_f64);
    for cut in &plan.pieces {
        let cut = cut.as_ref()?;
        sheet += each * cut.number as f64 * cut.sheet_m2;
        hours += each * cut.number as f64 * cut.hours;
    }
    for night in &file.nights {
        longest = longest.max(night.person_hours());
    }
    let nights = (sheet / file.sheet.owned_m2)
        .max(hours / longest)
        .ceil()
        .max(each);
    Some(format!(
        "All greens would take {nights:.0} nights or more with this sheet and these people; there are {}.",
        file.nights.len()
    ))
}

/// What the reader must bear in mind.
fn notes(file: &SeasonFile, greens: &[Green], plan: &Schedule) -> Vec<String> {
    let mut notes = Vec::new();
    if plan.pieces.iter().flatten().any(|c| c.number > 1) {
        notes.push(
            "Greens that are larger than sheet or people suffice for at once are covered in pieces of one size, each on its own \
             nights; larvae that lie between may move from one piece to the other."
                .to_owned(),
        );
    }
    notes.extend(nights_for_all(file, greens, plan));
    if !plan.reach.proven {
        notes.push(format!(
            "No plan reaches more than {:.1} % beyond this one; whether one reaches more at all was not settled in the steps allowed.",
            100.0 * (plan.reach.bound / plan.reach.worth.max(f64::MIN_POSITIVE) - 1.0)
        ));
    }
    notes.push(
        if greens.iter().any(|g| g.hot_spots.is_some()) {
            "The share of larvae in hot spots is taken as known: its own error is not in the intervals."
        } else {
            "Covering hot spots only is not compared: no green has hot_spot_m2 and hot_spot_share_percent; `halfgreen hotspots` \
             finds them."
        }
        .to_owned(),
    );
    if file.sheet.roll.is_some() {
        notes.push(
            "Sheet for greens with an outline is that of strips cut from the roll; for the others it is their area and extra_percent."
                .to_owned(),
        );
    }
    if greens.iter().any(|g| g.of_trial) {
        notes.push(
            "On the green of the trial larvae and effect come from the same counts: the intervals allow for that.".to_owned(),
        );
    }
    notes.push(format!(
        "The effect is that of {} under the sheet, found on the ground of the trial; it is taken to hold on every green. Intervals carry the \
         uncertainty of effect and counts, not that of prices, rates and weather.",
        crate::text::spelling::number(file.nights_each, "night")
    ));
    notes
}
