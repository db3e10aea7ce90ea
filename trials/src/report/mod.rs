//! From a verdict to pages and figures.
