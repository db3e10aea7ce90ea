//! The trade's formulas for efficacy, each with an interval.
//!
//! **Question.** By how many per cent did a method lower the numbers, in the words the trade uses?
//!
//! **In.** For each plot its number after treatment and, where the formula asks for it, before (same
//! area each time; counts, or counts a square metre). **Back.** Per cent, an interval, and the case in which
//! the formula must not be used, as a caution.
//!
//! | formula | needs | corrects for |
//! |---|---|---|
//! | [`abbott`] | after | what happened in the control, if both started alike |
//! | [`henderson_tilton`] | before, after | different starts |
//! | [`sun_shepard`] | before, after | the same, put as mortality and change in the control |
//! | [`schneider_orelli`] | dead and alive | natural deaths among the very animals exposed |
//!
//! All four are 100 (1 - ratio) where ratio compares treatment with control: the ratio of totals after,
//! divided for the last three by the ratio of totals at the start. Negative values mean more than in the
//! control and are kept.
//!
//! **Interval.** Delta method on the logarithm of the ratio of totals, with the plot as the unit: each plot's
//! share of its arm's total is its contribution, and the spread of contributions (over plots, or over
//! block differences where plots are [`Pairing::Blocks`]) gives the standard error, referred to Student's t.
//! With few plots or small totals it is rough; the primary test is the verdict.
//!
//! [`removed`] turns a ratio and the number there is into how many go, and what each costs.
//!
//! **Sources.** Abbott 1925, J. Econ. Entomol. 18, 265-267; Henderson & Tilton 1955, J. Econ. Entomol. 48, 157-161;
//! Sun & Shepard 1947, J. Econ. Entomol. 40, 710-715; Schneider-Orelli 1947, Entomologisches Praktikum. The
//! formulas are given as the trade quotes them, from memory: the papers were not at hand.

mod formulas;
mod ratio;
mod removed;

pub use formulas::{
    Efficacy, Plot, abbott, henderson_tilton, schneider_orelli, schneider_orelli_percent,
    sun_shepard, sun_shepard_percent,
};
pub use ratio::Pairing;
pub use removed::{
    Bounded, Removed, UnitCost, correlation_in_one_trial, correlation_of_part, removed, sum,
};
