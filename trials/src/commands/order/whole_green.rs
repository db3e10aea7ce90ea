//! What a night over whole greens takes, for whoever asks after a trial.

use super::super::trial::Trial;
use super::night::{records, sheets};
use super::sorts::sorts;
use super::{Request, ground};
use crate::design::TreatmentKind;
use crate::night::order::{SheetOrder, order};
use crate::night::tonight::{Asked, Sheets, tonight};
use crate::report::NightCost;
use crate::store::{TRIAL, TrialFolder};

/// Sheet, people and money for a night over all greens of a trial; none where nothing was covered, no sheet is described, or the
/// take-off refuses the ground, which `order --whole-green` then says in full.
pub(in crate::commands) fn night_cost(
    folder: &TrialFolder<'_>,
    trial: &Trial,
) -> Option<NightCost> {
    let treatments = &trial.protocol.treatments;
    let methods = treatments.iter().filter(|t| !t.control);
    let (covering, others): (Vec<_>, Vec<_>) =
        methods.partition(|t| t.kind == TreatmentKind::Covering);
    if covering.is_empty() {
        return None;
    }
    let supplies = &trial.supplies;
    let (sorts, _) = sorts(&folder.shown(TRIAL), supplies).ok()?;
    let whole = Request::default();
    let patches: Vec<_> = trial
        .greens
        .iter()
        .map(|g| ground::whole(g, &whole))
        .collect();
    let sheet = order(&patches, &sorts, supplies.wind.from_deg).ok()?;
    let night = tonight(&Asked {
        // Nobody counts there: that is what a trial is for.
        sheets: &Sheets {
            plots: 0,
            ..sheets(&sheet, supplies)
        },
        wind: supplies.wind,
        weights: &supplies.ballast,
        crew: supplies.crew,
        cost: &supplies.cost,
        records: &records(folder).unwrap_or_default(),
        dated: None,
    });
    let weights = night.ballast.as_ref().and_then(|b| b.weights);
    Some(NightCost {
        greens: trial.greens.len(),
        names: if others.is_empty() {
            Vec::new()
        } else {
            covering.iter().map(|t| t.name.clone()).collect()
        },
        area_m2: sheet.area_m2,
        sheet_m2: sheet.sheet_m2,
        to_buy: bought(&sheet),
        sheet_price: sheet.cost,
        weights,
        people: supplies.crew.people,
        person_hours: night.crew.hours,
        work_price: night.crew.cost,
        currency: supplies.cost.currency.clone(),
    })
}

fn bought(sheet: &SheetOrder) -> usize {
    sheet.to_buy.iter().map(|p| p.rolls).sum()
}
