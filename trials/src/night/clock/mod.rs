//! When it gets dark and light, as clock times of the site.
//!
//! | file | in -> out |
//! |---|---|
//! | `sun` | an instant -> where the sun stands |
//! | [`mod@evening`] | date, place, time zone -> sunset, end of civil twilight, its beginning, sunrise |
//! | [`mod@timetable`] | those, minutes of work -> from when to lay, by when sheets must be off |
//!
//! Source: the low-precision solar position of Meeus, *Astronomical Algorithms* (2nd ed. 1998), chapters 25 and 28, in the
//! form of the Solar Calculator of the National Oceanic and Atmospheric Administration. Sunrise and sunset are the moments at
//! which the sun's centre stands 50 minutes of arc below a level horizon (34 for refraction, 16 for its half-diameter), civil
//! twilight ends or begins at 6 degrees (HM Nautical Almanac Office, Astronomical Information Sheet No. 7). Weather, trees and
//! hills make minutes of difference, so that times are for planning.

pub mod evening;
mod sun;
pub mod timetable;

pub use evening::{Evening, Event, Place, evening};
pub use timetable::{NoTimes, Timetable, timetable};
