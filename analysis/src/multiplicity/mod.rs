//! Many comparisons with one control, one error rate.
