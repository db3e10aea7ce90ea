//! The page of the night.

use maud::{Markup, html};

use super::super::handling::ONE_PERSON_KG;
use super::super::tonight::{Sheets, Tonight};
use super::pieces::{Pieces, pieces};
use super::steps::steps;
use crate::design::Trial;
use crate::fieldwork::cautions::{COVERING, LAST};
use crate::fieldwork::printed::{Sheet, document};
use crate::text::rounding::{figure, plain};

/// Most rows of strips on the page: more than that do not fit beside the rest on A4.
const MOST_ROWS: usize = 8;

/// What the page is made from.
#[derive(Debug, Clone, Copy)]
pub struct RunningOrder<'a> {
    /// The night.
    pub tonight: &'a Tonight,
    /// The sheets.
    pub sheets: &'a Sheets,
    /// What one of the things counted is called: plot, green.
    pub counted: &'a str,
    /// What the weights are called, several of them.
    pub weight_name: &'a str,
    /// Where the wind comes from, in words, where it was told.
    pub from: Option<&'a str>,
    /// What one person lifts alone, kilograms, where the club has a figure.
    pub lift_kg: Option<f64>,
}

/// The eight winds, from north by east.
const WINDS: [&str; 8] = [
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
];

/// Where the wind comes from, in words: the nearest of eight for degrees clockwise from north.
#[must_use]
pub fn wind_in_words(from_deg: f64) -> &'static str {
    let eighths = (from_deg.rem_euclid(360.0) / 45.0).round();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 0 to 8, whole"
    )]
    let eighths = eighths as usize;
    WINDS[eighths % WINDS.len()]
}

/// The document of one page.
#[must_use]
pub fn night_html(trial: &Trial, of: &RunningOrder<'_>) -> String {
    let date = of.tonight.clock.as_ref().map(|clock| &clock.date);
    let date = date.and_then(|text| text.parse::<jiff::civil::Date>().ok());
    let title = match date {
        Some(date) => format!("The night of {}", date.strftime("%A, %-d %B %Y")),
        None => "The night".to_owned(),
    };
    let body = running_order(of);
    document(trial, None, "Running order", &[Sheet { title, body }])
}

/// What stands on the page, below its heading.
#[must_use]
pub fn running_order(of: &RunningOrder<'_>) -> Markup {
    let rows = pieces(&of.sheets.strips, &of.tonight.handling);
    let goes = of.tonight.ballast.as_ref().is_none_or(|b| b.tonight);
    html! {
        div.night {
            (whether(of))
            @if goes {
                h3 { "Bring" }
                (bring(of))
                h3 { "By the clock" }
                (by_the_clock(of))
                h3 { "What strips weigh" }
                (weighing(of, &rows))
            }
            div.caution {
                h3 { "Take care" }
                ul.small {
                    @for caution in COVERING { li { (caution) } }
                    li { "Reckon with a night without a moon: a lamp for everyone, and one that stays lit at the shed." }
                }
                p.small {
                    "Weights are an estimate for planning, not an engineer's design: lift of a flat roof with sharp eaves (EN 1991-1-4, \
                     table 7.2), no safety factor. Clock times are for a level horizon. " (LAST)
                }
            }
        }
    }
}

/// Whether sheets go out at all.
fn whether(of: &RunningOrder<'_>) -> Markup {
    let from = of
        .from
        .map_or_else(String::new, |from| format!(" from the {from}"));
    html! {
        @match &of.tonight.ballast {
            Some(b) if !b.tonight => {
                p.not_tonight {
                    b { "NOT TONIGHT. " }
                    "Gusts of " (figure(b.gust_m_s)) " m/s" (from) " are above the limit of " (figure(b.limit_gust_m_s))
                    " m/s. The sheets stay in the shed."
                }
            }
            Some(b) => {
                p {
                    b { "Go, " } "for gusts up to " (figure(b.gust_m_s)) " m/s" (from) " (" (figure(b.pressure_pa)) " Pa). Above "
                    (figure(b.limit_gust_m_s)) " m/s not tonight: look at the forecast once more before the first strip, and stop when it is \
                     passed."
                }
            }
            None => p { b { "No gust was told. " } "Look at the forecast, and do not lay what is not weighed down." }
        }
        ul.small {
            @for note in &of.tonight.notes {
                @if note.code != "not-tonight" { li { (sentence(&note.message)) } }
            }
        }
    }
}

/// A message as a sentence of its own.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    let stop = if message.ends_with('.') { "" } else { "." };
    format!("{}{}{stop}", first.unwrap_or_default(), letters.as_str())
}

fn bring(of: &RunningOrder<'_>) -> Markup {
    let sheet: f64 = of.sheets.strips.iter().map(|[l, w]| l * w).sum();
    let ballast = of.tonight.ballast.as_ref();
    html! {
        table.bring {
            tr { th.blank { "who" } th { "what" } th.tick_cell { "back" } }
            tr { td.blank {} td { (of.sheets.strips.len()) " strips, " (format!("{sheet:.0}")) " m2 of sheet" } td.tick_cell { span.tick {} } }
            @if let Some((weights, kg)) = ballast.and_then(|b| b.weights.zip(b.weight_kg)) {
                tr {
                    td.blank {}
                    td {
                        (weights) " " (of.weight_name) " of " (plain(kg)) " kg ("
                        (format!("{:.0}", weights as f64 * kg)) " kg in all: a trailer, not a barrow)"
                        @if let Some(short) = of.tonight.weights_short.filter(|n| *n > 0) { ", " (short) " of them still to get" }
                    }
                    td.tick_cell { span.tick {} }
                }
            }
            tr {
                td.blank {}
                td { "lamps, gloves, boots that grip, knife, tape, drawing of the strips; count sheets or the telephone page, trays" }
                td.tick_cell { span.tick {} }
            }
        }
    }
}

fn by_the_clock(of: &RunningOrder<'_>) -> Markup {
    let people = of.tonight.crew.people;
    html! {
        @if let Some(clock) = &of.tonight.clock {
            p.small {
                "Sunset " (time(clock.sunset.as_ref())) ", dark " (time(clock.dusk.as_ref())) ", first light " (time(clock.first_light.as_ref()))
                ", sunrise " (time(clock.sunrise.as_ref())) "; clocks of " (clock.time_zone) "."
                @if let Some(people) = people { " With " (people) " people." }
            }
        }
        table.steps {
            @for step in steps(of) {
                tr { td.when { (step.when) } td.what { (step.what) } td { (step.how) } td.tick_cell { span.tick {} } }
            }
        }
    }
}

/// Hours and minutes of a moment as it is told to programs.
fn time(moment: Option<&String>) -> &str {
    moment.and_then(|m| m.get(11..16)).unwrap_or("none")
}

fn weighing(of: &RunningOrder<'_>, rows: &[Pieces]) -> Markup {
    html! {
        table.pieces {
            tr { th.numbers { "strips" } th { "m by m" } th.kg { "dry kg" } th.kg { "wet kg" } th.team { "who lifts it wet" } }
            @for row in rows.iter().take(MOST_ROWS) {
                tr {
                    td { (row.numbers()) }
                    td { (plain(row.size_m[0])) " by " (plain(row.size_m[1])) }
                    @match &row.load {
                        Some(load) => {
                            td { (figure(load.dry_kg)) }
                            td { (figure(load.wet_kg)) }
                            td { (lifted_by(load.people, load.sections, load.section_m)) }
                        }
                        None => { td { "?" } td { "?" } td { "the sheet's weight was not told" } }
                    }
                }
            }
        }
        @if rows.len() > MOST_ROWS {
            p.small { "The other " (rows.len() - MOST_ROWS) " sizes stand in strips.csv." }
        }
        p.small {
            "Held against " (plain(of.lift_kg.unwrap_or(ONE_PERSON_KG))) " kg for one person (HSE, INDG143: 25 kg for men, 16 kg for women, at \
             knuckle height and close to the body); two lift two thirds of their sum, three or four half."
        }
    }
}

/// Who lifts a piece, in words.
fn lifted_by(people: Option<u64>, sections: Option<u64>, section_m: Option<f64>) -> String {
    let team = match people {
        Some(1) => "1 person".to_owned(),
        Some(n) => format!("{n} people"),
        None => "too heavy for a team of four".to_owned(),
    };
    match (sections, section_m) {
        (Some(n), Some(long)) if n > 1 => {
            format!("{team}; those there: {n} sections of {} m", figure(long))
        }
        _ => team,
    }
}
