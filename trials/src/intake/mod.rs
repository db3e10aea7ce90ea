//! From what was written in the field to counts that may be analysed.
