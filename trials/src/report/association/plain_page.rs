//! `association.html`: one sheet of A4 for people who run clubs.

use std::collections::BTreeSet;

use halfgreen_analysis::comparison::Call;
use maud::{Markup, html};

use super::super::cautions;
use super::super::figures::Figure;
use super::super::head::{short_name, short_title};
use super::super::page::{figure, page};
use super::forest;
use crate::association::{
    Association, MethodAnswer, association_headline, hangs_on, how_far_clubs_differ,
    next_club_in_words, of_twenty_animals,
};
use crate::text::rounding::change;
use crate::text::spelling::number;

/// Methods from which on the page shows all of them in one figure in the place of every club.
const SEVERAL: usize = 2;

/// The page.
pub(super) fn page_of(found: &Association, title: &str, figures: &[Figure]) -> String {
    let several = !found.methods.is_empty();
    let worth = found
        .answer
        .better
        .ratio_by(found.worthwhile_percent / 100.0);
    let forest = [forest::on_a_sheet(&found.answer, worth)];
    let shown = short_title(title);
    let cut = shown != title || found.all().any(|m| short_name(&m.name) != m.name);
    let body = html! {
        header { h1 { (shown) } p.lead { (who(found)) } }
        main {
            section { h2 { "What we asked" } p { (asked(found)) } }
            section.verdict aria-label="What we found" {
                @for answer in found.all() { (verdict(answer, found, several)) }
            }
            @if several { (figure(figures, "methods")) } @else { (figure(&forest, "forest")) }
            div.closing {
                section { h2 { "What your club may expect" } @for answer in found.all() { (expected(answer, found, several)) } }
                section { h2 { "How sure is that?" } (sure(found)) }
            }
            section.caution { p { "Sheets are heavy and wind gets under them; turf under plastic scorches after sunrise; drenches irritate. "
                (cautions::LAST) } }
        }
        footer { p { "Made by halfgreen " (env!("CARGO_PKG_VERSION")) " from the trials of the clubs. Every club, every figure and how it was \
            reckoned stand in pool.html." @if cut { " What ends in “…” was too long for this page; all of it stands there." } } }
    };
    let class = match (found.methods.len() >= SEVERAL, cut) {
        (false, false) => "members association",
        (true, false) | (false, true) => "members many association",
        (true, true) => "members many crowded association",
    };
    page(&shown, class, &body)
}

/// Who took part: clubs, trials, years.
fn who(found: &Association) -> String {
    let trials = || found.all().flat_map(|m| &m.trials);
    let clubs: BTreeSet<&str> = trials().map(|t| t.club.as_str()).collect();
    let each: BTreeSet<(&str, &str, Option<i16>)> = trials()
        .map(|t| (t.club.as_str(), t.trial.as_str(), t.season))
        .collect();
    let years: BTreeSet<i16> = trials().filter_map(|t| t.season).collect();
    let when = match (years.first(), years.last()) {
        (Some(first), Some(last)) if first == last => format!(", {first}"),
        (Some(first), Some(last)) => format!(", {first} to {last}"),
        _ => String::new(),
    };
    let codes = if found.anonymised {
        " Clubs stand here by a code that each of them knows of itself."
    } else {
        ""
    };
    format!(
        "{} of {}{when}.{codes}",
        number(each.len(), "trial"),
        number(clubs.len(), "club")
    )
}

fn asked(found: &Association) -> Markup {
    let names: Vec<String> = found.all().map(|m| short_name(&m.name)).collect();
    let agreed = change(
        found
            .answer
            .better
            .ratio_by(found.worthwhile_percent / 100.0),
    );
    html! {
        "Every club drew lots for which plots got what, counted, and compared with plots that were left as they were. One club's plots \
         seldom settle it. So we put the clubs together: does " (quoted(&names)) " help on average, by how much, and what may the \
         next club expect? Worth the work would be " (agreed) "."
    }
}

/// Names, each in quotes.
fn quoted(names: &[String]) -> String {
    let each: Vec<String> = names.iter().map(|n| format!("“{n}”")).collect();
    match each.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

fn verdict(answer: &MethodAnswer, found: &Association, several: bool) -> Markup {
    let headline = association_headline(answer.call, answer.relevance);
    let worth = change(answer.better.ratio_by(found.worthwhile_percent / 100.0));
    html! {
        h2 { @if several { (short_name(&answer.name)) ": " (uncapital(headline)) } @else { (headline) } }
        p {
            @match (answer.ratio, answer.ratio_low, answer.ratio_high) {
                (Some(ratio), Some(low), Some(high)) => {
                    (over(answer)) " there were, " (of_twenty_animals(ratio, low, high, &answer.counted)) ". That is " (change(ratio)) ". "
                }
                _ => { (answer.sentence) " " }
            }
            (enough(answer, &worth)) (unweighed(answer))
        }
    }
}

fn over(answer: &MethodAnswer) -> String {
    match answer.clubs {
        1 => "At the one club that tried it".to_owned(),
        n => match tried(answer) {
            all if all > n => format!("On average over {n} of the {all} clubs that tried it"),
            _ => format!("On average over {n} clubs"),
        },
    }
}

/// Clubs with a trial of the method, whether it could be averaged or not.
fn tried(answer: &MethodAnswer) -> usize {
    let clubs: BTreeSet<&str> = answer.trials.iter().map(|t| t.club.as_str()).collect();
    clubs.len()
}

/// Why trials have no weight in the average, where some have none.
fn unweighed(answer: &MethodAnswer) -> String {
    if answer.ratio.is_none() {
        return String::new();
    }
    let without = || answer.trials.iter().filter(|t| t.weight.is_none());
    let empty = without().filter(|t| t.zero_arm).count();
    let unsure = without().count() - empty;
    let mut said = Vec::new();
    if empty > 0 {
        said.push(format!(
            " {} had nothing at all on one side. That cannot be averaged, and may leave out where it worked best.",
            number(empty, "trial")
        ));
    }
    if unsure > 0 {
        let has = if unsure == 1 { "has" } else { "have" };
        said.push(format!(
            " {} {has} no weight in it, for so little was found there, or plots differ so much, that nothing bounds the result.",
            number(unsure, "trial")
        ));
    }
    said.concat()
}

/// Whether it is enough, and what an open answer leaves open.
fn enough(answer: &MethodAnswer, worth: &str) -> String {
    use halfgreen_analysis::comparison::Relevance::{Established, Excluded, Undecided};
    match (answer.call, answer.relevance) {
        (Call::BeatTheControl, Established) => {
            format!("Even the cautious end of that is better than {worth}.")
        }
        (Call::BeatTheControl, Undecided) => {
            format!("Whether it is as good as {worth} is not settled.")
        }
        (Call::BeatTheControl, Excluded) | (Call::TooSmallToMatter, _) => {
            format!("It is not as good as {worth}.")
        }
        (Call::CannotTell, _) if answer.ratio.is_some() => {
            "So it may help on average, or do nothing, or do harm. That is not a no.".to_owned()
        }
        (Call::DidWorse | Call::CannotTell, _) => String::new(),
    }
}

fn expected(answer: &MethodAnswer, found: &Association, several: bool) -> Markup {
    let worth = answer.better.ratio_by(found.worthwhile_percent / 100.0);
    html! {
        p {
            @if several { b { (short_name(&answer.name)) ". " } }
            @for sentence in next_club_in_words(answer, worth) { (sentence) " " }
        }
    }
}

fn sure(found: &Association) -> Markup {
    let wrong = 100.0 * found.alpha;
    let open = found.all().any(|m| m.call == Call::CannotTell);
    let several = !found.methods.is_empty();
    html! {
        p {
            @for answer in found.all() {
                @if several { b { (short_name(&answer.name)) ". " } }
                (how_far_clubs_differ(answer)) " "
                @if let Some(doubt) = hangs_on(answer) { (doubt) " " }
            }
        }
        p {
            "A method that does nothing on average would be called a help or a harm in about " (format!("{wrong:.0}"))
            " of 100 such sets of trials. "
            @if open { "“Cannot tell” does not mean that it does nothing. " }
            @if found.left_out_number > 0 {
                "Beside these, " (number(found.left_out_number, "trial")) " could not be read; the full report says which and why. "
            }
        }
    }
}

/// A heading that goes on from a name.
fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_ascii_lowercase());
    first.into_iter().chain(letters).collect()
}
