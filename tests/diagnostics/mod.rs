//! Can the answer be believed: diagnostics and occasions against R 4.2.2 (`pnbinom`, `MASS`, `glmmTMB` 1.1.5;
//! rows made by `tests/reference/make_doubt_reference.R`), and their defined answers at the edges.

mod gradients;
mod model_checks;
mod levels;
mod occasions;
