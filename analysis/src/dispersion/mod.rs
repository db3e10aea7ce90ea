//! How clumped are the counts?
