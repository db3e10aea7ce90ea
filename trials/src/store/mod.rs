//! The disk: the only code that opens files.
