//! What goes out to the green: maps and tape instructions.

pub mod map;
