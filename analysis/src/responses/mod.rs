//! Scores, cover and lengths beside counts.
//!
//! **Question.** Did the treatment change scores, cover or lengths, and by how much, in a figure that
//! a person understands?
//!
//! **In.** One value for each plot (means of readings within the plot first), the treatment allocated to
//! each plot (0 is the control) and the randomisation scheme.
//!
//! | response | function | effect |
//! |---|---|---|
//! | visual score, 1 to 9 | [`score`] | difference in mean score, chance that a treated plot scores higher |
//! | cover, per cent | [`cover`] | difference in percentage points |
//! | root depth or length | [`length`], [`length_ratio`] | difference in the unit measured, or ratio |
//! | a reading across the edge of the treated area | [`edge_step`] | the step at the edge, less that of control plots |
//!
//! **Back.** For each treatment an [`Effect`]: its estimate, an interval, p-values.
//!
//! **Method.** The p-value is that of the randomisation test ([`randomisation`](crate::randomisation)) on values less their block
//! mean: exact for any response, ordinal and bounded ones too. The interval holds every effect that the same test
//! does not reject once it is taken off the treated plots (Lehmann 1963, Ann. Math. Statist. 34,
//! 1507-1512; Rosenbaum 2002, "Observational Studies", 2.6), so that it never contradicts the p-value. It
//! is exact where the effect is the same addition in every plot, and a description where the scale has ends. Beside the estimate stands
//! that of Hodges & Lehmann (1963, Ann. Math. Statist. 34, 598-611), which one odd plot cannot move far.
//!
//! **Not for** counts, whose effects are ratios, nor for readings within a plot taken as plots.

mod effect;
mod kinds;
mod shift;

pub use effect::Effect;
pub use kinds::{Trial, cover, edge_step, length, length_ratio, score};
