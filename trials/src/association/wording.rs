//! The association's verdict in plain sentences, by the words that every trial's verdict has.

use halfgreen_analysis::comparison::{Call, Question, Relevance};

use super::answer::MethodAnswer;
use super::next_club::{NextClub, OF};
use crate::judgement::enough_to_matter;
use crate::text::rounding::{between, change};
use crate::text::spelling::number;

/// One to three sentences: what the method does on average.
pub(super) fn sentence(answer: &MethodAnswer, question: &Question) -> String {
    let (name, counted) = (&answer.name, &answer.counted);
    let (Some(ratio), Some(low), Some(high)) = (answer.ratio, answer.ratio_low, answer.ratio_high)
    else {
        let by_counts = answer.empty_arms.as_ref().map_or(String::new(), |found| {
            format!(
                " By the totals of all trials the ratio is likely between {}; the verdict does not rest on that.",
                between(found.ratio_low, found.ratio_high)
            )
        });
        return format!(
            "Cannot tell yet: in no trial of {name} was so much found both under it and in the control that there is a figure to \
             average.{by_counts}"
        );
    };
    let clubs = number(answer.clubs, "club");
    let range = between(Some(low), Some(high));
    let figure = format!("{} {counted} on average", change(ratio));
    let worth = change(question.worthwhile_ratio);
    let one = answer.clubs == 1;
    let over = if one {
        "at the one club that tried it".to_owned()
    } else {
        format!("over {clubs}")
    };
    let first = match answer.call {
        Call::BeatTheControl => format!(
            "{name} beat the control {over}: {figure}; the true average is likely between {range}."
        ),
        Call::DidWorse => format!(
            "{name} did worse than the control {over}: {figure}; the true average is likely between {range}."
        ),
        Call::TooSmallToMatter => format!(
            "{name} does not beat the control by enough to matter {over}: {figure} were found, and an average as large as {worth} is \
             ruled out (likely between {range})."
        ),
        Call::CannotTell => format!(
            "Cannot tell yet whether {name} differs from the control {over}: {figure} were found, but the true average may lie \
             anywhere between {range}."
        ),
    };
    let second = match (answer.call, answer.relevance) {
        (Call::BeatTheControl, relevance) => enough_to_matter(relevance, &worth),
        (Call::CannotTell, _) => " More clubs might tell.".to_owned(),
        (Call::DidWorse | Call::TooSmallToMatter, _) => String::new(),
    };
    format!("{first}{second}")
}

/// How far clubs differ, in a sentence or two.
#[must_use]
pub fn how_far_clubs_differ(answer: &MethodAnswer) -> String {
    let trials = answer.trials.iter().filter(|t| t.weight.is_some()).count();
    match trials {
        0 => return "Nothing can be said of how far clubs differ.".to_owned(),
        1 => {
            return "With one trial nothing can be said of how far clubs differ: its own verdict is all there is."
                .to_owned();
        }
        2 => {
            return "With two trials almost nothing can be said of how far clubs differ; a third and a fourth would tell most."
                .to_owned();
        }
        _ => {}
    }
    let (Some(tau2), Some(high)) = (answer.tau2, answer.tau2_high) else {
        return "How far clubs differ cannot be told from these trials.".to_owned();
    };
    // Two clubs drawn at random differ by a standard deviation of tau times the root of two; a factor is how people see it.
    let most = high.sqrt().exp();
    if tau2 == 0.0 {
        return format!(
            "The clubs differ no more than their own counts would by chance. That they are all alike is not shown: true \
             effects may still be a factor of {} apart from the average.",
            factor(most)
        );
    }
    let low = answer.tau2_low.unwrap_or(0.0).sqrt().exp();
    format!(
        "Clubs differ: at two in three of them the true effect lies within a factor of {} of the average (this factor itself is \
         only known to lie between {} and {}).",
        factor(tau2.sqrt().exp()),
        factor(low),
        factor(most)
    )
}

/// A factor as people read it.
fn factor(x: f64) -> String {
    if x > 99.0 {
        "more than 99".to_owned()
    } else {
        format!("{x:.1}")
    }
}

/// What the next club may expect, in natural frequencies; a sentence that it cannot be told where it cannot.
#[must_use]
pub fn next_club_in_words(answer: &MethodAnswer, worthwhile_ratio: f64) -> Vec<String> {
    let Some(next) = &answer.next_club else {
        return vec![
            "What the next club may expect cannot be told: at least three trials are needed, and ten would be better."
                .to_owned(),
        ];
    };
    let mut said = vec![format!(
        "Another club like these may expect between {}.",
        between(Some(next.ratio_low), Some(next.ratio_high))
    )];
    said.push(of_twenty(next, worthwhile_ratio));
    said.extend(if_clubs_differ_more(answer));
    said
}

/// What another club may expect if clubs differ as much as the trials cannot rule out.
fn if_clubs_differ_more(answer: &MethodAnswer) -> Option<String> {
    let (effect, se, most) = (answer.effect?, answer.se?, answer.tau2_high?);
    // The t that made the limits.
    let t = (answer.high? - effect) / se;
    let reach = t * (most + se * se).sqrt();
    let range = between(Some((effect - reach).exp()), Some((effect + reach).exp()));
    Some(format!(
        "That takes clubs to differ as they seem to; if they differ as much as these trials cannot rule out, it is between {range}."
    ))
}

/// The shares as so many of twenty clubs.
fn of_twenty(next: &NextClub, worthwhile_ratio: f64) -> String {
    let clubs = |share: f64| {
        let number = (OF * share).round();
        if number <= 0.0 {
            "hardly any".to_owned()
        } else if number >= OF {
            "nearly all".to_owned()
        } else {
            format!("about {number:.0}")
        }
    };
    format!(
        "Of {OF:.0} clubs like these it would, by our best reckoning, do good at {}, and reach {} at {}; at {} it \
         would do nothing or harm.",
        clubs(next.share_better),
        change(worthwhile_ratio),
        clubs(next.share_worthwhile),
        clubs(1.0 - next.share_better),
    )
}

/// How many of so many on treated ground: "about 8 of every 20", and likely limits.
#[must_use]
pub fn of_twenty_animals(ratio: f64, low: f64, high: f64, counted: &str) -> String {
    let of = |r: f64| OF * r;
    if of(ratio) > 60.0 {
        return format!("{} {counted}", change(ratio));
    }
    format!(
        "for every {OF:.0} {counted} where nothing was done, about {:.0} where it was (likely between {:.0} and {:.0})",
        of(ratio).round(),
        of(low).floor(),
        of(high).ceil()
    )
}

/// Whether the answer hangs on one club.
#[must_use]
pub fn hangs_on(answer: &MethodAnswer) -> Option<String> {
    let others = answer
        .leave_one_out
        .iter()
        .filter(|w| w.call != answer.call);
    let clubs: Vec<&str> = others.map(|w| w.club.as_str()).collect();
    match clubs.as_slice() {
        [] => None,
        [one] => Some(format!(
            "The answer hangs on one club: without {one} we would have said something else."
        )),
        several => Some(format!(
            "The answer hangs on single clubs: without any one of {} of them we would have said something else.",
            several.len()
        )),
    }
}

/// The heading of an answer, as judged trials have it, but of the average.
#[must_use]
pub fn association_headline(call: Call, relevance: Relevance) -> &'static str {
    match (call, relevance) {
        (Call::BeatTheControl, Relevance::Established) => {
            "Yes: on average it works, and well enough"
        }
        (Call::BeatTheControl, Relevance::Undecided) => {
            "On average it works, but perhaps not well enough"
        }
        (Call::BeatTheControl, Relevance::Excluded) => {
            "On average it works, but too little to be worth it"
        }
        (Call::DidWorse, _) => "No: on average it makes things worse",
        (Call::TooSmallToMatter, _) => "No gain on average that is worth having",
        (Call::CannotTell, _) => "We cannot tell yet",
    }
}
