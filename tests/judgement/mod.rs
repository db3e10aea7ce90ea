//! What `judge` says beside the verdict: whether it can be believed, whether it lasted, what happened.

mod crossover;
mod formulas;
mod readings;
mod second_answers;
mod several_greens;
mod squares;
mod truthful_words;
mod turf;
