//! How often a plan would end in each verdict, under several scenarios.

use halfgreen_analysis::power::simulated::{
    OperatingCharacteristics, Plan, SimulationBudget, SiteParameters, operating_characteristics,
};
use halfgreen_analysis::random::Generator;
use serde::Serialize;

use super::primary_test::TrialTest;
use super::sample_size_request::{PlanSize, SampleSizeRequest};
use crate::Error;

/// The verdicts in the order in which a test numbers them.
pub const CALLS: [&str; 4] = [
    "beat-the-control",
    "did-worse",
    "too-small-to-matter",
    "cannot-tell",
];

/// What may be true, and how often each verdict would then be given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scenario {
    /// Short name.
    pub scenario: &'static str,
    /// True reduction by the method, per cent.
    pub reduction_percent: f64,
    /// Share of each verdict, in the order of [`CALLS`].
    pub shares: [f64; 4],
    /// Monte-Carlo standard error of the first share.
    pub share_se: f64,
    /// The same told as natural frequencies.
    pub sentence: String,
}

/// Works out a plan under no effect, half the wished reduction, the wished one, and a large one that
/// leaves half of what the wished one leaves (left out where the wished one leaves nothing).
///
/// # Errors
/// A plan or site that cannot be simulated.
pub fn scenarios(
    request: &SampleSizeRequest,
    plan: PlanSize,
    site: &SiteParameters,
    trials: usize,
    seed: u64,
    test: &impl TrialTest,
) -> Result<Vec<Scenario>, Error> {
    let worthwhile = request.reduction;
    let large = 1.0 - 0.5 * (1.0 - worthwhile);
    let mut told = Vec::with_capacity(4);
    for ((scenario, reduction), cell) in [
        ("no effect at all", 0.0),
        ("half of what is worth having", 0.5 * worthwhile),
        ("just what is worth having", worthwhile),
        ("a large effect", large),
    ]
    .into_iter()
    .zip(0_u32..)
    .filter(|((_, reduction), cell)| *cell < 3 || *reduction > worthwhile)
    {
        // Only the first method has the truth in question; the others do nothing.
        let mut ratios = vec![1.0; request.methods];
        ratios[0] = 1.0 - reduction;
        let plan = Plan {
            blocks: plan.blocks,
            samples: plan.cores_per_plot,
            ratios,
        };
        let effort = SimulationBudget {
            trials,
            until_clear_of: None,
        };
        // Cells of the table are numbered from 0; these lie beyond any table.
        let stream = (seed, u32::MAX - cell);
        let found = operating_characteristics(
            &plan,
            |_: &mut Generator| *site,
            (effort, 4),
            stream,
            |trial| test.verdict(trial),
        )?;
        let reduction_percent = 100.0 * reduction;
        let sentence = sentence(scenario, reduction_percent, &found);
        let shares = std::array::from_fn(|i| found.share(i));
        told.push(Scenario {
            scenario,
            reduction_percent,
            shares,
            share_se: found.se(0),
            sentence,
        });
    }
    Ok(told)
}

fn sentence(truth: &str, reduction: f64, found: &OperatingCharacteristics) -> String {
    let [beat, worse, small, unsure] = out_of_100(&found.verdicts);
    format!(
        "If the truth is {truth} ({reduction:.0} % fewer): of 100 such trials {beat} would say that the method \
         beat the control, {worse} that it did worse, {small} that any reduction is too small to matter, and \
         {unsure} could not tell."
    )
}

/// Whole numbers that add up to 100: largest remainders are rounded up, the first of equals first.
fn out_of_100(counts: &[usize]) -> [usize; 4] {
    let total = counts.iter().sum::<usize>().max(1);
    let mut whole = [0; 4];
    let mut rest = [(0, 0); 4];
    for (i, count) in counts.iter().take(4).enumerate() {
        whole[i] = 100 * count / total;
        rest[i] = (100 * count % total, i);
    }
    rest.sort_by_key(|(left, i)| (std::cmp::Reverse(*left), *i));
    let short = 100 - whole.iter().sum::<usize>();
    for (_, i) in rest.iter().take(short) {
        whole[*i] += 1;
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::out_of_100;

    #[test]
    fn frequencies_add_up() {
        assert_eq!(out_of_100(&[1, 1, 1, 0]), [34, 33, 33, 0]);
        assert_eq!(out_of_100(&[2000, 0, 0, 0]), [100, 0, 0, 0]);
        assert_eq!(out_of_100(&[1999, 1, 0, 0]).iter().sum::<usize>(), 100);
    }
}
