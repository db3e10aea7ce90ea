//! Sizes of trials and surveys against published figures and other software.

mod closed_form;
mod screen;
mod simulated;
mod survey;
mod two_phase;
