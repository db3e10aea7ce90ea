//! The parts of a night put together.

use super::super::clock::{Evening, Timetable, evening, timetable};
use super::super::crew::{Hours, Limits, Manned, Task, Work, hours, manned};
use super::super::handling::{self, HELD_WATER_MM, ONE_PERSON_KG, SheetWeight, StripLoad};
use super::super::wind::ballast::{LIMIT_GUST_M_S, MOST_SPACING_M};
use super::super::wind::{Ballast, Coefficients, Weight, ballast};
use super::{Asked, Clock, CrewPlan, Dated, Note, Tonight};

/// Plans a night from what is known; what is not known is asked for in the notes, and nothing is put in its place.
#[must_use]
pub fn tonight(asked: &Asked<'_>) -> Tonight {
    let mut notes = Vec::new();
    let ballast = held_down(asked, &mut notes);
    let handling = lifted(asked, &mut notes);
    let weights = ballast.as_ref().and_then(|b| b.weights);
    let night = asked
        .dated
        .as_ref()
        .and_then(|d| Some((d, evening(d.date, &d.place)?)));
    let work = Work {
        sheet_m2: asked.sheets.strips.iter().map(|[l, w]| l * w).sum(),
        strips: asked.sheets.strips.len() as u64,
        weights,
        plots: asked.sheets.plots,
    };
    let hours = hours(&work, &asked.crew.rates, asked.records);
    let limits = limits(asked, night.as_ref().map(|n| &n.1), &handling);
    let manned = manned(&hours, asked.crew.people, &limits, work.sheet_m2);
    if ballast.as_ref().is_none_or(|b| b.tonight) {
        told_of_people(&hours, &manned, &limits, &work, &mut notes);
    }
    let (clock, timetable) = match &night {
        Some((dated, evening)) => by_the_clock(dated, evening, &manned, &mut notes),
        None => (None, None),
    };
    let weights_short = weights
        .zip(asked.weights.in_stock)
        .map(|(needed, there)| needed.saturating_sub(there));
    Tonight {
        weights_short,
        weights_cost: weights_short
            .zip(asked.weights.price_each)
            .map(|(short, price)| short as f64 * price),
        ballast,
        handling,
        crew: crew_plan(asked, hours, &manned, &limits),
        nights: manned.nights,
        clock,
        timetable,
        notes,
    }
}

/// Weights against the gust that was told.
fn held_down(asked: &Asked<'_>, notes: &mut Vec<Note>) -> Option<Ballast> {
    let wind = &asked.wind;
    let Some(gust) = wind.gust_m_s else {
        let message = "no gust is told, so that no weights are reckoned: write it in [wind] of trial.toml, or give it with --gust";
        notes.push(Note::new("gust-not-told", message));
        return None;
    };
    if let Some(force) = wind.gust_force {
        let message = format!(
            "force {force} is taken for a gust of {gust} m/s, its upper limit; a forecast that gives a force means the wind over ten \
             minutes, and its gusts are half as strong again (EN 1991-1-4, open country): give the gust itself"
        );
        notes.push(Note::new("force-is-no-gust", message));
    }
    let own = Coefficients::default();
    let coefficients = Coefficients {
        edge: wind.edge_coefficient.unwrap_or(own.edge),
        middle: wind.middle_coefficient.unwrap_or(own.middle),
        edge_zone_m: wind.edge_zone_m.unwrap_or(own.edge_zone_m),
    };
    let weight = asked.weights.weight_kg.map(|kg| Weight {
        kg,
        most_spacing_m: asked.weights.most_spacing_m.unwrap_or(MOST_SPACING_M),
    });
    let limit = wind.limit_gust_m_s.unwrap_or(LIMIT_GUST_M_S);
    // A sheet whose weight is not known is taken to have none.
    let grams = asked.sheets.grams_per_m2.unwrap_or(0.0);
    let found = ballast(
        gust,
        limit,
        coefficients,
        grams,
        &asked.sheets.covers,
        weight.as_ref(),
    );
    if !found.tonight {
        let message = format!(
            "not tonight: a gust of {gust:.1} m/s is above the limit of {limit:.1} m/s. Leave the sheets in the shed"
        );
        notes.push(Note::new("not-tonight", message));
        return Some(found);
    }
    if weight.is_none() {
        let message =
            "how much one weight weighs is not told: write weight_kg in [ballast] of trial.toml";
        notes.push(Note::new("weight-not-told", message));
    }
    told_of_one_weight(asked, notes);
    Some(found)
}

/// Whether one weight is too much for one person at the pace of the club.
fn told_of_one_weight(asked: &Asked<'_>, notes: &mut Vec<Note>) {
    let one_kg = asked.crew.lift_kg_per_person.unwrap_or(ONE_PERSON_KG);
    let pace = asked.crew.rates.weigh_per_weight.filter(|m| *m > 0.0);
    let lifts = handling::at_pace(one_kg, pace.map_or(0.0, f64::recip));
    if let Some(kg) = asked.weights.weight_kg.filter(|kg| *kg > lifts) {
        let message = format!(
            "one weight of {kg} kg is more than one person should lift at that pace by the guideline ({lifts:.0} kg): take smaller ones, or \
             lift them in pairs and allow more time"
        );
        notes.push(Note::new("weight-too-heavy", message));
    }
}

/// What every strip weighs and who lifts it.
fn lifted(asked: &Asked<'_>, notes: &mut Vec<Note>) -> Vec<StripLoad> {
    let Some(grams_per_m2) = asked.sheets.grams_per_m2 else {
        let message = "what the sheet weighs is not told: write grams_per_m2 in [sheet] of trial.toml; it stands on the label of the roll";
        notes.push(Note::new("sheet-weight-not-told", message));
        return Vec::new();
    };
    if asked.sheets.held_water_mm.is_none() {
        let message = format!(
            "strips are taken to hold {HELD_WATER_MM} mm of water at dawn, an assumption: write held_water_mm in [sheet] of trial.toml"
        );
        notes.push(Note::new("water-assumed", message));
    }
    let sheet = SheetWeight {
        grams_per_m2,
        held_water_mm: asked.sheets.held_water_mm.unwrap_or(HELD_WATER_MM),
    };
    let one_kg = asked.crew.lift_kg_per_person.unwrap_or(ONE_PERSON_KG);
    let strips = asked.sheets.strips.iter();
    let loads: Vec<StripLoad> = strips
        .map(|strip| handling::strip(*strip, &sheet, asked.crew.people, one_kg))
        .collect();
    let heavy = loads.iter().filter(|l| l.sections.is_some_and(|n| n > 1));
    let (heavy, most) = heavy.fold((0, 0.0_f64), |(n, most), l| (n + 1, most.max(l.wet_kg)));
    if heavy > 0 {
        let message = format!(
            "{heavy} of {} strips are too heavy for the people there when wet (up to {most:.0} kg): let the water run off, cut or fold them into \
             the sections told, or drag them on a sledge; none is lifted whole",
            loads.len()
        );
        notes.push(Note::new("strips-too-heavy", message));
    }
    loads
}

/// What bounds the evening and the morning.
fn limits(asked: &Asked<'_>, night: Option<&Evening>, loads: &[StripLoad]) -> Limits {
    let light = night.and_then(|n| {
        let (from, to) = (n.first_light.time()?, n.sunrise.time()?);
        let seconds = to.timestamp().as_second() - from.timestamp().as_second();
        Some(seconds as f64 / 60.0)
    });
    Limits {
        lay_within_min: asked.crew.lay_within_minutes,
        lift_within_min: asked.crew.lift_within_minutes.or(light),
        for_one_piece: loads
            .iter()
            .map(|l| l.people.unwrap_or(handling::MOST_IN_A_TEAM))
            .max(),
    }
}

fn told_of_people(
    hours: &Hours,
    manned: &Manned,
    limits: &Limits,
    work: &Work,
    notes: &mut Vec<Note>,
) {
    let sheet_m2 = work.sheet_m2;
    // Without their number no rate of weights helps; that is told by the wind.
    let mut unknown = hours.unknown();
    unknown.retain(|task| *task != Task::Weigh || work.weights.is_some());
    if !unknown.is_empty() {
        let keys: Vec<&str> = unknown.iter().map(|t| t.key()).collect();
        let message = format!(
            "hours cannot be reckoned without what these take you: {}. Write them in [crew] of trial.toml, or what earlier nights took in \
             nights.csv",
            keys.join(", ")
        );
        notes.push(Note::new("rates-not-told", message));
    }
    match (manned.people, manned.people_needed) {
        (Some(people), Some(needed)) if people < needed => {
            let fits = manned.sheet_that_fits_m2.unwrap_or(sheet_m2);
            let message = format!(
                "{people} are too few: it takes {needed} to lay and lift {sheet_m2:.0} m2 of sheet in the time there is, and {people} manage \
                 {:.0} m2 in a night",
                fits.floor()
            );
            notes.push(Note::new("too-few-people", message));
        }
        (None, _) => {
            let message = "how many people come is not told: write people in [crew] of trial.toml, or give it with --people";
            notes.push(Note::new("people-not-told", message));
        }
        _ => {}
    }
    if manned.people == Some(1) {
        notes.push(Note::new(
            "nobody-alone",
            "one person is not enough for work in the dark: nobody alone",
        ));
    }
    if limits.lift_within_min.is_none() && manned.people.is_some() {
        let message = "how long there is for lifting is not known, so that people are not held against it: give date and place, or \
                       lift_within_minutes in [crew] of trial.toml";
        notes.push(Note::new("lifting-time-not-known", message));
    }
}

fn crew_plan(asked: &Asked<'_>, hours: Hours, manned: &Manned, limits: &Limits) -> CrewPlan {
    let in_hours = |minutes: Option<f64>| minutes.map(|m| m / 60.0);
    let total = in_hours(hours.person_minutes);
    CrewPlan {
        people: manned.people,
        people_needed: manned.people_needed,
        hours: total,
        hours_low: in_hours(hours.low),
        hours_high: in_hours(hours.high),
        tasks: hours.tasks,
        lay_min: manned.lay_min,
        lift_min: manned.lift_min,
        lift_within_min: limits.lift_within_min,
        sheet_that_fits_m2: manned.sheet_that_fits_m2,
        cost: total.zip(asked.cost.person_hour).map(|(h, p)| h * p),
    }
}

/// Clock times, and why there are none.
fn by_the_clock(
    dated: &Dated,
    night: &Evening,
    manned: &Manned,
    notes: &mut Vec<Note>,
) -> (Option<Clock>, Option<Timetable>) {
    let shown = |at: &jiff::ZonedDateTime| at.strftime("%Y-%m-%dT%H:%M%:z").to_string();
    // Events to the nearest minute, as almanacs print them.
    let event = |event: &super::super::clock::Event| {
        let at = event.time()?;
        let half = at.checked_add(jiff::SignedDuration::from_secs(30)).ok()?;
        Some(shown(&half))
    };
    let table = timetable(night, manned.lay_min, manned.lift_min);
    let moved = night.clocks_move_min();
    if moved != 0 {
        let way = if moved > 0 { "forward" } else { "back" };
        let message = format!(
            "clocks are put {way} by {} minutes in that night: morning times are those of the new clock",
            moved.abs()
        );
        notes.push(Note::new("clocks-move", message));
    }
    match &table {
        Err(why) => {
            let (what, cure) = why.told();
            notes.push(Note::new("no-clock-times", format!("{what}. {cure}")));
        }
        Ok(table) if table.lift_in_the_dark => {
            let message =
                "lifting begins in the dark with the people who come: lights, or more people";
            notes.push(Note::new("lift-in-the-dark", message));
        }
        Ok(_) => {}
    }
    let table = table.ok();
    let of =
        |f: fn(&Timetable) -> Option<&jiff::ZonedDateTime>| table.as_ref().and_then(f).map(shown);
    let late = table.iter().flat_map(|t| t.late_comers.iter().map(shown));
    let clock = Clock {
        date: dated.date.to_string(),
        time_zone: dated.place.zone.iana_name().unwrap_or("UTC").to_owned(),
        sunset: event(&night.sunset),
        dusk: event(&night.dusk),
        first_light: event(&night.first_light),
        sunrise: event(&night.sunrise),
        clocks_move_min: moved,
        lay_from: of(|t| t.lay_from.as_ref()),
        down_by: of(|t| Some(&t.down_by)),
        lift_from: of(|t| t.lift_from.as_ref()),
        sheets_off_by: of(|t| Some(&t.off_by)),
        late_comers: late.collect(),
    };
    (Some(clock), table)
}
