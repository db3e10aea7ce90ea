//! Can the answer be believed? Residuals, influence, leftover pattern.
