//! Where they are: clusters, hot spots and the strips that reach most of them.
