//! Count until sure: stop lines and group-sequential bounds.
