//! One night from all that is known: weights, lifting, hours, clock times, and what must be said beside them.
//!
//! | file | what it holds |
//! |---|---|
//! | `asked` | what goes in |
//! | `plan` | the parts put together |
//! | `answer` | what comes out |
//! | `notes` | what people must know, each with its code |

mod answer;
mod asked;
mod notes;
mod plan;

pub use answer::{Clock, CrewPlan, Tonight};
pub use asked::{Asked, Dated, Sheets};
pub use notes::Note;
pub use plan::tonight;
