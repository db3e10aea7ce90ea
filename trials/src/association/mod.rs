//! Many trials, one answer: what a method does at clubs at large, how far clubs differ, what the next one may expect.
//!
//! | part | in -> out |
//! |---|---|
//! | [`trial_effects`], [`kept_effects`] | a judged trial, or its results -> one [`TrialEffect`] for each method |
//! | [`read_effects`], [`write_effects`] | a table of effects, and back |
//! | [`gather`] | effects from everywhere -> each once, contradictions left out |
//! | [`anonymise`] | clubs -> codes from a salt |
//! | [`associate`] | gathered effects -> an [`Association`]: each method pooled, its verdict by the rules of every trial |
//! | [`how_far_clubs_differ`], [`next_club_in_words`] | an answer -> sentences |
//! | [`archive`] | rows of many clubs in one form, what each trial comes to, what is left out |
//!
//! The unit is the trial; how it is pooled belongs to [`meta_analysis`](halfgreen_analysis::meta_analysis). This room decides what
//! goes into one pool and says the answer in words.
//!
//! *Assumes* that trials are independent of each other, and that a method of one code, sort and direction is one method.

mod anonymise;
mod answer;
pub mod archive;
mod effects_line;
mod effects_table;
mod empty_arms;
mod gather;
mod judged_trial;
mod leave_one_out;
mod methods;
mod moderators;
mod network;
mod next_club;
mod pooled;
mod small_studies;
mod trial_effect;
mod wording;

pub use anonymise::{SALT, anonymise};
pub use answer::{Association, MethodAnswer, Pooling, TrialRow, WithoutClub};
pub use effects_table::{
    EFFECT_COLUMNS, EffectCells, LeftOut, ReadEffects, read_effects, write_effects,
};
pub use empty_arms::EmptyArms;
pub use gather::{Gathered, gather};
pub use judged_trial::{kept_effects, trial_effects};
pub use methods::{Method, methods};
pub use moderators::{LevelRow, ModeratorRow};
pub use network::{Comparison, Network};
pub use next_club::NextClub;
pub use pooled::{Asked, associate};
pub use small_studies::SmallStudies;
pub use trial_effect::{TrialEffect, TrialFacts};
pub use wording::{
    association_headline, hangs_on, how_far_clubs_differ, next_club_in_words, of_twenty_animals,
};
