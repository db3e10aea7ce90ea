//! What is asked of the next trial, and which past trials teach: from the request, the protocol and past results.

use halfgreen_analysis::sequential::spending::Spending;

use super::super::{Refusal, trial};
use super::Request;
use crate::design::{Cost, Green, Protocol};
use crate::intake::counted_already;
use crate::judgement::judge;
use crate::next_season::after_trial::{AfterTrial, POWER, outcomes};
use crate::next_season::follows::Outcome;
use crate::next_season::looks;
use crate::next_season::past_results::read_results;
use crate::next_season::past_trial::PastTrial;
use crate::next_season::sample_size_request::SampleSizeRequest;
use crate::next_season::terms::Terms;
use crate::store::{LAYOUT, RESULTS, Sources, TRIAL, TrialFolder};
use crate::{Error, Warning};

/// The size asked for, and the trials to learn from.
#[derive(Debug)]
pub(super) struct Question {
    pub(super) wanted: SampleSizeRequest,
    pub(super) past: Vec<PastTrial>,
    /// The trial of the folder, where one is named.
    pub(super) trial: Option<Judged>,
    pub(super) warnings: Vec<Warning>,
}

/// A trial of a folder, with what it said.
#[derive(Debug)]
pub(super) struct Judged {
    protocol: Protocol,
    greens: Vec<Green>,
    cost: Cost,
    outcomes: Vec<Outcome>,
}

impl Judged {
    /// Forgets the ground where another number of methods is asked about than its protocol lays out.
    fn ground_of(&mut self, methods: usize) -> Option<Warning> {
        let own = self.after().request_for_any_reduction().methods;
        if methods == own || self.greens.is_empty() {
            return None;
        }
        self.greens.clear();
        Some(Warning {
            code: "ground-not-known",
            message: format!(
                "whether there is room for a plan is said only for as many methods as would be tried again ({own})"
            ),
            place: None,
        })
    }

    pub(super) fn after(&self) -> AfterTrial<'_> {
        AfterTrial {
            protocol: &self.protocol,
            greens: &self.greens,
            cost: &self.cost,
            outcomes: &self.outcomes,
        }
    }
}

/// Cores in each plot to try where neither the request nor a protocol says it.
const CORES: [usize; 4] = [1, 2, 4, 8];
/// Error rate where neither the request nor a protocol says it.
const ALPHA: f64 = 0.05;

/// Reads the protocol and the past results that the request names.
pub(super) fn question(request: &Request, sources: &dyn Sources) -> Result<Question, Refusal> {
    let (mut past, mut warnings) = (Vec::new(), Vec::new());
    let mut trial = None;
    if let Some(dir) = &request.dir {
        let (judged, taught) = judged(&TrialFolder::open(sources, dir)?, request, &mut warnings)?;
        past.push(taught);
        trial = Some(judged);
    }
    let core_area = trial.as_ref().map(|t| t.protocol.response.core_area_m2);
    for path in &request.past {
        let name = path.display().to_string();
        let (kept, lacking) = read_results(&name, &sources.text(path)?, core_area)?;
        warnings.extend(lacking);
        past.push(kept.trial);
    }
    let wanted = wanted(request, trial.as_ref())?;
    if let Some(trial) = &mut trial {
        warnings.extend(trial.ground_of(wanted.methods));
    }
    Ok(Question {
        wanted,
        past,
        trial,
        warnings,
    })
}

/// A refusal to size a trial, with what follows from the one that was judged.
fn beside(fault: Error, follows: &str) -> Error {
    if follows.is_empty() {
        return fault;
    }
    Error {
        cure: format!("{} {follows}.", fault.cure),
        ..fault
    }
}

/// The size asked for: what the request says, else what follows from the trial that is learned from.
fn wanted(request: &Request, trial: Option<&Judged>) -> Result<SampleSizeRequest, Error> {
    let share = request.reduction.map(|percent| percent / 100.0);
    let usual = match (trial, share) {
        (Some(trial), None) => {
            let after = trial.after();
            let follows = after.follows().sentence;
            after.request().map_err(|fault| beside(fault, &follows))?
        }
        (Some(trial), Some(_)) => trial.after().request_for_any_reduction(),
        (None, Some(_)) => from_nothing(),
        (None, None) => {
            let cure = "Give the smallest reduction worth having, in per cent.";
            return Err(Error::in_field("reduction", "it is not given", cure));
        }
    };
    let given = |asked: &[usize], usual: Vec<usize>| {
        if asked.is_empty() {
            usual
        } else {
            asked.to_vec()
        }
    };
    Ok(SampleSizeRequest {
        reduction: share.unwrap_or(usual.reduction),
        methods: request.methods.unwrap_or(usual.methods),
        alpha: request.alpha.unwrap_or(usual.alpha),
        power: request.power,
        blocks: given(&request.blocks, usual.blocks),
        cores_per_plot: given(&request.cores, usual.cores_per_plot),
        looks: request.looks.clone(),
        spending: if request.even_looks {
            Spending::Pocock
        } else {
            looks::USUAL
        },
        terms: usual.terms,
    })
}

/// What is asked where no trial says anything, but for the reduction.
fn from_nothing() -> SampleSizeRequest {
    SampleSizeRequest {
        reduction: 0.0,
        methods: 1,
        alpha: ALPHA,
        power: POWER,
        blocks: Vec::new(),
        cores_per_plot: CORES.to_vec(),
        looks: Vec::new(),
        spending: looks::USUAL,
        terms: Terms::default(),
    }
}

/// The trial of a folder: judged now where it is counted, else as its kept results say.
fn judged(
    folder: &TrialFolder<'_>,
    request: &Request,
    warnings: &mut Vec<Warning>,
) -> Result<(Judged, PastTrial), Refusal> {
    let read = trial::protocol(folder)?;
    let area = read.protocol.response.core_area_m2;
    let mut found = Judged {
        cost: read.supplies.cost,
        greens: Vec::new(),
        outcomes: Vec::new(),
        protocol: read.protocol,
    };
    // What no size can follow from is refused before it is judged.
    if request.reduction.is_none() || !found.protocol.response.kind.is_count() {
        found.after().request().map_err(|e| folder.placed(e))?;
    }
    warnings.extend(read.cautions);
    // What is counted is judged now: kept results may be those of earlier counts.
    let counted = match folder.counts()? {
        Some((name, text)) => counted_already(&folder.shown(name), &text, &found.protocol) > 0,
        None => false,
    };
    let taught = match folder.optional_text(RESULTS)? {
        Some(text) if !counted || !folder.has(LAYOUT) => {
            let (kept, lacking) = read_results(&folder.shown(RESULTS), &text, Some(area))?;
            warnings.extend(lacking);
            found.outcomes = kept.outcomes;
            kept.trial
        }
        _ => {
            let trial = trial::trial(folder, None)?;
            let (judgement, _) = judge(&trial.data, trial.seed)?;
            found.outcomes = outcomes(&judgement);
            PastTrial::of(&judgement, area)?
        }
    };
    match trial::greens(folder, &found.protocol) {
        Ok(greens) => found.greens = greens,
        Err(refusal) => {
            let why = refusal.errors.iter().map(ToString::to_string);
            let why: Vec<String> = why.collect();
            let message = format!(
                "whether there is room for a plan cannot be said: {}",
                why.join(" ")
            );
            warnings.push(Warning::at(
                "ground-not-known",
                message,
                folder.shown(TRIAL),
            ));
        }
    }
    Ok((found, taught))
}
