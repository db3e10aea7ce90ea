//! What every method hands back: estimates, confidence intervals, p-values, convergence, cautions.

mod caution;
mod convergence;
mod estimate;
mod interval;
mod p_value;

pub use caution::Caution;
pub use convergence::{Convergence, Stop};
pub use estimate::Estimate;
pub use interval::Interval;
pub use p_value::{Origin, PValue};
