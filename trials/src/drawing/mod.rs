//! Pictures: how a thing is drawn. What is drawn, the rooms that know it decide.
//!
//! *In.* Places, numbers and names. *Out.* SVG as text, and the numbers behind it.
//!
//! | file | what it holds |
//! |---|---|
//! | `paper` | the paper, and the document with its title and description |
//! | `lettering` | how wide letters are (`widths`); lines broken, cut or set smaller to fit |
//! | `label` | a piece of lettering that knows its ground and keeps off others; the halo |
//! | `heading` | a title and a line below |
//! | `palette` | the colours |
//! | `pattern`, `mark` | twelve fills and twelve marks that differ in grey |
//! | `key` | what each of them stands for |
//! | `plane` | ground on paper: metres to scale, north arrow, scale bars |
//! | `chart` | figures with axes, on `plotters` |
//! | `data` | the numbers behind a figure |
//! | `png` | a figure as dots, in builds with that feature |
//!
//! Lengths are millimetres on a sheet to print, and pixels or millimetres in a figure, which is 480 pixels or
//! 127 mm wide: then lettering of 14 pixels or 3.7 mm can be read on a telephone held upright.

pub(crate) mod chart;
mod data;
pub(crate) mod heading;
pub(crate) mod key;
pub(crate) mod label;
pub(crate) mod lettering;
pub(crate) mod mark;
pub(crate) mod palette;
pub(crate) mod paper;
pub(crate) mod pattern;
pub(crate) mod plane;
pub(crate) mod png;
mod widths;

pub use data::{Cell, FigureData};
pub use lettering::{FAMILY, Weight, width};
