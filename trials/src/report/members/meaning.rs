//! What a club may take from the verdicts.

use halfgreen_analysis::comparison::{Call, Relevance};

use super::super::Findings;
use super::ground;
use crate::judgement::Verdict;

/// What a club may take from the verdicts: of several methods, a sentence or two for each kind of verdict. `carried` says
/// whether single plots would change an answer.
pub(super) fn meaning(findings: &Findings<'_>, carried: bool) -> String {
    let verdicts = &findings.judgement.verdicts;
    if findings.judgement.units.total == 0 {
        return "Nothing was found in any plot, treated or not. That says nothing for or against what was tried: there was \
                nothing for it to work on."
            .to_owned();
    }
    let several = verdicts.len() > 1;
    let like_these = (findings.judgement.by_group.as_ref()).is_some_and(|found| found.like_these);
    let said = [
        (Kind::Worked, worked(findings, several, like_these)),
        (Kind::Useless, useless(several, carried)),
        (Kind::Harmful, harmful(several)),
        (Kind::Open, open(several, like_these)),
    ];
    let said = said
        .into_iter()
        .filter(|(kind, _)| verdicts.iter().any(|v| Kind::of(v) == *kind));
    let sentences: Vec<String> = said.map(|(_, sentence)| sentence).collect();
    sentences.join(" ")
}

/// What follows from a verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Worked,
    Useless,
    Harmful,
    Open,
}

impl Kind {
    fn of(verdict: &Verdict) -> Self {
        match (verdict.call, verdict.relevance) {
            (Call::BeatTheControl, Relevance::Excluded) | (Call::TooSmallToMatter, _) => {
                Self::Useless
            }
            (Call::BeatTheControl, _) => Self::Worked,
            (Call::DidWorse, _) => Self::Harmful,
            (Call::CannotTell, _) => Self::Open,
        }
    }
}

fn worked(findings: &Findings<'_>, several: bool, like_these: bool) -> String {
    let what = if several {
        "What we say has worked did so"
    } else {
        "It worked"
    };
    if like_these {
        return format!(
            "{what} on average on greens like these, in this season. Every green differs: on a single one it may do \
             better or worse."
        );
    }
    let greens = match ground(findings.layout) {
        "the greens" => "these greens",
        _ => "this green",
    };
    format!(
        "{what} on {greens}, in this season. Larvae sit in clumps and every green differs, so it may do better or \
         worse elsewhere."
    )
}

fn useless(several: bool, carried: bool) -> String {
    let left = "no gain worth the work is left possible";
    if carried && !several {
        format!("If every count stands, {left}.")
    } else if several {
        "What brought no gain worth the work need not be tried again for its own sake.".to_owned()
    } else {
        format!("We can stop wondering: {left}.")
    }
}

fn harmful(several: bool) -> String {
    let what = if several {
        "What made things worse should not be used"
    } else {
        "It made things worse. We shall not use it"
    };
    format!("{what} on the whole course.")
}

fn open(several: bool, like_these: bool) -> String {
    let what = if several {
        "What we cannot tell yet is not a yes, and it is not a no"
    } else {
        "That is not a yes, and it is not a no"
    };
    let why = if like_these {
        "What we found differs so much from green to green, or the greens are so few, that this trial could not tell what to \
         expect on others"
    } else {
        "The plots differ too much from each other, or there were too few of them, for this trial to tell"
    };
    format!("{what}. {why}. Spending money on it for the whole course would be a guess.")
}
