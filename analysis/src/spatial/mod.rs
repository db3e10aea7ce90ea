//! Where are they: clustering, hot spots, surfaces.
