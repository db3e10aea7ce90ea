//! Checks of the tool as its users meet it.

mod description;
mod ground;
