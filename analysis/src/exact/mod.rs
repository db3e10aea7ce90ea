//! Small-sample comparisons of two counts, by counting every case.
