//! The next trial and the stop lines as their users meet them.

mod brute_force;
mod commands;
mod follows;
mod next_trial;
mod past;
mod stop_line;
