//! Pictures: one frame with axes for every chart.

pub(crate) mod chart;
