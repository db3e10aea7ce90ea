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

pub use page::{RunningOrder, running_order};
pub use pieces::{Pieces, pieces};
