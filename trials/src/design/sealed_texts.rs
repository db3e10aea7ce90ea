//! Protocol, ground and counts as the texts that a seal digests.

use sha2::{Digest, Sha256};

use super::{Greens, Protocol};
use crate::Error;
use crate::area::Outline;

/// The counts from which blocks were formed, if they were: plot and count, one plot a line.
pub(super) fn counts_before(protocol: &Protocol) -> Option<String> {
    let before = &protocol.design.arrangement.before;
    let lines: Vec<String> = (1..)
        .zip(before)
        .map(|(plot, count)| format!("{plot} {count}\n"))
        .collect();
    (!lines.is_empty()).then(|| lines.concat())
}

/// The protocol as one line of JSON, its seed left out so that writing it down changes nothing, and
/// the counts before treatment left to a digest of their own.
pub(super) fn canonical(protocol: &Protocol) -> Result<String, Error> {
    let mut plain = protocol.clone();
    plain.design.seed = None;
    plain.design.arrangement.before.clear();
    serde_json::to_string(&plain).map_err(|e| {
        Error::new(
            "trial.toml",
            format!("cannot be digested ({e})"),
            "Check its numbers.",
        )
    })
}

/// Corners of every green, each after its name where it has one.
pub(super) fn all_corners(greens: Greens<'_>) -> String {
    let texts: Vec<String> = greens
        .each()
        .into_iter()
        .map(|(name, outline)| {
            let heading = name.map_or_else(String::new, |n| format!("green {n}\n"));
            heading + &corners(outline)
        })
        .collect();
    texts.concat()
}

/// Corners of an outline, holes and zones, to the millimetre.
fn corners(outline: &Outline) -> String {
    let ground = &outline.ground;
    let rings = std::iter::once(("edge", ground.exterior()))
        .chain(ground.interiors().iter().map(|r| ("hole", r)))
        .chain(
            outline
                .zones
                .iter()
                .map(|z| (z.name.as_str(), z.ground.exterior())),
        );
    let lines: Vec<String> = rings
        .flat_map(|(name, ring)| {
            let corners = ring.coords().map(|c| format!("{:.3} {:.3}\n", c.x, c.y));
            std::iter::once(format!("{name}\n")).chain(corners)
        })
        .collect();
    lines.concat()
}

/// SHA-256 in hexadecimal.
pub(crate) fn sha256(content: impl AsRef<[u8]>) -> String {
    let pairs: Vec<String> = Sha256::digest(content)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    pairs.concat()
}
