//! The second half of `order`: weights, lifting, hours, clock times, what was counted of stages.

use std::path::Path;

use jiff::civil::Date;
use jiff::tz::TimeZoneDatabase;
use serde::Serialize;

use super::super::{Refusal, trial};
use super::Request;
use crate::design::dates::read_date;
use crate::design::wind_speed::{WindSpeed, read_wind_speed};
use crate::design::{Green, Protocol, ReadProtocol, Role, Roll, Supplies, Wind};
use crate::night::clock::Place;
use crate::night::covers::cover;
use crate::night::crew::{NightRecord, read_nights};
use crate::night::emergence::{Emergence, emergence};
use crate::night::order::SheetOrder;
use crate::night::running_order::{RunningOrder, night_html, wind_in_words};
use crate::night::tonight::{Asked, Dated, Note, Sheets, Tonight, tonight};
use crate::ranges::request::{ORDER_PEOPLE, ORDER_WIND_FROM};
use crate::ranges::within_limits;
use crate::store::{LAYOUT, NIGHTS, NewFile, ORDER, TrialFolder};
use crate::table::errors;
use crate::{Error, Warning};

/// Confidence of the limits of a share.
const LEVEL: f64 = 0.95;

/// A night and what of the season is behind it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Night {
    /// The night.
    #[serde(flatten)]
    pub tonight: Tonight,
    /// Animals counted that had left the larval stage; null where no stages were written.
    pub emergence: Option<Emergence>,
}

impl Night {
    /// What people must know, as warnings.
    pub(super) fn warnings(&self) -> impl Iterator<Item = Warning> {
        self.tonight.notes.iter().map(|note| Warning {
            code: note.code,
            message: note.message.clone(),
            place: None,
        })
    }
}

/// The sheets of an order, patch by patch and in laying order. Of several sorts the heaviest and wettest counts.
pub(super) fn sheets(order: &SheetOrder, supplies: &Supplies) -> Sheets {
    let on = |patch: usize| {
        let strips = order.strips.iter().filter(|s| s.patch == patch);
        cover(&strips.map(|s| s.strip.rectangle()).collect::<Vec<_>>())
    };
    let most = |of: fn(&Roll) -> Option<f64>| {
        let told = supplies.rolls.iter().filter_map(of);
        told.max_by(f64::total_cmp)
    };
    let strips = order.strips.iter().map(|s| &s.strip);
    Sheets {
        covers: (0..order.patches.len()).map(on).collect(),
        strips: strips.map(|s| [s.length_m, s.width_m]).collect(),
        grams_per_m2: most(|r| r.grams_per_m2),
        held_water_mm: most(|r| r.held_water_mm),
        plots: order.patches.len() as u64,
    }
}

/// The running order on a page.
pub(super) fn page(
    folder: &TrialFolder<'_>,
    read: &ReadProtocol,
    night: &Night,
    sheets: &Sheets,
    from_deg: Option<f64>,
    whole_green: bool,
) -> NewFile {
    let supplies = &read.supplies;
    let from = from_deg.map(wind_in_words);
    let html = night_html(
        &read.protocol.trial,
        &RunningOrder {
            tonight: &night.tonight,
            sheets,
            counted: if whole_green { "green" } else { "plot" },
            weight_name: supplies
                .ballast
                .name
                .as_deref()
                .unwrap_or(super::night_words::WEIGHTS),
            from,
            lift_kg: supplies.crew.lift_kg_per_person,
        },
    );
    folder.own_file("order", Path::new(ORDER).join("night.html"), html)
}

/// Refuses what the request itself cannot mean.
pub(super) fn checked(request: &Request) -> Result<(), Vec<Error>> {
    within_limits(&[
        (ORDER_PEOPLE, request.people.map(|n| n as f64)),
        (ORDER_WIND_FROM, request.wind_from),
    ])?;
    let told = told_gust(request).map(drop);
    let date = asked_date(request).map(drop);
    let faults: Vec<Error> = [told, date].into_iter().filter_map(Result::err).collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// The gust of the request, if it has one.
fn told_gust(request: &Request) -> Result<Option<WindSpeed>, Error> {
    let read = request.gust.as_deref().map(read_wind_speed).transpose();
    read.map_err(|(what, cure)| Error::in_field("gust", what, cure))
}

/// The date of the request, if it has one.
fn asked_date(request: &Request) -> Result<Option<Date>, Error> {
    let read = request.date.as_deref().map(read_date).transpose();
    read.map_err(|fault| Error::in_field("date", fault.what, fault.cure))
}

/// The wind of the night: what the request says before what the protocol says.
pub(super) fn wind(request: &Request, supplies: &Supplies) -> Result<Wind, Error> {
    let mut wind = supplies.wind;
    if let Some(told) = told_gust(request)? {
        wind.gust_m_s = Some(told.m_s);
        wind.gust_force = told.force;
    }
    wind.from_deg = request.wind_from.or(wind.from_deg);
    Ok(wind)
}

/// Plans the night over `sheets`.
pub(super) fn night(
    folder: &TrialFolder<'_>,
    read: &ReadProtocol,
    greens: &[Green],
    request: &Request,
    sheets: &Sheets,
) -> Result<Night, Refusal> {
    let supplies = &read.supplies;
    let mut crew = supplies.crew;
    crew.people = request.people.or(crew.people);
    let mut notes = Vec::new();
    let dated = dated(&read.protocol, supplies, greens, request, &mut notes)?;
    let mut tonight = tonight(&Asked {
        sheets,
        wind: wind(request, supplies)?,
        weights: &supplies.ballast,
        crew,
        cost: &supplies.cost,
        records: &records(folder)?,
        dated,
    });
    tonight.notes.extend(notes);
    Ok(Night {
        tonight,
        emergence: stages(folder, &read.protocol)?,
    })
}

/// What earlier nights took, where that was written down.
pub(super) fn records(folder: &TrialFolder<'_>) -> Result<Vec<NightRecord>, Refusal> {
    match folder.optional_text(NIGHTS)? {
        None => Ok(Vec::new()),
        Some(text) => {
            let read = read_nights(&folder.shown(NIGHTS), &text);
            read.map_err(|problems| errors(problems).into())
        }
    }
}

/// Date and place of the night, where both are known; what is missing is asked for.
fn dated(
    protocol: &Protocol,
    supplies: &Supplies,
    greens: &[Green],
    request: &Request,
    notes: &mut Vec<Note>,
) -> Result<Option<Dated>, Error> {
    let date = asked_date(request)?.or_else(|| night_before(protocol));
    let place = place(supplies, greens);
    let missing = match (&date, &place) {
        (Some(date), Ok(place)) => {
            return Ok(Some(Dated {
                date: *date,
                place: place.clone(),
            }));
        }
        (None, Ok(_)) => {
            "its date: give it with --date, or write a date for the occasion that decides"
        }
        (_, Err(missing)) => missing,
    };
    let message = format!("clock times cannot be told without {missing}");
    notes.push(Note::new("clock-not-known", message));
    Ok(None)
}

/// The night before the count that decides.
fn night_before(protocol: &Protocol) -> Option<Date> {
    let main = protocol.occasions.iter().find(|o| o.role == Role::Main)?;
    main.date?.yesterday().ok()
}

/// Where the green lies: by its outline, else by the protocol; or what is missing.
fn place(supplies: &Supplies, greens: &[Green]) -> Result<Place, &'static str> {
    let written = &supplies.place;
    let zone = written.time_zone.as_deref();
    let zone = zone.and_then(|name| TimeZoneDatabase::bundled().get(name).ok());
    let zone = zone.ok_or(
        "the time zone: write time_zone in [place] of trial.toml, such as \"Europe/London\"",
    )?;
    let frame = greens.first().and_then(|g| g.outline.frame);
    let of_outline = frame.map(|f| (f.lat, f.lon));
    let (latitude_deg, longitude_deg) = of_outline
        .or(written.latitude_deg.zip(written.longitude_deg))
        .ok_or("the place: write latitude_deg and longitude_deg in [place] of trial.toml")?;
    Ok(Place {
        latitude_deg,
        longitude_deg,
        zone,
    })
}

/// Stages that were counted on the last occasion on which any were written; counts that are not sound tell nothing here, and
/// `check` says why.
fn stages(folder: &TrialFolder<'_>, protocol: &Protocol) -> Result<Option<Emergence>, Refusal> {
    if !folder.has(LAYOUT) || folder.counts()?.is_none() || !protocol.response.kind.is_count() {
        return Ok(None);
    }
    let layout = trial::layout(folder, protocol)?;
    let check = trial::check(folder, protocol, &layout)?;
    let Some(counts) = check.counts else {
        return Ok(None);
    };
    let on = |name: &str| {
        let found = counts.observations().iter();
        let found = found.filter_map(|o| {
            let stage = o.stage.as_deref()?;
            (o.occasion == name).then_some((o.plot.as_str(), stage, o.count))
        });
        emergence(found, LEVEL)
    };
    let names = protocol.occasions.iter().rev().map(|o| on(&o.name));
    Ok(names.into_iter().find(|e| e.share.is_some()))
}
