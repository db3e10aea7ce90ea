//! The green: outlines in metres, holes, zones, and what is wrong with them.
//!
//! *Question.* Where does the green end, where must no plot lie, and which ground is alike?
//!
//! *In.* The text of a file ([`read_csv`], [`read_tape`]) or two diameters ([`rectangle`],
//! [`ellipse`]); lengths in metres.
//!
//! *Out.* An [`Outline`] that has passed [`checked`]: three corners or more, no crossing edges,
//! anticlockwise, a believable size. Harmless slips are repaired and the repair is named in
//! [`Outline::repairs`]; anything else comes back as the list of all faults, each with its place.
//!
//! *Assumes* that the green is flat enough for its plan to serve as its surface: on a slope of 10 %
//! lengths along the slope are 0.5 % longer than on the plan.

mod coordinates;
mod crossings;
mod faults;
mod outline;
mod projection;
mod shapes;
mod table;

pub use coordinates::read_csv;
pub use faults::{Part, Ring, checked};
pub use outline::{Outline, Zone};
pub use projection::LocalFrame;
pub use shapes::{circle, ellipse, rectangle};
pub(crate) use table::Table;
