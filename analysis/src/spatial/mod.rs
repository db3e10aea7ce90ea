//! Spatial statistics: autocorrelation, local clusters, hot spots, surfaces.
//!
//! *Question.* Do high counts lie together, where, and how far would counts have to move to be even?
//!
//! *In.* Places as `(x, y)` in metres and one value a place (counts, or counts per sample).
//!
//! *Out.* Small structs; what a map cannot answer (all values equal, too few points, no neighbours) is
//! `None` with a reason in a caution, never a number that is not one.
//!
//! *Assumes* that under "no pattern" every arrangement of the values over the places is equally
//! likely. Treatments break that: for residuals of a trial use [`residuals`].
//!
//! *Sources.* Cliff & Ord (1981) *Spatial Processes*; Ord & Getis (1995) Geogr. Anal. 27, 286-306;
//! Anselin (1995) Geogr. Anal. 27, 93-115;
//! Perry (1998) Ecology 79, 26-46; Perry et al. (1999) Ecol. Lett. 2, 106-113; Kulldorff (1997)
//! Commun. Stat. 26, 1481-1496; Ripley (1977) J. R. Stat. Soc. B 39, 172-212; Dutilleul (1993)
//! Biometrics 49, 305-314; Cressie (1993) *Statistics for Spatial Data*.
//!
//! *Not for* fewer than about 36 points where distance to regularity decides anything.

pub mod autocorrelation;
mod conditional_permutation;
pub mod site_covariates;
pub mod hot_spots;
pub mod kriging;
mod cross_products;
pub mod local_moran;
pub mod map_association;
pub mod weights;
mod patches;
mod permutation;
pub mod point_pattern;
pub mod regularity;
pub mod residuals;
pub mod scan;
pub mod spacing;
mod spanning_tree;
mod transport;
pub mod variogram;

pub use weights::SpatialWeights;

use ndarray::Array2;

/// A place: east and north of the origin, metres.
pub type Place = (f64, f64);

/// Distance between two places, metres.
#[must_use]
pub fn distance(a: Place, b: Place) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Distance between every two places, metres.
fn distances(places: &[Place]) -> Array2<f64> {
    let n = places.len();
    Array2::from_shape_fn((n, n), |(i, j)| distance(places[i], places[j]))
}

/// Refuses values and places that do not pair up or are not finite numbers.
///
/// # Errors
/// When the lengths differ, when there are none, or when one of the numbers is not finite.
pub fn check(places: &[Place], values: &[f64]) -> Result<(), crate::Error> {
    let bad = |found: String, accepted: &str| {
        crate::Error::new(
            "places and values",
            found,
            accepted,
            "Correct the table of places.",
        )
    };
    if places.is_empty() || places.len() != values.len() {
        let found = format!("{} places and {} values", places.len(), values.len());
        return Err(bad(
            found,
            "every value needs one place and there must be at least one",
        ));
    }
    let faulty = (0..values.len())
        .find(|&i| !(values[i].is_finite() && places[i].0.is_finite() && places[i].1.is_finite()));
    match faulty {
        Some(i) => Err(bad(
            format!("row {} without a finite number", i + 1),
            "all must be finite",
        )),
        None => Ok(()),
    }
}

/// Refuses values that do not pair up with the places of their neighbours or are not finite numbers.
///
/// # Errors
/// When the numbers differ, when there are none, or when one of the values is not finite.
pub fn check_links(values: &[f64], neighbours: &SpatialWeights) -> Result<(), crate::Error> {
    let found = if values.is_empty() || values.len() != neighbours.places() {
        format!("{} values for {} places", values.len(), neighbours.places())
    } else if let Some(i) = values.iter().position(|v| !v.is_finite()) {
        format!("value {} without a finite number", i + 1)
    } else {
        return Ok(());
    };
    Err(crate::Error::new(
        "values",
        found,
        "every place needs one finite value",
        "Build the neighbours from the same places.",
    ))
}
