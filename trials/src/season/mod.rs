//! What this season teaches the next: trial size, survey size, stop lines.
