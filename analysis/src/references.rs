#![doc = include_str!("references.md")]
