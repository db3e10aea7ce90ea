//! From a verdict to pages and figures.
//!
//! *In.* [`Findings`]: a trial's protocol, layout, outline, seal, counts and judgement, and what next season
//! needs. *Out.* [`Pages`]: texts, which someone else writes to the disk.
//!
//! | page | for whom |
//! |---|---|
//! | `report.html` | committee and statistician: verdict first, numbers after, tests in the appendix |
//! | `report.md` | whoever writes on: the same content from the same values ([`document`](self)) |
//! | `members.html` | members of the club: one sheet of A4, plain words, one picture |
//! | `association.html`, `pool.html` | an association: one sheet of A4 in plain words, and every number of many trials together |
//! | figures (`.svg`) | whoever writes a text of their own |
//!
//! Every page is one file without any reference to the network: style and pictures lie inside it. Each
//! figure has a title and a description for those who cannot see it, the same numbers stand in a table,
//! and colour (Okabe & Ito 2008, "Color Universal Design") never stands alone. Numbers are rounded in
//! [`rounding`](crate::text::rounding) only. Pages hold no clock: the same findings give the same bytes.

mod appendix;
mod association;
mod secondary;
mod by_group;
mod cautions;
mod checklist;
mod deviations;
mod document;
mod factors;
mod figures;
mod findings;
mod frequencies;
mod ground;
mod happenings;
mod head;
mod main_part;
mod members;
mod method;
mod methods_text;
mod notes;
mod of_twenty;
mod page;
mod pages;
mod papers;
mod plot_table;
mod record;
mod references;
mod tables;
mod threshold;
mod turf;

pub use association::{AssociationPages, association_pages};
pub use figures::Figure;
pub use findings::{Findings, NextSeason, NightCost, WhatWasRead};
pub use frequencies::{frequencies, frequency_data};
pub use pages::{Pages, pages};
pub use papers::Papers;
pub use turf::{TurfFindings, turf_pages};
