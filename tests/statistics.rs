//! Checks of the statistics against published values and other software.
mod multiplicity;
