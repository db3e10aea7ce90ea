//! From a mean per square metre to where it lies beside a figure above which action pays.
//!
//! *In.* A mean with its limits, and the user's own figure. *Out.* [`Side`]: above, below, or that the counts cannot
//! tell; and what was published ([`PUBLISHED`]), which disagrees. Nothing here says what to do: turf, season, birds and
//! rules decide that.

mod beside;
mod published;

pub use beside::{Beside, Side, ThresholdRow, told};
pub use published::{Kind, PUBLISHED, Published, disagreement};
