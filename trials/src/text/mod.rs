//! Words and figures as people should read them.
//!
//! | file | what it writes |
//! |---|---|
//! | [`names`] | what a name may be made of, and any text without what moves a cursor |
//! | `page` | the shell of every page that a browser shows or prints |
//! | [`rounding`] | a number with the digits that mean something |
//! | `shortened` | a text cut to the room that a page has |
//! | [`spelling`] | one thing or many, and the known word nearest to an unknown one |
//! | [`table_cells`] | a text as a cell that no spreadsheet runs |

pub mod money;
pub mod names;
pub(crate) mod page;
pub mod rounding;
pub(crate) mod shortened;
pub mod spelling;
pub mod table_cells;
