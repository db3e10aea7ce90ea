//! The green: outlines in metres, holes, zones, and what is wrong with them.
//!
//! *Question.* Where does the green end, where must no plot lie, and which ground is alike?
//!
//! *In.* The text of a file, with its name for messages: corners in metres ([`read_csv`]), tape
//! offsets ([`read_tape`]), longitude and latitude ([`read_geojson`], [`read_gpx`]); or two diameters
//! ([`rectangle`], [`ellipse`]).
//!
//! *Out.* An [`Outline`] that has passed [`checked`]: three corners or more, no crossing edges,
//! anticlockwise, a believable size. Harmless slips are repaired and the repair is named in
//! [`Outline::repairs`]; anything else comes back as the list of all faults, each with its place.
//!
//! *Assumes* that the green is flat enough for its plan to serve as its surface: on a slope of 10 %
//! lengths along the slope are 0.5 % longer than on the plan.

mod checked;
mod clearance;
mod coordinates;
mod crossings;
mod edges;
mod features;
mod file;
mod geo_json;
mod gpx;
mod holes;
mod land;
mod outline;
mod projection;
mod refusals;
mod ring_faults;
mod rings;
mod shapes;
mod tape;
mod thinned;
mod track;
mod zones;

pub use checked::checked;
pub use clearance::Clearance;
pub use coordinates::read_csv;

pub use geo_json::read_geojson;
pub use gpx::read_gpx;
pub use outline::{Hole, Outline, Zone};
pub use projection::LocalFrame;
pub use rings::{Part, Ring};
pub use shapes::{circle, ellipse, rectangle};
pub use tape::read_tape;
