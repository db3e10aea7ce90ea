//! Published sources of the methods, by room.
#![doc = ""]
#![doc = include_str!("references.md")]
