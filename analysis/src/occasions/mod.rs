//! Counts of the same plots on several occasions.
//!
//! **Question.** Did the effect last? And by what ratio did treated plots change more than control plots?
//!
//! **In.** [`Visits`]: one row for each plot on each occasion it was counted, with its treatment and block.
//! **Out.** [`Lasted`]: likelihood ratio of treatment by occasion; [`Change`]: the
//! before-after-control-impact ratio of each treatment, (later / earlier) treated over (later / earlier)
//! control, with its profile interval; [`change_scores`]: one figure a plot for the re-allocation test.
//!
//! **Model.** Negative binomial counts; blocks and occasions as constants, the plot as a random unit on
//! the log scale, integrated out by adaptive quadrature ([`mixed::block`](crate::mixed::block)); k estimated
//! anew on both sides. Blocks can be constants here, since occasions are compared within plots.
//!
//! **Small samples.** The likelihood ratio is brought to the t scale as in
//! [`comparison`](crate::comparison), with as many degrees of freedom as differences between two
//! occasions leave: plots less treatments.
//!
//! **When not to use it.** When other plots were counted on each occasion; with one occasion.
//!
//! **Sources.** Stewart-Oaten, Murdoch & Parker 1986, Ecology 67:929-940 (before-after-control-impact);
//! Green 1979, "Sampling Design and Statistical Methods for Environmental Biologists", section 4.1.

mod change;
mod scores;
mod visits;

pub use change::{Change, Lasted, changes, lasted};
pub use scores::change_scores;
pub use visits::Visits;
