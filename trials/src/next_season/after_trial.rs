//! The one answer to what a judged trial leads to, whoever asks: what follows, and the size of the next trial.
//!
//! `next`, `report` and `demo` all ask here. What they let the user change (numbers, prices, how much is simulated) goes in;
//! a trial about which nothing is changed gets the same plan from each, to the block.

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::results::Caution;

use super::follows::{Follows, Outcome, follows};
use super::ground::Ground;
use super::looks;
use super::next_trial::{NextTrial, Simulation, next_trial};
use super::parameter_uncertainty::from_past;
use super::past_trial::PastTrial;
use super::prices::Prices;
use super::primary_test::{HeadlineTest, NAME, TrialTest};
use super::sample_size_request::SampleSizeRequest;
use super::terms::Terms;
use crate::Error;
use crate::design::{Better, Cost, Green, Protocol, VerdictAbout, headline_comparison};
use crate::judgement::Judgement;
use crate::progress::Progress;

/// Chance with which the smallest change worth having should be found: common practice, no source.
pub const POWER: f64 = 0.8;
/// Simulated trials for each plan that is near the wished power: errors of about 1.8 per cent at 80.
pub const TRIALS: usize = 1000;
/// Seed: the answer is the same each time it is asked.
pub const SEED: u64 = 1;

/// A trial that was judged.
#[derive(Debug, Clone, Copy)]
pub struct AfterTrial<'a> {
    /// What it asked.
    pub protocol: &'a Protocol,
    /// Its greens; none where they could not be read.
    pub greens: &'a [Green],
    /// What things cost.
    pub cost: &'a Cost,
    /// What it said of each method; none where that is not known.
    pub outcomes: &'a [Outcome],
}

impl AfterTrial<'_> {
    /// What follows its verdicts.
    #[must_use]
    pub fn follows(&self) -> Follows {
        follows(self.protocol, self.outcomes)
    }

    /// What is asked of the next trial unless something else is: the protocol's own question, of the methods that are
    /// still open, with about as many samples in a plot.
    ///
    /// # Errors
    /// A trial of readings, or one that looked for an increase: plans are sized for a reduction of counts.
    pub fn request(&self) -> Result<SampleSizeRequest, Error> {
        let protocol = self.protocol;
        if !protocol.response.kind.is_count() {
            let what = "this trial takes readings, and plans are sized for counts of animals";
            let cure = "Give --k, --mean and --reduction from a trial with counts.";
            return Err(Error::new("trial.toml [response] kind", what, cure));
        }
        if protocol.response.better == Better::More {
            let what = "this trial looked for an increase, and plans are sized for a reduction";
            return Err(Error::new(
                "trial.toml [response] better",
                what,
                "Give --reduction.",
            ));
        }
        Ok(SampleSizeRequest {
            reduction: protocol.decision.worthwhile_percent / 100.0,
            ..self.request_for_any_reduction()
        })
    }

    /// The same without its reduction, for who says another.
    #[must_use]
    pub fn request_for_any_reduction(&self) -> SampleSizeRequest {
        let own = self.protocol.response.cores_per_plot;
        let mut cores = vec![own.div_ceil(2), own, 2 * own];
        cores.dedup();
        let asked = self.asked_again();
        // Of crossed factors the main effects are sized: a block holds several plots of each level.
        let compared = headline_comparison(&asked);
        let mut terms = Terms::of(&asked);
        terms.plots_of_each *= compared.plots_of_each;
        SampleSizeRequest {
            reduction: 0.0,
            methods: compared.methods,
            alpha: compared.alpha,
            power: POWER,
            blocks: Vec::new(),
            cores_per_plot: cores,
            looks: Vec::new(),
            spending: looks::USUAL,
            terms,
        }
    }

    /// Prices of the protocol's `[cost]`.
    #[must_use]
    pub fn prices(&self) -> Prices {
        Prices {
            plot: self.cost.plot,
            core: self.cost.core,
            person_hour: self.cost.person_hour,
            ..Prices::default()
        }
    }

    /// The size of the next trial, laid out on this one's ground.
    ///
    /// # Errors
    /// As [`next_trial`].
    pub fn plan<T: TrialTest>(
        &self,
        request: &SampleSizeRequest,
        known: &ParameterUncertainty,
        prices: &Prices,
        simulation: &Simulation<T>,
        progress: Progress<'_>,
    ) -> Result<NextTrial, Error> {
        let ground = (!self.greens.is_empty())
            .then(|| Ground::new(self.asked_again(), self.greens, request.terms));
        let mut answer = next_trial(
            (request, ground.as_ref()),
            known,
            prices,
            simulation,
            progress,
        )?;
        answer.follows = Some(self.follows());
        answer.cautions.extend(self.greens_may_differ());
        answer.assumptions.currency.clone_from(&self.cost.currency);
        Ok(answer)
    }

    /// That plans take the effect as the same on every green, where the verdict is about greens like these.
    fn greens_may_differ(&self) -> Option<Caution> {
        let about = self.protocol.verdict_about()?;
        (about == VerdictAbout::LikeThese).then(|| {
            Caution::new(
                "effect-taken-as-the-same",
                "The plan takes the effect as the same on every green. Where it differs from green to green, more greens tell \
                 more than more plots on each",
            )
        })
    }

    /// The same for a trial at hand of which nothing is changed.
    ///
    /// # Errors
    /// Counts from which no size follows; as [`next_trial`].
    pub fn usual_plan(
        &self,
        judgement: &Judgement,
        progress: Progress<'_>,
    ) -> Result<NextTrial, Error> {
        let request = self.request()?;
        let past = PastTrial::of(judgement, self.protocol.response.core_area_m2)?;
        let known = from_past(&[past], 0.0)?;
        let simulation = simulation(&request, TRIALS, SEED, true);
        self.plan(&request, &known, &self.prices(), &simulation, progress)
    }

    /// The protocol with the methods that are still open; with all of them where none is, or where factors or whole
    /// plots hold them together.
    fn asked_again(&self) -> Protocol {
        let mut asked = self.protocol.clone();
        let open = self.follows().open;
        let together =
            !asked.design.arrangement.whole_plots.is_empty() || !asked.factors.is_empty();
        if open.is_empty() || together {
            return asked;
        }
        asked
            .treatments
            .retain(|t| t.control || open.contains(&t.code));
        if asked.design.kind.takes(asked.treatments.len()).is_err() {
            return self.protocol.clone();
        }
        asked
    }
}

/// How plans are simulated unless something else is asked: by the test that will judge.
#[must_use]
pub fn simulation(
    request: &SampleSizeRequest,
    trials: usize,
    seed: u64,
    brief: bool,
) -> Simulation<HeadlineTest> {
    Simulation {
        test: HeadlineTest::new(request.alpha, request.reduction),
        name: NAME.to_owned(),
        trials,
        seed,
        brief,
    }
}

/// What a judgement said of each method.
#[must_use]
pub fn outcomes(judgement: &Judgement) -> Vec<Outcome> {
    let verdicts = judgement.verdicts.iter();
    verdicts
        .map(|v| Outcome {
            treatment: v.treatment.clone(),
            call: v.call,
            relevance: v.relevance,
        })
        .collect()
}
