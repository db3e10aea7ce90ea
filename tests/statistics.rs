//! Checks of the statistics against published values and other software.
mod dispersion;
mod multiplicity;
