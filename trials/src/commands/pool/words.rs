//! `pool` for people: the verdict, what the next club may expect, every club, and what was left out.

use halfgreen_analysis::comparison::Call;

use super::super::{Line, Side, Status, Table, Words};
use super::Request;
use crate::association::{
    Association, MethodAnswer, TrialRow, association_headline, hangs_on, how_far_clubs_differ,
    next_club_in_words,
};
use crate::text::rounding::{NONE, chance, figure, maybe, percent};
use crate::text::spelling::number;

/// Clubs that are listed one by one; all of them stand in the tables that `--out` writes.
const LISTED: usize = 60;

/// Trials left out that are listed one by one.
const LEFT_OUT: usize = 20;

/// All of it.
pub(super) fn words(found: &Association, request: &Request) -> Words {
    let mut words = Words::default();
    for answer in found.all() {
        words.append(of_method(answer, found, request));
    }
    left_out(found, &mut words);
    words
}

fn of_method(answer: &MethodAnswer, found: &Association, request: &Request) -> Words {
    let mut words = Words::default();
    let status = match answer.call {
        Call::BeatTheControl => Status::Good,
        Call::DidWorse => Status::Bad,
        Call::TooSmallToMatter | Call::CannotTell => Status::Doubtful,
    };
    let headline = association_headline(answer.call, answer.relevance);
    words.paragraph([
        Line::told(status, format!("{}: {headline}", answer.name), ""),
        answer.sentence.as_str().into(),
    ]);
    let worth = answer.better.ratio_by(found.worthwhile_percent / 100.0);
    words.section("the next club", next_club_in_words(answer, worth));
    words.section("how far clubs differ", [how_far_clubs_differ(answer)]);
    let doubts = hangs_on(answer).into_iter();
    words.section(
        "can it be believed?",
        doubts.chain(answer.cautions.iter().map(|c| capital(c))),
    );
    let asked = answer.moderators.iter().map(|m| m.sentence.as_str());
    words.section("what the effect goes with", asked);
    words.table(trials(answer));
    let hidden = answer.trials.len().saturating_sub(LISTED);
    if hidden > 0 {
        let where_to = if request.out.is_some() {
            "effects.csv has all"
        } else {
            "--out writes all into a table"
        };
        words.line(format!("{} more; {where_to}.", number(hidden, "trial")));
    }
    words.paragraph([figures(answer)]);
    words
}

fn trials(answer: &MethodAnswer) -> Table {
    let mut table = Table::new([
        ("club", Side::Left),
        ("trial", Side::Left),
        ("ratio", Side::Right),
        ("likely between", Side::Right),
        ("weight", Side::Right),
        ("its own verdict", Side::Left),
    ]);
    for t in answer.trials.iter().take(LISTED) {
        table.row([
            t.club.clone(),
            t.trial.clone(),
            maybe(t.ratio()),
            t.limits(),
            t.weight.map_or(NONE.to_owned(), percent),
            t.call.map_or("", own_verdict).to_owned(),
        ]);
    }
    let same = answer.trials.iter().all(|t| t.club == t.trial);
    let unjudged = answer.trials.iter().all(|t| t.call.is_none());
    let table = if same { table.without("trial") } else { table };
    if unjudged {
        table.without("its own verdict")
    } else {
        table
    }
}

fn own_verdict(call: Call) -> &'static str {
    match call {
        Call::BeatTheControl => "beat the control",
        Call::DidWorse => "did worse",
        Call::TooSmallToMatter => "too small to matter",
        Call::CannotTell => "cannot tell",
    }
}

/// The figures of the pool in a sentence.
fn figures(answer: &MethodAnswer) -> String {
    let (Some(effect), Some(low), Some(high)) = (answer.effect, answer.low, answer.high) else {
        return "No trial has a log ratio to pool.".to_owned();
    };
    format!(
        "log ratio {} ({} to {}), p {}; tau\u{b2} {} ({} to {}), I\u{b2} {}, Q {} on {}, p {}",
        figure(effect),
        figure(low),
        figure(high),
        answer.p_adjusted.map_or(NONE.to_owned(), chance),
        maybe(answer.tau2),
        maybe(answer.tau2_low),
        answer.tau2_high.map_or("no limit".to_owned(), figure),
        answer.i2.map_or(NONE.to_owned(), |i2| percent(i2 / 100.0)),
        maybe(answer.q),
        answer.q_df.unwrap_or(0),
        answer.q_p.map_or(NONE.to_owned(), chance),
    )
}

fn left_out(found: &Association, words: &mut Words) {
    if found.left_out.is_empty() {
        return;
    }
    let lines = found.left_out.iter().take(LEFT_OUT);
    let mut lines: Vec<String> = lines
        .map(|l| format!("{}: {}", l.place, l.reason))
        .collect();
    if found.left_out.len() > lines.len() {
        let more = found.left_out.len() - lines.len();
        lines.push(format!("and {more} more"));
    }
    words.section(format!("left out ({})", found.left_out_number), lines);
}

/// A sentence with a capital and a full stop.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    let end = if text.ends_with('.') { "" } else { "." };
    first.chain(letters).collect::<String>() + end
}

impl TrialRow {
    /// Its limits as people read them.
    pub(super) fn limits(&self) -> String {
        let (low, high) = self.likely();
        format!("{} - {}", maybe(low), maybe(high))
    }
}
