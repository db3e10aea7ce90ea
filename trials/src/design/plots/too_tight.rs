//! What to say where plots do not fit.

use super::request::{LEAST_SIDE, Request};
use super::search::{Ground, search};
use crate::Error;
use crate::text::spelling::number;

/// Says what stopped the layout, how many blocks fit, and which plot would.
pub(super) fn too_tight(ground: &mut Ground<'_>, ask: &Request, most: usize) -> Error {
    let smaller = |share: f64| {
        let smaller = Request {
            length_m: round_down(ask.length_m * share),
            width_m: round_down(ask.width_m * share),
            ..*ask
        };
        let sound = smaller.length_m >= LEAST_SIDE && smaller.width_m >= LEAST_SIDE;
        (sound && search(ground, &smaller).0.is_some()).then_some(smaller)
    };
    let offer = ask.advise.then(|| halved(smaller)).flatten();
    let fewer = if most > 0 {
        format!("Ask for {}", number(most, "block"))
    } else {
        "Measure a larger green".to_owned()
    };
    let cure = offer.map_or_else(
        || format!("{fewer}, or make the guard narrower."),
        |s| {
            format!(
                "{fewer}, or make the plots {:.1} m by {:.1} m, or the guard narrower.",
                s.length_m, s.width_m
            )
        },
    );
    let where_to = ground.zone.map_or_else(
        || "the green".to_owned(),
        |z| format!("the zone {}", z.name),
    );
    Error::new(
        "trial.toml [design] blocks",
        format!(
            "{} of {}, each plot {} m by {} m with a guard of {} m, do not fit on {where_to}: at most {} would",
            number(ask.blocks, "block"),
            number(ask.shape.plots(), "plot"),
            ask.length_m,
            ask.width_m,
            ask.guard_m,
            number(most, "complete block"),
        ),
        cure,
    )
}

/// What is found to fit at the largest share of the asked size, in twentieths, sought by halving.
pub(in crate::design) fn halved<T>(mut fits: impl FnMut(f64) -> Option<T>) -> Option<T> {
    let (mut low, mut high, mut offer) = (0, 20, None);
    while high - low > 1 {
        let middle = u32::midpoint(low, high);
        match fits(f64::from(middle) / 20.0) {
            Some(smaller) => (low, offer) = (middle, Some(smaller)),
            None => high = middle,
        }
    }
    offer
}

/// Down to a tenth of a metre, as a tape is read.
pub(in crate::design) fn round_down(metres: f64) -> f64 {
    (metres * 10.0 + 1e-9).floor() / 10.0
}
