//! Where they are: clusters, hot spots and what the map means.
//!
//! *Question.* Do larvae lie together, and where? *In.* Counts with places in metres, each place
//! sampled alike. *Out.* [`Hotspots`]: numbers, plain sentences, cautions.

mod hotspots;

pub use hotspots::{Cluster, Evenness, Hotspots, Local, Weights, hotspots};
