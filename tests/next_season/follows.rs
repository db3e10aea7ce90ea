//! What verdicts lead to: the same question, the next one, or no larger trial.

use halfgreen::design::{Protocol, read_protocol};
use halfgreen::next_season::follows::{Outcome, Step, follows};
use halfgreen_analysis::comparison::Call;
use halfgreen_analysis::comparison::Relevance::{self, Established, Excluded, Undecided};

use crate::scratch::PROTOCOL;

fn protocol(text: &str) -> Protocol {
    read_protocol("trial.toml", text).unwrap().protocol
}

fn outcome(treatment: &str, call: Call, relevance: Relevance) -> Outcome {
    Outcome {
        treatment: treatment.to_owned(),
        call,
        relevance,
    }
}

#[test]
fn a_clear_yes_asks_the_next_question_and_a_clear_no_asks_none() {
    let plan = protocol(PROTOCOL);
    let step = |call, relevance| follows(&plan, &[outcome("C", call, relevance)]).step;
    for (call, relevance, expected) in [
        (Call::BeatTheControl, Established, Step::NextQuestion),
        (Call::BeatTheControl, Undecided, Step::NarrowerLimits),
        (Call::BeatTheControl, Excluded, Step::NoLargerTrial),
        (Call::DidWorse, Excluded, Step::NoLargerTrial),
        (Call::TooSmallToMatter, Excluded, Step::NoLargerTrial),
        (Call::CannotTell, Undecided, Step::SameQuestion),
    ] {
        assert_eq!(step(call, relevance), expected, "{call:?} {relevance:?}");
    }
    // Where nothing is known of the verdicts, the question stands.
    assert_eq!(follows(&plan, &[]).step, Step::SameQuestion);
}

#[test]
fn what_was_asked_already_is_not_asked_next() {
    let won = [outcome("C", Call::BeatTheControl, Established)];
    let lasts = |plan: &Protocol| {
        let found = follows(plan, &won);
        found
            .questions
            .iter()
            .any(|q| q.contains("whether it lasts"))
    };
    let plan = protocol(PROTOCOL);
    assert!(lasts(&plan));
    let later = "[[occasion]]\nname = \"spring\"\nrole = \"follow-up\"\n\n[decision]";
    assert!(!lasts(&protocol(&PROTOCOL.replace("[decision]", later))));
}

/// Of several methods only those still open are tried again.
#[test]
fn only_what_is_open_is_tried_again() {
    let third = "[[treatment]]\ncode = \"S\"\nname = \"slit\"\n\n[design]";
    let text = PROTOCOL
        .replace("[design]", third)
        .replace("\"paired\"", "\"randomised-blocks\"");
    let found = follows(
        &protocol(&text),
        &[
            outcome("C", Call::DidWorse, Excluded),
            outcome("S", Call::CannotTell, Undecided),
        ],
    );
    assert_eq!(
        (found.step, found.open),
        (Step::SameQuestion, vec!["S".to_owned()])
    );
    assert_eq!(
        found.sentence,
        "Only slit is still open, and the plan is for that alone"
    );
}
