//! Trial by trial, and club by club: the long tables of the statistician's page.

use maud::{Markup, html};

use super::super::page::Column::{Figures, Words};
use super::super::page::table;
use crate::association::{MethodAnswer, WithoutClub};
use crate::text::rounding::{NONE, figure as digits, maybe, percent, span};
use crate::text::spelling::number;

/// Trials, clubs and what was left out, of which so many are listed one by one; all of them stand in tables beside the page.
pub(super) const LISTED: usize = 200;

/// Each trial; of very many those of the greatest weight, and where the others are.
pub(super) fn trials(answer: &MethodAnswer, file: &str) -> Markup {
    let columns = [
        Words("club"),
        Words("trial"),
        Figures("year"),
        Figures("ratio"),
        Figures("limits"),
        Figures("log ratio"),
        Figures("se"),
        Figures("df"),
        Figures("found: method, control"),
        Figures("weight"),
    ];
    let count = |c: Option<u64>| c.map_or(NONE.to_owned(), |c| c.to_string());
    let rows: Vec<Vec<String>> = (answer.weightiest(LISTED).into_iter())
        .map(|t| {
            let (low, high) = t.likely();
            vec![
                t.club.clone(),
                t.trial.clone(),
                t.season.map_or(NONE.to_owned(), |s| s.to_string()),
                maybe(t.ratio()),
                span(low, high),
                maybe(t.effect),
                maybe(t.se),
                maybe(t.df),
                format!("{}, {}", count(t.treated_count), count(t.control_count)),
                t.weight.map_or("not in it".to_owned(), percent),
            ]
        })
        .collect();
    let more = answer.trials.len() - rows.len();
    html! {
        h3 { @if more == 0 { "Every trial" } @else { "The " (LISTED) " trials of the greatest weight" } }
        (table(&format!("{}: each trial as it was judged by itself", answer.name), &columns, &rows))
        @if more > 0 { p { (number(more, "more trial")) " in " (file) ".csv." } }
    }
}

/// The average without a club; those clubs first without which the call would be another one.
pub(super) fn without_each(answer: &MethodAnswer) -> Markup {
    let columns = [
        Words("without"),
        Figures("ratio"),
        Figures("limits"),
        Figures("τ²"),
        Figures("I²"),
        Words("the call would be"),
    ];
    let mut told: Vec<&WithoutClub> = answer.leave_one_out.iter().collect();
    if told.len() > LISTED {
        told.sort_by_key(|w| w.call == answer.call);
        told.truncate(LISTED);
    }
    let more = answer.leave_one_out.len() - told.len();
    let rows: Vec<Vec<String>> = (told.into_iter())
        .map(|w| {
            let call = serde_json::to_value(w.call).ok();
            let call = call.and_then(|c| c.as_str().map(|c| c.replace('-', " ")));
            vec![
                w.club.clone(),
                digits(w.effect.exp()),
                span(Some(w.low.exp()), Some(w.high.exp())),
                digits(w.tau2),
                percent(w.i2 / 100.0),
                call.unwrap_or_default(),
            ]
        })
        .collect();
    html! {
        @if !rows.is_empty() {
            h3 { "Without each club in turn" }
            @if let Some(tried) = answer.clubs_of_most_weight() {
                p { "Of " (answer.clubs) " clubs the " (tried) " of the greatest weight were left out in turn." }
            }
            (table(&format!("{}: the average without one club", answer.name), &columns, &rows))
            @if more > 0 { p { (number(more, "more club")) " in leave-one-out.csv." } }
        }
    }
}
