//! How one measured quantity follows others, and what the next one will be.
//!
//! | file | question |
//! |---|---|
//! | [`through_origin`] | what does work that costs nothing where nothing is done take next time? |

pub mod through_origin;

pub use through_origin::ThroughOrigin;
