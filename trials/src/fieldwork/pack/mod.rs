//! The field pack: what goes out to the green, as texts.
//!
//! *In.* Protocol, layout, greens, seal and how the plots are pegged out. *Out.* Pages to print ([`count_sheets()`],
//! [`pegging_sheets()`]), tables to fill in ([`counts_csv`], [`counts_xlsx`], [`events_csv`]) and a [map](pack_map).
//!
//! Every page is a sheet of A4 with the trial, its seal and its number on it. A set with treatments hidden is for counts by
//! somebody who should not know them. Names are text wherever they stand: no page runs them and no spreadsheet.

mod count_lines;
mod count_sheets;
mod counts_file;
mod events_file;
mod instructions;
mod map_page;
mod pegging_sheets;
mod rows;
mod sheet;
mod walk;
mod workbook;

use crate::design::{Green, Layout, Protocol, Seal};

use super::pegging::Pegging;

pub use count_sheets::count_sheets;
pub use counts_file::counts_csv;
pub use events_file::events_csv;
pub use map_page::pack_map;
pub use pegging_sheets::pegging_sheets;
pub use workbook::counts_xlsx;

/// What the pack is made from.
#[derive(Debug, Clone, Copy)]
pub struct Pack<'a> {
    /// The question, its treatments, what is counted and when.
    pub protocol: &'a Protocol,
    /// The plots and what they were drawn to get.
    pub layout: &'a Layout,
    /// The greens they lie on.
    pub greens: &'a [Green],
    /// The seal of the draw.
    pub seal: &'a Seal,
    /// How the plots are pegged out, green by green.
    pub pegging: &'a [Pegging],
}

/// Whether whoever holds a page may know the treatments.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Treatments {
    /// Shown.
    Shown,
    /// Hidden, so that the count cannot lean towards a wish.
    Hidden,
}

impl Pack<'_> {
    /// The plots of one green.
    fn plots_on(&self, green: &Green) -> Layout {
        green
            .name
            .as_deref()
            .map_or_else(|| self.layout.clone(), |name| self.layout.on_green(name))
    }
}
