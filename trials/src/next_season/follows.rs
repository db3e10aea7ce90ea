//! What follows a trial's verdicts: the same question again, the next question, or no larger trial.

use halfgreen_analysis::comparison::{Call, Relevance};
use serde::Serialize;

use crate::design::{Protocol, Role};
use crate::text::shortened::shortened;
use crate::text::spelling::list;

/// What a trial said of a method.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// Code of the method.
    pub treatment: String,
    /// The verdict.
    pub call: Call,
    /// Whether the difference is worth having.
    pub relevance: Relevance,
}

/// What to do next season.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// The question is still open: a trial that is large enough to settle it.
    SameQuestion,
    /// A method beat the control, and whether by enough to matter is open: no trial that only finds an effect settles that.
    NarrowerLimits,
    /// A method beat the control by enough to matter: what to ask of it next.
    NextQuestion,
    /// It is settled that nothing is to be gained: no larger trial of it.
    NoLargerTrial,
}

/// What follows, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Follows {
    /// What to do.
    pub step: Step,
    /// Codes of the methods that are still open.
    pub open: Vec<String>,
    /// What to ask of a method that works.
    pub questions: Vec<String>,
    /// The step in a sentence; empty where the whole question is still open.
    pub sentence: String,
    /// The same for people who read no protocol.
    #[serde(skip)]
    pub plain: String,
}

/// Whether a verdict leaves its question open: it could not tell, or not whether the effect matters.
fn open(outcome: &Outcome) -> bool {
    match outcome.call {
        Call::CannotTell => true,
        Call::BeatTheControl => outcome.relevance == Relevance::Undecided,
        Call::DidWorse | Call::TooSmallToMatter => false,
    }
}

/// What follows the verdicts of a protocol's methods.
#[must_use]
pub fn follows(protocol: &Protocol, outcomes: &[Outcome]) -> Follows {
    let name = |code: &str| {
        let named = protocol.treatments.iter().find(|t| t.code == code);
        named.map_or(code.to_owned(), |t| t.name.clone())
    };
    let names = |which: &dyn Fn(&Outcome) -> bool| -> Vec<String> {
        let kept = outcomes.iter().filter(|o| which(o));
        kept.map(|o| name(&o.treatment)).collect()
    };
    let still: Vec<String> = outcomes
        .iter()
        .filter(|o| open(o))
        .map(|o| o.treatment.clone())
        .collect();
    let won = |o: &Outcome| o.call == Call::BeatTheControl && o.relevance == Relevance::Established;
    let winners = names(&won);
    let mut unsettled = outcomes.iter().filter(|o| open(o)).peekable();
    if unsettled.peek().is_some() && unsettled.all(|o| o.call == Call::BeatTheControl) {
        let (listed, told) = (list(&names(&open)), told(&names(&open), outcomes.len()));
        return narrower_limits(still, &listed, &told);
    }
    if !still.is_empty() || outcomes.is_empty() {
        let settled = still.len() < outcomes.len();
        let (listed, told) = (list(&names(&open)), told(&names(&open), outcomes.len()));
        let (sentence, plain) = if settled {
            let verb = if still.len() == 1 { "is" } else { "are" };
            (
                format!("Only {listed} {verb} still open, and the plan is for that alone"),
                format!("only {told} {verb} still open."),
            )
        } else {
            (String::new(), String::new())
        };
        return Follows {
            step: Step::SameQuestion,
            open: still,
            questions: Vec::new(),
            sentence,
            plain,
        };
    }
    if winners.is_empty() {
        return Follows {
            step: Step::NoLargerTrial,
            open: Vec::new(),
            questions: Vec::new(),
            sentence: "This question is answered, and a larger trial of it is not worth its cost: try another method instead".to_owned(),
            plain: "the question is answered, so we need not ask it again. If anything is tried next, let it be another way.".to_owned(),
        };
    }
    let (questions, plain) = questions(protocol, winners.len() > 1);
    Follows {
        step: Step::NextQuestion,
        open: Vec::new(),
        sentence: format!(
            "This question is answered: {} beat the control by enough to matter, and a larger trial of the same would add little. Ask next {}",
            list(&winners),
            questions.join("; ")
        ),
        plain: format!(
            "the question is answered, so we need not ask it again. Next we can ask {plain}."
        ),
        questions,
    }
}

/// Names told one by one where there are no more than these.
const TOLD: usize = 3;
/// Characters of a name for which a sentence has room.
const NAME: usize = 60;

/// Methods as a sheet that must not grow tells them: few by name, many by their number of all.
fn told(names: &[String], all: usize) -> String {
    if names.len() > TOLD {
        return format!("{} of the {all} methods", names.len());
    }
    let short: Vec<String> = names
        .iter()
        .map(|n| shortened(n, NAME).into_owned())
        .collect();
    list(&short)
}

/// What follows where it is open only how much the methods do.
fn narrower_limits(open: Vec<String>, listed: &str, told: &str) -> Follows {
    Follows {
        step: Step::NarrowerLimits,
        open,
        questions: Vec::new(),
        sentence: format!(
            "{listed} beat the control, and whether by enough to matter is still open: to settle that takes narrower limits, and \
             so more plots or cores than this trial had"
        ),
        plain: format!(
            "{told} worked, and whether well enough is still open. To settle that takes more plots, or more counted in each."
        ),
    }
}

/// What a protocol has not asked of a method that works, and the same for people who read no protocol.
fn questions(protocol: &Protocol, several_won: bool) -> (Vec<String>, String) {
    let later = protocol.occasions.iter().any(|o| o.role == Role::FollowUp);
    let several_greens = protocol.design.arrangement.greens.len() > 1;
    let [lasts, holds, works, this] = if several_won {
        ["they last", "they hold", "they work", "one of these"]
    } else {
        ["it lasts", "it holds", "it works", "this one"]
    };
    let mut all = Vec::new();
    if !later {
        all.push((
            format!("whether {lasts} (count the same plots again on a later occasion, role = \"follow-up\")"),
            format!("whether {lasts}"),
        ));
    }
    all.push((
        format!(
            "whether a cheaper or gentler way does as well (name {this} as `reference` beside it)"
        ),
        "whether a cheaper way does as well".to_owned(),
    ));
    all.push(if several_greens {
        let asked = format!("whether {holds} in another season");
        (asked.clone(), asked)
    } else {
        (
            format!("whether {holds} on the other greens (a [[green]] for each)"),
            format!("whether {works} on other greens"),
        )
    });
    let (asked, plain): (Vec<String>, Vec<String>) = all.into_iter().unzip();
    let plain = match plain.as_slice() {
        [first @ .., last] if first.len() > 1 => format!("{}, and {last}", first.join(", ")),
        few => few.join(" and "),
    };
    (asked, plain)
}
