//! Sample grids: where to take cores when scouting a green, and in which order to walk.
//!
//! *In.* A checked outline and a [`GridPlan`]: pattern, number or spacing, margin from the edge,
//! seed. *Out.* A [`Grid`]: points inside the outline by the margin, numbered along a short walk.
//!
//! | pattern | points | draws from the generator (stream 1), in this order |
//! |---|---|---|
//! | `square` | a square net | start: two numbers in [0, 1) times the spacing |
//! | `triangular` | rows half a spacing out of step | the same |
//! | `stratified` | one point at random in each cell of a square net | start, then two for each cell, rows from south to north |
//! | `random` | anywhere, all alike | two for each try; tries off the ground are thrown away |
//! | `zigzag` | at equal steps along a W across the green | one: the first step |
//!
//! A random start makes every square metre equally likely to be sampled. Cells of `stratified` that
//! the edge cuts hold a point only if the one drawn in the whole cell falls on the ground; whole
//! cells hold exactly one. When a number of points is asked for, the spacing whose number comes
//! nearest is taken: nets cannot meet every number. `random` meets it exactly.
//!
//! Zigzags favour the middle of the green and may leave a lobe out: [`LeftOut`] says which ground. Use them for a quick
//! look, not for an estimate.

mod left_out;
mod pattern;
mod points;
mod route;
mod tables;

pub use left_out::{Furthest, LeftOut};
pub use points::{Density, Grid, GridPlan, GridPoint, Pattern, grid};
pub use route::{route_length, short_route};
pub use tables::{TapeLine, points_csv, points_geojson, tape_lines, tape_text};
