//! What goes out to the green: maps, and the page that counts on a phone.

pub mod map;
pub mod tally;
