//! How long the night takes, and how many people.
//!
//! | file | in -> out |
//! |---|---|
//! | [`tasks`] | what is done in a night, in its order |
//! | [`records`] | text of `nights.csv` -> what earlier nights took |
//! | [`mod@hours`] | the club's rates or earlier nights, tonight's work -> person-minutes of each task |
//! | [`people`] | person-minutes, people, minutes that there are -> enough people, or how many and how much they manage |

pub mod hours;
pub mod people;
pub mod records;
pub mod tasks;

pub use hours::{Basis, Hours, TaskMinutes, hours};
pub use people::{Limits, Manned, manned};
pub use records::{NIGHT_COLUMNS, NightRecord, read_nights};
pub use tasks::{Rates, Task, Work};
