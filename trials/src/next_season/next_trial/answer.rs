//! What the planning of a trial gives back.

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::detectable::Detectable;
use halfgreen_analysis::power::simulated::SiteParameters;
use halfgreen_analysis::results::Caution;
use serde::Serialize;

use super::super::follows::Follows;
use super::super::ground::Room;
use super::super::looks::Looks;
use super::super::prices::Prices;
use super::super::sample_size_request::{PlanSize, SampleSizeRequest};
use super::super::scenarios::Scenario;

/// One plan of the table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cell {
    /// Complete blocks.
    pub blocks: usize,
    /// Cores in each plot.
    pub cores_per_plot: usize,
    /// Share of simulated trials in which the headline test found the reduction.
    pub power: f64,
    /// Monte-Carlo standard error of the power.
    pub power_se: f64,
    /// Trials simulated; fewer than asked for where the answer was clear early.
    pub trials: usize,
    /// Of these, trials that the headline test itself judged; the others were as good as clear to a quick one.
    pub judged: usize,
    /// Power by formula, for comparison.
    pub power_by_formula: f64,
    /// Cost, where prices were given.
    pub cost: Option<f64>,
    /// People's hours, where minutes were given.
    pub hours: Option<f64>,
    /// Whether the ground has room for it; null where no ground is known.
    pub fits: Option<bool>,
}

impl Cell {
    /// Size of the plan.
    pub(in crate::next_season) fn size(&self) -> PlanSize {
        PlanSize {
            blocks: self.blocks,
            cores_per_plot: self.cores_per_plot,
        }
    }
}

/// The plan to take, worked out with fresh trials and to the full number.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suggestion {
    /// Whether it reaches the wished power.
    pub reached: bool,
    /// The plan.
    pub plan: Cell,
    /// Why this one, whether there is room for it and how sure that is, in sentences.
    pub sentence: String,
    /// Whether it can be laid out on the past trial's ground, and what would let it; null where no ground is known.
    pub room: Option<Room>,
    /// Power averaged over what is not known of the ground.
    pub assurance: f64,
    /// Its Monte-Carlo standard error.
    pub assurance_se: f64,
    /// The same plan with one block more; null in brief.
    pub extra_block: Option<Cell>,
    /// Smallest reduction that this plan finds with the wished power.
    pub smallest_reduction: Option<Detectable>,
    /// Cores per plot at which power costs least, where plots and cores are priced.
    pub optimum_cores: Option<usize>,
    /// Verdicts under several scenarios; none in brief.
    pub scenarios: Vec<Scenario>,
    /// What interim looks would ask for and give, where looks were wished.
    pub looks: Option<Looks>,
}

/// Power that may be lost to what is not known of the ground before that is worth saying (our judgement, no source).
const DOUBT: f64 = 0.05;

impl Suggestion {
    /// Whether its power is lower by much when averaged over what is not known of the ground.
    #[must_use]
    pub fn holds_only_as_estimated(&self) -> bool {
        self.assurance < self.plan.power - DOUBT
    }
}

/// What everything rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Assumptions {
    /// What was asked for.
    pub request: SampleSizeRequest,
    /// Parameters of the site, at the centre of their distribution.
    pub site: SiteParameters,
    /// How uncertain they are.
    pub parameter_uncertainty: ParameterUncertainty,
    /// The test, in words.
    pub test: String,
    /// Trials asked for in each cell.
    pub trials: usize,
    /// Prices.
    pub prices: Prices,
    /// What they are in, where the protocol says it.
    pub currency: Option<String>,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextTrial {
    /// Power over blocks and cores; in brief only of the plans that were looked at for the suggestion.
    pub table: Vec<Cell>,
    /// Power by formula of every plan there is to choose from.
    #[serde(skip)]
    pub by_formula: Vec<(PlanSize, f64)>,
    /// The plan to take, or the nearest to the request.
    pub suggestion: Suggestion,
    /// What it rests on.
    pub assumptions: Assumptions,
    /// What the verdicts of the trial that is learned from lead to; null where there is none.
    pub follows: Option<Follows>,
    /// What the reader must know.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}
