//! Sizes of trials and surveys against published figures and other software.

mod closed_form;
mod decide;
mod simulated;
mod survey;
