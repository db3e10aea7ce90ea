//! `order`: what the night needs, before anybody drives to the merchant.

mod files;
mod ground;
mod night;
mod neighbours;
mod night_words;
mod planned;
mod sorts;
mod whole_green;
mod words;

use std::path::PathBuf;

use geo::{Area, BooleanOps, MultiPolygon, Polygon, unary_union};
use serde::{Deserialize, Serialize};

use super::request::required;
use super::trial;
use super::{Answer, Refusal, Surroundings};
use crate::design::Green;
use crate::night::order::{SheetOrder, order};
use crate::ranges::request::ORDER_ANGLE;
use crate::ranges::within_limits;
use crate::store::{TRIAL, TrialFolder};
use crate::text::spelling::number;
use crate::{Error, Warning};
pub use night::Night;
pub(super) use whole_green::night_cost;

/// What is asked of `order`. Without more, the plots that are to be covered.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
    /// Cover whole greens.
    pub whole_green: bool,
    /// Cover the strips of a plan: what `hotspots --json` wrote.
    pub plan: Option<PathBuf>,
    /// Direction of the strips on whole greens, degrees anticlockwise from east; without it the best is searched.
    pub angle: Option<f64>,
    /// On whole greens, lay sheet over holes, such as bunkers, too.
    pub over_holes: bool,
    /// Gust with its unit (`20 mph`, `9 m/s`) or a Beaufort force (`F4`), before what the protocol says.
    pub gust: Option<String>,
    /// Where the wind comes from, degrees clockwise from north, before what the protocol says.
    pub wind_from: Option<f64>,
    /// Date on which the night begins; without it the night before the count that decides.
    pub date: Option<String>,
    /// People who come, before what the protocol says.
    pub people: Option<u64>,
}

/// What the night costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cost {
    /// Whole rolls; none where a price is not known.
    pub sheet: Option<f64>,
    /// Hours of the people; null where they are not known.
    pub hours: Option<f64>,
    /// Weights that are missing in the shed; null where they are not known.
    pub weights: Option<f64>,
    /// Name of the currency.
    pub currency: Option<String>,
}

/// The `result` of `order`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ordered {
    /// What is bought, cut and laid.
    #[serde(flatten)]
    pub sheet: SheetOrder,
    /// Sheet that lies over holes, square metres.
    pub over_holes_m2: f64,
    /// Where the wind comes from, degrees clockwise from north.
    pub wind_from_deg: Option<f64>,
    /// The night: weights, lifting, people, clock times.
    #[serde(flatten)]
    pub night: Night,
    /// What it costs.
    pub cost: Cost,
    /// Names of the files.
    pub files: Vec<String>,
}

impl Ordered {
    /// The order in a line.
    pub(super) fn in_short(&self) -> String {
        let rolls: usize = self.sheet.to_buy.iter().map(|p| p.rolls).sum();
        let mut parts = vec![format!(
            "{} to buy for {}",
            number(rolls, "roll"),
            number(self.sheet.strips.len(), "strip")
        )];
        let ballast = self.night.tonight.ballast.as_ref();
        let weights = ballast.and_then(|b| b.weights);
        parts.extend(weights.map(|n| format!("{n} weights against the wind")));
        parts.join(", ")
    }
}

/// Orders sheet.
///
/// # Errors
/// A trial folder that cannot be read, nothing to cover, sheet whose sizes are not told, ground that takes more strips
/// than anybody lays, a plan that cannot be read or that no roll is wide enough for.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Ordered>, Refusal> {
    required(&[("dir", &request.dir)])?;
    within_limits(&[(ORDER_ANGLE, request.angle)])?;
    night::checked(request)?;
    sound(request)?;
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let read = trial::protocol(&folder)?;
    let greens = trial::greens(&folder, &read.protocol)?;
    let (sorts, mut warnings) = sorts::sorts(&folder.shown(TRIAL), &read.supplies)?;
    let patches = ground::patches(request, at, &folder, &read.protocol, &greens)?;
    let from_deg = night::wind(request, &read.supplies)?.from_deg;
    let sheet = order(&patches, &sorts, from_deg)?;
    warnings.extend(read.cautions.iter().cloned());
    warnings.extend(trial::repairs(&greens));
    warnings.extend(neighbours::warning(
        &folder,
        &read.protocol,
        &patches,
        &sheet,
    ));
    let over_holes_m2 = over_holes(&sheet, &greens);
    let made = files::Made {
        protocol: &read.protocol,
        greens: &greens,
        sheet: &sheet,
        currency: read.supplies.cost.currency.as_deref(),
        wind_from_deg: from_deg,
        notes: &warnings,
    };
    let mut files = files::of(&folder, &made)?;
    let sheets = night::sheets(&sheet, &read.supplies);
    let night = night::night(&folder, &read, &greens, request, &sheets)?;
    files.push(night::page(
        &folder,
        &read,
        &night,
        &sheets,
        from_deg,
        request.whole_green,
    ));
    let mut words = words::words(&sheet, &made, over_holes_m2, &files);
    night_words::tell(&mut words, &night, &read.supplies);
    warnings.extend(night.warnings());
    let result = Ordered {
        over_holes_m2,
        wind_from_deg: from_deg,
        cost: Cost {
            sheet: sheet.cost,
            hours: night.tonight.crew.cost,
            weights: night.tonight.weights_cost,
            currency: read.supplies.cost.currency.clone(),
        },
        files: files.iter().map(crate::store::NewFile::shown).collect(),
        sheet,
        night,
    };
    Ok(Answer::new(result, words)
        .with_warnings(warnings)
        .with_files(files))
}

/// Refuses questions that contradict themselves.
fn sound(request: &Request) -> Result<(), Error> {
    if request.whole_green && request.plan.is_some() {
        let what = "whole greens and the strips of a plan are asked for at once";
        return Err(Error::in_field("plan", what, "Give one of the two."));
    }
    let alone = [
        ("angle", request.angle.is_some()),
        ("over_holes", request.over_holes),
    ];
    if let Some((field, _)) = alone
        .iter()
        .find(|(_, given)| *given && !request.whole_green)
    {
        let what = "it is for whole greens: plots are covered along their sides, and a plan has its own direction";
        let cure = "Leave it out, or cover the whole green.";
        return Err(Error::in_field(*field, what, cure));
    }
    Ok(())
}

/// Sheet over holes of the greens, each piece of ground counted once, square metres.
fn over_holes(sheet: &SheetOrder, greens: &[Green]) -> f64 {
    let on = |green: &Green| {
        let holes: Vec<Polygon<f64>> = green
            .outline
            .ground
            .interiors()
            .iter()
            .map(|ring| Polygon::new(ring.clone(), Vec::new()))
            .collect();
        if holes.is_empty() {
            return 0.0;
        }
        let here = sheet.strips.iter().filter(|s| s.green == green.name);
        let strips: Vec<Polygon<f64>> = here.map(|s| s.strip.rectangle()).collect();
        let under: MultiPolygon<f64> = unary_union(&strips);
        under
            .intersection(&MultiPolygon::new(holes))
            .unsigned_area()
    };
    // Below a hundredth it is rounding of a strip that ends at the hole.
    let sum: f64 = greens.iter().map(on).sum();
    if sum < 0.01 { 0.0 } else { sum }
}

/// A warning of the command.
fn warning(code: &'static str, message: impl Into<String>, place: &str) -> Warning {
    Warning::at(code, message, place.to_owned())
}
