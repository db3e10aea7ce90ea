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

/// A function that judges the first method of a trial and returns the number of its verdict in
/// [`CALLS`](super::scenarios::CALLS).
///
/// `alpha` is the error rate over all methods, `worthwhile` the smallest reduction worth having, as a share;
/// without one no reduction is called too small to matter, and that part of the work is spared: the other
/// verdicts stay what they are. A trial that has lost all plots of a treatment cannot tell.
pub fn primary_test(
    alpha: f64,
    worthwhile: Option<f64>,
) -> impl Fn(&SimulatedTrial) -> usize + Sync {
    let question = Question {
        alpha,
        better: Better::Fewer,
        // Every ratio lies below infinity and so reaches what is worth having.
        worthwhile_ratio: worthwhile.map_or(f64::INFINITY, |share| Better::Fewer.ratio_by(share)),
    };
    let prepared = Prepared::default();
    move |trial| {
        let screen = prepared.screen(trial, question);
        let call = screen.and_then(|screen| screen.call_of(&trial.counts, 1).ok());
        match call.unwrap_or(Call::CannotTell) {
            Call::BeatTheControl => 0,
            Call::DidWorse => 1,
            Call::TooSmallToMatter => 2,
            Call::CannotTell => 3,
        }
    }
}

/// Blocks, methods and cores of a trial that lost no plot.
type Complete = (usize, usize, usize);

/// Designs made ready for their counts: those without a lost plot once, for they recur.
#[derive(Debug, Default)]
struct Prepared(RwLock<BTreeMap<Complete, Arc<PreparedTest>>>);

impl Prepared {
    fn screen(&self, trial: &SimulatedTrial, question: Question) -> Option<Arc<PreparedTest>> {
        let methods = trial.treatments.iter().copied().max()?;
        let whole = trial.planned_blocks * (methods + 1) == trial.counts.len();
        if !whole {
            return prepare(trial, methods, question).map(Arc::new);
        }
        let key = (trial.planned_blocks, methods, trial.samples);
        let met = self.0.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(screen) = met.get(&key) {
            return Some(Arc::clone(screen));
        }
        drop(met);
        let screen = Arc::new(prepare(trial, methods, question)?);
        let mut met = self.0.write().unwrap_or_else(PoisonError::into_inner);
        met.insert(key, Arc::clone(&screen));
        Some(screen)
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
        let test = primary_test(0.05, Some(0.5));
        let fewer: Vec<u64> = (0..16)
            .map(|i| if i % 2 == 0 { 40 + i } else { 4 })
            .collect();
        assert_eq!(test(&trial(&fewer, &treatments, &blocks)), 0);
        let more: Vec<u64> = (0..16)
            .map(|i| if i % 2 == 0 { 4 } else { 40 + i })
            .collect();
        assert_eq!(test(&trial(&more, &treatments, &blocks)), 1);
        let alike: Vec<u64> = (0..16).map(|i| 60 + i % 3).collect();
        assert_eq!(test(&trial(&alike, &treatments, &blocks)), 2);
        let beats = primary_test(0.05, None);
        let told =
            [&fewer, &more, &alike].map(|counts| beats(&trial(counts, &treatments, &blocks)));
        assert_eq!(told, [0, 1, 3]);
    }

    #[test]
    fn a_treatment_without_plots_cannot_be_told() {
        let test = primary_test(0.05, Some(0.5));
        assert_eq!(test(&trial(&[3, 4], &[0, 0], &[0, 1])), 3);
        assert_eq!(test(&trial(&[], &[], &[])), 3);
        assert_eq!(test(&trial(&[9, 0, 9], &[0, 1, 0], &[0, 0, 5])), 3);
    }
}
