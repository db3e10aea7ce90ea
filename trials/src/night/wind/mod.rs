//! What a gust does to sheets that lie on turf, and what holds them down.
//!
//! | file | in -> out |
//! |---|---|
//! | [`pressure`] | gust -> dynamic pressure |
//! | [`mod@uplift`] | pressure, coefficients, sheet -> lift in the edge zone and in the middle |
//! | [`mod@ballast`] | lift, edges and laps, one weight -> how many weights, how far apart; or not tonight |
//!
//! **An estimate for planning, not an engineer's design.** No standard treats a sheet that lies loose on turf. The
//! coefficients are those of a flat roof with sharp eaves, which stands in faster air and is open below; a sheet that lies
//! close meets less, and a sheet that the wind has got under meets more. No safety factor is added.

pub mod ballast;
pub mod pressure;
pub mod uplift;

pub use ballast::{Ballast, Cover, Weight, ballast};
pub use pressure::dynamic_pressure;
pub use uplift::{Coefficients, Uplift, uplift};
