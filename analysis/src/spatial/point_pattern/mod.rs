//! Point patterns: do points lie closer together than complete spatial randomness would put them?
//!
//! *In.* Places in metres and the [`Window`] they were looked for in: any polygon, with holes.
//! *Out.* Ripley's K ([`ripley_k`]), L less the radius with a global envelope ([`envelope`]), and
//! nearest-neighbour distances ([`nearest_neighbours`]).
//!
//! *Assumes* that the whole window was searched equally well, and compares with complete spatial
//! randomness. *Not for* telling clumps from good ground: both draw points together.
//!
//! *Sources.* Ripley (1977) J. R. Stat. Soc. B 39, 172-212; Ohser (1983) Math. Operationsforsch. Stat. 14,
//! 63-71; Myllymaki et al. (2017) J. R. Stat. Soc. B 79, 381-404; Clark & Evans (1954) Ecology 35,
//! 445-453; Donnelly (1978), *Simulation Methods in Archaeology*.

mod envelope;
mod nearest;
mod overlap;
mod ripley;
mod window;

pub use envelope::{Envelope, envelope};
pub use nearest::{Nearest, nearest_neighbours};
pub use ripley::{EdgeCorrection, ripley_k};
pub use window::Window;
