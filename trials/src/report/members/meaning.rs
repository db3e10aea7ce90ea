//! What a club may take from the verdicts.

use halfgreen_analysis::comparison::{Call, Relevance};

use super::super::Findings;
use super::ground;
use crate::judgement::Verdict;

/// What a club may take from the verdicts.
pub(super) fn meaning(findings: &Findings<'_>) -> &'static str {
    let verdicts = || findings.judgement.verdicts.iter();
    let worked = |v: &Verdict| v.call == Call::BeatTheControl && v.relevance != Relevance::Excluded;
    let useless = |v: &Verdict| {
        v.call == Call::TooSmallToMatter || (v.call == Call::BeatTheControl && !worked(v))
    };
    let several = findings.judgement.verdicts.len() > 1;
    let like_these = (findings.judgement.by_group.as_ref()).is_some_and(|found| found.like_these);
    if findings.judgement.units.total == 0 {
        return "Nothing was found in any plot, treated or not. That says nothing for or against what was tried: there was \
                nothing for it to work on.";
    }
    if verdicts().any(worked) {
        match (ground(findings.layout), like_these) {
            (_, true) => {
                "On greens like these, in a season like this, what we say has worked does work. Every green differs. On one \
                 of them it may do better or worse than the figure we found."
            }
            ("the greens", false) if several => {
                "What we say has worked did so on these greens, in this season. Larvae sit in clumps and every green differs, \
                 so it may do better or worse elsewhere."
            }
            (_, false) if several => {
                "What we say has worked did so on this green, in this season. Larvae sit in clumps and every green differs, so \
                 it may do better or worse elsewhere."
            }
            ("the greens", false) => {
                "It worked on these greens, in this season. Larvae sit in clumps and every green differs, so it may do \
                 better or worse elsewhere."
            }
            _ => {
                "It worked on this green, in this season. Larvae sit in clumps and every green differs, so it may do better \
                 or worse elsewhere."
            }
        }
    } else if verdicts().all(useless) {
        "We can stop wondering. Whatever good it does, it is not worth the work."
    } else if verdicts().any(|v| v.call == Call::DidWorse) {
        if several {
            "What made things worse seems to do harm. We shall not use that on the whole course."
        } else {
            "It seems to do harm. We shall not use it on the whole course."
        }
    } else if verdicts().any(useless) {
        "What we cannot tell yet is not a yes, and it is not a no: the counts differ too much from place to place. Spending money \
         on it for the whole course would be a guess. The rest is not worth the work."
    } else if like_these {
        "That is not a yes, and it is not a no. What we found differs so much from green to green that this trial could not \
         tell what to expect on others. Spending money on it for the whole course would be a guess."
    } else {
        "That is not a yes, and it is not a no. The counts differ so much from place to place that this trial could not tell. \
         Spending money on it for the whole course would be a guess."
    }
}
