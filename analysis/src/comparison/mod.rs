//! Did the method beat the control? The headline test and its interval.
//!
//! **Question.** By what ratio do mean counts under each treatment differ from the control's, how sure
//! is that, and is it enough to matter?
//!
//! **In.** A [`PlotTable`]: one count for each plot (cores summed, their number or area as exposure), its
//! treatment and its place in the design; the [`Question`], fixed before counting.
//! **Out.** A [`Comparison`]: for each treatment the ratio with its interval, the p-values of both
//! tests, and one of four calls.
//!
//! # The two tests
//! *Randomisation*: [`randomisation`](crate::randomisation) on scores of the count model without
//! treatment, (y - m) / (1 + m/k): the locally most powerful scores for a ratio. It asks nothing of
//! the counts, but with few plots it is coarse.
//!
//! *Model*: likelihood ratio W of a negative binomial with random blocks, k estimated anew on both
//! sides, brought to the t scale: t^2 = nu (exp(W* / m) - 1) on nu degrees of freedom, with
//! W* = W / (1 + sqrt(s) / 4). Here m is the number of plots less blocks, nu is m less treatments and
//! covariates: for normal errors t is then exactly Student's. s is the share of a plot's variance
//! that is clumping, mean/k / (1 + mean/k), with 1/k averaged over both fits: the likelihood ratio of clumped
//! counts runs ahead of the normal one by up to a quarter, that of Poisson counts does not. The quarter
//! and the root were chosen by preliminary simulations; the calibration bench, run afterwards
//! (`benches/calibration/CALIBRATION.md` in this crate), shows what rates of false claims and what
//! coverage they give.
//!
//! Several treatments are adjusted: Dunnett's for the model, closed testing for re-allocation.
//!
//! # Which one leads
//! Fixed by the design alone ([`lead`]): re-allocation leads where the smallest p-value it can reach is
//! a hundredth of alpha or less (12 pairs at 5 %); with fewer plots the model leads.
//!
//! # The interval
//! Profile likelihood of the same model, k and block scatter re-estimated along it, cut at the same
//! calibrated bound (Dunnett's with several treatments). Where the leading test is the other one and
//! the two disagree about no effect, the limit next to it is put at no effect: a verdict never
//! contradicts its interval.
//!
//! **When not to use it.** On counts that were not taken alike in every plot; on one pair of plots, from
//! which no test is possible (the answer then is an interval from 0 to infinity).

mod calibrated;
mod compare;
mod lead;
mod marginal;
mod plot_table;
mod told;
mod screen;
mod verdict;

pub(crate) use calibrated::Profile;
pub use calibrated::{Calibration, share_of_clumping};
pub use compare::{Comparison, Contrast, Settings, TreatmentMean, compare};
pub use lead::{Lead, lead};
pub use plot_table::{Layout, PlotTable};
pub use screen::{Screen, Screened};
pub use told::{Told, told};
pub use verdict::{Better, Call, Matters, Question};
