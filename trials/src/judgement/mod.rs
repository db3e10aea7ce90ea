//! From checked counts to a verdict.
//!
//! | part | in -> out |
//! |---|---|
//! | [`Case`] | a trial's layout and checked counts, or a table by its columns -> plots ready to compare |
//! | [`judge`] | a case -> a [`Judgement`]: tests, interval, and one of four verdicts for each method |
//! | [`describe`] | a table of counts -> how many, how clumped |
//!
//! The plot is the unit: cores are summed before anything is compared. Nothing is computed here that
//! belongs to `analysis`; this folder decides what is asked of it and says the answer in words.

mod case;
pub mod describe;
mod efficacy;
mod from_table;
mod from_trial;
mod histogram;
mod judge;
mod meanings;
mod result;
mod rows;
mod square;
mod wording;

pub use case::{Case, Ground, PlotCount};
pub use efficacy::{Efficacy, EfficacyRow};
pub use from_table::{TableQuestion, case_from_table};
pub use from_trial::case_from_trial;
pub use histogram::{Bar, histogram};
pub use judge::judge;
pub use result::{
    CoefficientRow, ContrastRow, Dispersion, Judgement, MeanRow, ModelFit, PlotRow, PoissonFit,
    RandomisationRow, TreatmentTest, Units, Verdict,
};
pub use rows::{DescribedColumns, read_rows};
pub use wording::{headline, percent};
