//! Who counts as a neighbour.

use std::fmt;
use std::str::FromStr;

use halfgreen_analysis::spatial::{Place, SpatialWeights};

use serde::{Deserialize, Serialize};

use crate::Error;

/// Who counts as a neighbour. Written `queen`, `rook`, `distance:M` or `nearest:K`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weights {
    /// Cells of a grid that share an edge or a corner.
    Queen,
    /// Cells of a grid that share an edge.
    Rook,
    /// Places up to this many metres away.
    Distance(f64),
    /// This many nearest places.
    Nearest(usize),
}

impl fmt::Display for Weights {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Queen => out.write_str("queen"),
            Self::Rook => out.write_str("rook"),
            Self::Distance(m) => write!(out, "distance:{m}"),
            Self::Nearest(k) => write!(out, "nearest:{k}"),
        }
    }
}

impl FromStr for Weights {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (name, size) = text.split_once(':').unwrap_or((text, ""));
        let wrong = || {
            "queen, rook, distance:M (metres above 0) or nearest:K (a whole number above 0) is needed"
                .to_owned()
        };
        match name {
            "queen" if size.is_empty() => Ok(Self::Queen),
            "rook" if size.is_empty() => Ok(Self::Rook),
            "distance" => match size.parse::<f64>() {
                Ok(m) if m > 0.0 && m.is_finite() => Ok(Self::Distance(m)),
                _ => Err(wrong()),
            },
            "nearest" => match size.parse::<usize>() {
                Ok(k) if k > 0 => Ok(Self::Nearest(k)),
                _ => Err(wrong()),
            },
            _ => Err(wrong()),
        }
    }
}

impl Weights {
    /// The neighbours of each place, binary.
    ///
    /// # Errors
    /// A distance that is not above 0, or a number of nearest places that is 0 or not below the number
    /// of places.
    pub fn neighbours(self, places: &[Place]) -> Result<SpatialWeights, Error> {
        let wrong = |what: String, cure: &str| Err(Error::in_field("weights", what, cure));
        match self {
            Self::Queen => Ok(SpatialWeights::queen(places)),
            Self::Rook => Ok(SpatialWeights::rook(places)),
            Self::Distance(m) if m > 0.0 && m.is_finite() => Ok(SpatialWeights::within(places, m)),
            Self::Distance(m) => wrong(
                format!("{m} m is no distance between neighbours"),
                "Give metres above 0.",
            ),
            Self::Nearest(k) if k > 0 && k < places.len() => Ok(SpatialWeights::nearest(places, k)),
            Self::Nearest(k) => wrong(
                format!("{k} nearest of {} places cannot be found", places.len()),
                "Give a number from 1 to one fewer than the places.",
            ),
        }
    }
}
