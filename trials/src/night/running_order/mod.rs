//! The night on one page: who brings what, from when to lay, by when sheets must be off.
//!
//! | file | what stands there |
//! |---|---|
//! | `page` | the page, part by part |
//! | `steps` | the night by the clock |
//! | `pieces` | strips of one size, dry and wet, and who lifts them |

mod page;
mod pieces;
mod steps;

pub use page::{RunningOrder, night_html, running_order, wind_in_words};
pub use pieces::{Pieces, pieces};
