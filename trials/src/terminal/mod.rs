//! The command line: the only code that prints or asks the time.
