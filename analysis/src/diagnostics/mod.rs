//! Can the answer be believed? Residuals, influence, leftover pattern.
//!
//! **Question.** Do the counts look like counts that the fitted model could have given, and does the
//! answer hang on one plot?
//!
//! **In.** Counts, offsets and columns of a plain fit ([`counts`](crate::counts)), or the
//! [`PlotTable`](crate::comparison::PlotTable) of a comparison, and a seed. **Out.** Figures, each with
//! what it should be if all is well.
//!
//! | question | function |
//! |---|---|
//! | does each count lie where the model puts it? | [`quantile_residuals`] |
//! | do the residuals look normal, as they should? | [`normality`] |
//! | are the counts as variable, and zero as often, as the model says? | [`simulated_checks`] |
//! | are there zeros of another kind? | [`zero_inflation`] |
//! | how far does each plot pull its own fitted mean? | [`leverage`] |
//! | does one plot carry the verdict? | [`leave_one_out`] |
//! | do counts rise across the blocks? | [`gradient`] |
//!
//! **Assumes** nothing beyond the model that is put to the test. **When not to use it.** A check that finds
//! nothing does not prove the model: with a dozen plots only gross misfits show.

mod gradient;
mod influence;
mod residuals;
mod simulated;
mod zero_inflation;

pub use gradient::{Gradient, gradient};
pub use influence::{CaseDeletion, deletion_candidates, leave_one_out, leverage};
pub use residuals::{Normality, normal_scores, normality, quantile_limits, quantile_residuals};
pub use simulated::{SimulatedChecks, SimulatedStatistic, simulated_checks};
pub use zero_inflation::{ZeroInflation, zero_inflation};
