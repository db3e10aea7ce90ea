//! Words and figures as people should read them.
//!
//! | file | what it writes |
//! |---|---|
//! | [`rounding`] | a number with the digits that mean something |
//! | [`spelling`] | one thing or many, and the known word nearest to an unknown one |

pub mod rounding;
pub mod spelling;
