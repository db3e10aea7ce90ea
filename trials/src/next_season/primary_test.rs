//! The headline test as simulated trials meet it: the one that will judge the real trial.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

use halfgreen_analysis::comparison::{
    self, Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, Question, Settings,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::power::simulated::SimulatedTrial;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};

/// What the test is called in an answer's assumptions.
pub const NAME: &str = "the headline test of `judge`: re-allocation within blocks, or the calibrated count model where \
                        the plan has too few allocations (re-allocations beyond 20 000 are sampled 999 times)";

/// Allocations listed in each trial, and drawn where there are more. Far fewer than for a real trial, and
/// still a valid test: p = (b + 1) / 1000.
const REALLOCATION: RandomisationSettings = RandomisationSettings {
    limit: 20_000,
    draws: 999,
    seed: 0,
};

/// A test of the first method of a simulated trial.
pub trait TrialTest: Sync {
    /// The number of its verdict in [`CALLS`](super::scenarios::CALLS).
    fn verdict(&self, trial: &SimulatedTrial) -> usize;

    /// Whether the method beat the control: whether the verdict is number 0.
    fn finds(&self, trial: &SimulatedTrial) -> bool {
        self.verdict(trial) == 0
    }

    /// The chance of that, predicted at little cost; it decides how often a trial is judged, not what is found.
    fn predicted(&self, trial: &SimulatedTrial) -> f64;
}

/// The headline test of simulated trials. A trial that has lost all plots of a treatment cannot tell.
#[derive(Debug)]
pub struct HeadlineTest {
    /// Asked for all four verdicts.
    verdicts: Prepared,
    /// Asked only whether the method beat the control: no reduction is too small to matter, and that part of the work is spared.
    finds: Prepared,
}

impl HeadlineTest {
    /// `alpha` is the error rate over all methods, `worthwhile` the smallest reduction worth having, as a share.
    #[must_use]
    pub fn new(alpha: f64, worthwhile: f64) -> Self {
        let of = |worthwhile_ratio: f64| {
            Prepared::of(Question {
                alpha,
                better: Better::Fewer,
                worthwhile_ratio,
            })
        };
        Self {
            verdicts: of(Better::Fewer.ratio_by(worthwhile)),
            // Every ratio lies below infinity and so reaches what is worth having.
            finds: of(f64::INFINITY),
        }
    }
}

impl TrialTest for HeadlineTest {
    fn verdict(&self, trial: &SimulatedTrial) -> usize {
        match self.verdicts.call(trial) {
            Call::BeatTheControl => 0,
            Call::DidWorse => 1,
            Call::TooSmallToMatter => 2,
            Call::CannotTell => 3,
        }
    }

    fn finds(&self, trial: &SimulatedTrial) -> bool {
        self.finds.call(trial) == Call::BeatTheControl
    }

    fn predicted(&self, trial: &SimulatedTrial) -> f64 {
        let test = self.finds.test(trial);
        test.map_or(0.0, |test| test.predicted(&trial.counts, 1))
    }
}

/// Blocks, methods and cores of a trial that lost no plot.
type Complete = (usize, usize, usize);

/// Designs made ready for their counts: those without a lost plot once, for they recur.
#[derive(Debug)]
struct Prepared {
    question: Question,
    complete: RwLock<BTreeMap<Complete, Arc<PreparedTest>>>,
}

impl Prepared {
    fn of(question: Question) -> Self {
        Self {
            question,
            complete: RwLock::default(),
        }
    }

    fn call(&self, trial: &SimulatedTrial) -> Call {
        let test = self.test(trial);
        test.and_then(|test| test.call_of(&trial.counts, 1).ok())
            .unwrap_or(Call::CannotTell)
    }

    fn test(&self, trial: &SimulatedTrial) -> Option<Arc<PreparedTest>> {
        let methods = trial.treatments.iter().copied().max()?;
        let whole = trial.planned_blocks * (methods + 1) == trial.counts.len();
        if !whole {
            return prepare(trial, methods, self.question).map(Arc::new);
        }
        let key = (trial.planned_blocks, methods, trial.samples);
        let met = self.complete.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(test) = met.get(&key) {
            return Some(Arc::clone(test));
        }
        drop(met);
        let test = Arc::new(prepare(trial, methods, self.question)?);
        let mut met = self
            .complete
            .write()
            .unwrap_or_else(PoisonError::into_inner);
        met.insert(key, Arc::clone(&test));
        Some(test)
    }
}

/// The design of a trial, ready for counts.
fn prepare(trial: &SimulatedTrial, methods: usize, question: Question) -> Option<PreparedTest> {
    let table = PlotTable {
        counts: trial.counts.clone(),
        exposure: vec![trial.samples as f64; trial.counts.len()],
        treatment: factor("treatment", &trial.treatments, methods + 1),
        block_structure: BlockStructure::Blocks(present(&trial.blocks)),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    // Fixed by the plan: two plots of a block can change places, so b blocks give 2^b allocations.
    let smallest_p = 0.5_f64.powf(trial.planned_blocks as f64 - 1.0);
    let settings = Settings {
        scheme: Some(Scheme::blocks(&trial.blocks)),
        primary_test: Some(comparison::primary_test(
            smallest_p.min(1.0),
            question.alpha,
        )),
        randomisation: REALLOCATION,
    };
    PreparedTest::new(table, question, settings).ok()
}

fn factor(name: &str, codes: &[usize], levels: usize) -> Factor {
    Factor {
        name: name.to_owned(),
        levels: (0..levels).map(|level| level.to_string()).collect(),
        codes: codes.to_vec(),
    }
}

/// The blocks of which a plot is left, numbered anew.
fn present(blocks: &[usize]) -> Factor {
    let mut left = blocks.to_vec();
    left.sort_unstable();
    left.dedup();
    let codes: Vec<usize> = blocks
        .iter()
        .map(|b| left.partition_point(|l| l < b))
        .collect();
    factor("block", &codes, left.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trial(counts: &[u64], treatments: &[usize], blocks: &[usize]) -> SimulatedTrial {
        SimulatedTrial {
            counts: counts.to_vec(),
            treatments: treatments.to_vec(),
            blocks: blocks.to_vec(),
            samples: 4,
            planned_blocks: 8,
        }
    }

    #[test]
    fn clear_cases_are_called() {
        let blocks: Vec<usize> = (0..16).map(|i| i / 2).collect();
        let treatments: Vec<usize> = (0..16).map(|i| i % 2).collect();
        let test = HeadlineTest::new(0.05, 0.5);
        let fewer: Vec<u64> = (0..16)
            .map(|i| if i % 2 == 0 { 40 + i } else { 4 })
            .collect();
        let told = |counts: &[u64]| {
            let trial = trial(counts, &treatments, &blocks);
            (test.verdict(&trial), test.finds(&trial))
        };
        assert_eq!(told(&fewer), (0, true));
        let more: Vec<u64> = (0..16)
            .map(|i| if i % 2 == 0 { 4 } else { 40 + i })
            .collect();
        assert_eq!(told(&more), (1, false));
        let alike: Vec<u64> = (0..16).map(|i| 60 + i % 3).collect();
        assert_eq!(told(&alike), (2, false));
        let predicted =
            [&fewer, &more, &alike].map(|c| test.predicted(&trial(c, &treatments, &blocks)));
        assert!(
            predicted[0] > 0.9 && predicted[1] < 1e-6 && predicted[2] < 0.1,
            "{predicted:?}"
        );
    }

    #[test]
    fn a_treatment_without_plots_cannot_be_told() {
        let test = HeadlineTest::new(0.05, 0.5);
        for trial in [
            trial(&[3, 4], &[0, 0], &[0, 1]),
            trial(&[], &[], &[]),
            trial(&[9, 0, 9], &[0, 1, 0], &[0, 0, 5]),
        ] {
            assert_eq!(test.verdict(&trial), 3);
            assert!(!test.finds(&trial) && test.predicted(&trial) < 0.5);
        }
    }
}
