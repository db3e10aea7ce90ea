//! A season's sheets: many greens, few nights, some people, money.
//!
//! *In.* A [`SeasonFile`], the larvae of every green with their interval ([`Green`]), and what each method leaves
//! ([`Effect`]). *Out.* A [`SeasonPlan`]: which greens on which night (`schedule`), what that and its alternatives cost and remove
//! (`options`), whether it is worth it and what would change the answer (`advice`, `switching`); as a page ([`page`]), a table
//! ([`plan_csv`]) and a picture ([`picture`]).
//!
//! *Assumes* that larvae lie evenly over a green, so that half of it holds half of them, unless hot spots are named; that what the
//! trial found holds on every green; and that rates of work are the user's own. Ground that is larger than the sheet is covered in pieces of
//! one size, each on nights of its own, or left in part.

mod advice;
mod effect;
mod file;
mod ground;
mod options;
mod page;
mod picture;
mod plan;
mod reckoning;
mod result;
mod schedule;
mod switching;
mod table;
pub mod tell;

pub use advice::{Advice, Answer, Risk};
pub use effect::{Effect, LEVEL, control_of};
pub use file::{
    Counted, EffectAsked, GreenAsked, Ground, HotSpots, Leaves, MethodAsked, Night, SeasonFile,
    Sheet, Work, Worth, read_season,
};
pub use ground::{Green, Pieces, of_cores, of_total};
pub use options::{Costs, Limits, OptionRow, What};
pub use page::page;
pub use picture::picture;
pub use plan::{Job, Plan, Room, STEPS, best_plan};
pub use reckoning::{Asked, reckon};
pub use result::{EffectRow, GreenRow, SeasonPlan, SheetRow};
pub use schedule::{NightRow, PieceRow, Reach, Schedule};
pub use switching::Switch;
pub use table::plan_csv;
