//! Checks of the tool as its users meet it.

mod ground;
mod planning;
