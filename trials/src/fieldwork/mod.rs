//! What goes out to the green: maps, pegs, sheets and pages to count on.
//!
//! | room | what it makes |
//! |---|---|
//! | [`map`] | maps at true scale |
//! | [`pegging`] | where the pegs of the plots go, by tape |
//! | [`tally`] | the page that counts on a phone |
//! | [`pack`] | pages to print, tables to fill in, a map: everything for the morning |
//! | `printed` | the shell of printed pages, A4, for whoever prints |
//! | [`cautions`] | what may go wrong, by the sort of method |

pub mod cautions;
pub mod map;
pub mod pegging;
pub mod tally;
pub mod pack;
pub(crate) mod printed;
