//! What is asked of the next trial, and which past trials teach: from the request, the protocol and past results.

use halfgreen_analysis::sequential::spending::Spending;

use super::super::{Refusal, trial};
use super::Request;
use crate::design::{Better, Protocol};
use crate::judgement::judge;
use crate::next_season::looks;
use crate::next_season::past_results::read_results;
use crate::next_season::past_trial::PastTrial;
use crate::next_season::sample_size_request::SampleSizeRequest;
use crate::store::{RESULTS, Sources, TRIAL, TrialFolder};
use crate::{Error, Warning};

/// The size asked for, and the trials to learn from.
#[derive(Debug)]
pub(super) struct Question {
    pub(super) wanted: SampleSizeRequest,
    pub(super) past: Vec<PastTrial>,
    pub(super) warnings: Vec<Warning>,
}

/// Cores in each plot to try where neither the request nor a protocol says it.
const CORES: [usize; 4] = [1, 2, 4, 8];
/// Error rate where neither the request nor a protocol says it.
const ALPHA: f64 = 0.05;

/// Reads the protocol and the past results that the request names.
pub(super) fn question(request: &Request, sources: &dyn Sources) -> Result<Question, Refusal> {
    let (mut past, mut warnings) = (Vec::new(), Vec::new());
    let mut planned = None;
    if let Some(dir) = &request.dir {
        let folder = TrialFolder::open(sources, dir)?;
        let read = trial::protocol(&folder)?;
        sized_by_counts(&folder, &read.protocol, request)?;
        warnings.extend(read.cautions);
        let area = read.protocol.response.core_area_m2;
        past.push(match folder.optional_text(RESULTS)? {
            Some(text) => {
                let (kept, lacking) = read_results(&folder.shown(RESULTS), &text, Some(area))?;
                warnings.extend(lacking);
                kept
            }
            None => judged(&folder, area, request.seed)?,
        });
        planned = Some(read.protocol);
    }
    let planned = planned.as_ref();
    let core_area = planned.map(|p| p.response.core_area_m2);
    for path in &request.past {
        let name = path.display().to_string();
        let (kept, lacking) = read_results(&name, &sources.text(path)?, core_area)?;
        warnings.extend(lacking);
        past.push(kept);
    }
    Ok(Question {
        wanted: wanted(request, planned)?,
        past,
        warnings,
    })
}

/// Refuses a trial from which no size can follow.
fn sized_by_counts(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    request: &Request,
) -> Result<(), Error> {
    if !protocol.response.kind.is_count() {
        let what = "this trial takes readings, and plans are sized for counts of animals";
        let cure = "Give --k, --mean and --reduction from a trial with counts.";
        return Err(Error::new(folder.shown(TRIAL), what, cure));
    }
    if protocol.response.better == Better::More && request.reduction.is_none() {
        let what = "this trial looked for an increase, and plans are sized for a reduction";
        return Err(Error::new(folder.shown(TRIAL), what, "Give --reduction."));
    }
    Ok(())
}

/// The size asked for: what the request says, else the protocol of the trial that is learned from.
fn wanted(request: &Request, planned: Option<&Protocol>) -> Result<SampleSizeRequest, Error> {
    let reduction = request.reduction;
    let reduction = reduction.or(planned.map(|p| p.decision.worthwhile_percent));
    let reduction = reduction.ok_or_else(|| {
        let cure = "Give the smallest reduction worth having, in per cent.";
        Error::in_field("reduction", "it is not given", cure)
    })?;
    let methods = planned.map(|p| p.treatments.len().saturating_sub(1));
    let alpha = request.alpha.or(planned.map(|p| p.decision.alpha));
    Ok(SampleSizeRequest {
        reduction: reduction / 100.0,
        methods: request.methods.or(methods).unwrap_or(1),
        alpha: alpha.unwrap_or(ALPHA),
        power: request.power,
        blocks: request.blocks.clone(),
        cores_per_plot: cores(request, planned),
        looks: request.looks.clone(),
        spending: if request.even_looks {
            Spending::Pocock
        } else {
            looks::USUAL
        },
    })
}

/// Cores to try: those asked for, else about as many as the last trial took.
fn cores(request: &Request, planned: Option<&Protocol>) -> Vec<usize> {
    match planned {
        _ if !request.cores.is_empty() => request.cores.clone(),
        Some(protocol) => {
            let own = protocol.response.cores_per_plot;
            let mut cores = vec![own.div_ceil(2), own, 2 * own];
            cores.dedup();
            cores
        }
        None => CORES.to_vec(),
    }
}

/// A trial that has been counted but whose results were not kept: judged now.
fn judged(
    folder: &TrialFolder<'_>,
    core_area_m2: f64,
    seed: Option<u64>,
) -> Result<PastTrial, Refusal> {
    let trial = trial::trial(folder, seed)?;
    let (judgement, _) = judge(&trial.data, trial.seed)?;
    Ok(PastTrial::of(&judgement, core_area_m2)?)
}
