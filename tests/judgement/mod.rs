//! What `judge` says beside the verdict: whether it can be believed, whether it lasted, what happened.

pub(crate) mod crossover;
pub(crate) mod factorial;
mod formulas;
mod one_page;
mod readings;
pub(crate) mod second_answers;
pub(crate) mod several_greens;
mod squares;
mod threshold;
mod truthful_words;
mod turf;
