//! The green: outlines in metres, holes, zones, and what is wrong with them.
