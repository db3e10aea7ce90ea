//! Numerical tools that the kept libraries lack.
