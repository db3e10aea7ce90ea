//! Before any trial: where to take cores, how many, and when the crew may stop counting.
//!
//! | step | file | in -> out |
//! |---|---|---|
//! | walk the green | [`grid`] | outline, pattern and spacing -> sample points in walking order |
//! | size this morning's survey | [`survey_size`] | wished precision -> number of cores |
//! | stop when it is clear | [`stop_line`] | levels -> lines, chance of each call, cores used |
//! | carry it outdoors | [`card`], [`pictures`] | lines -> the crew's card, charts |

pub mod card;
pub mod grid;
pub mod pictures;
pub mod stop_line;
pub mod survey_size;
