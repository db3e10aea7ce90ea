//! The seal: a digest by which anyone can check that protocol and layout are as they were drawn.

use halfgreen_analysis::random::Generator;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::changes::{Difference, LAYOUT_CHANGED, changes};
use super::{
    Greens, Grouping, LaidOut, Layout, Protocol, VerdictAbout, headline_family, headline_test,
    lay_out, lead_name, write_layout,
};
use crate::Error;
use crate::area::Outline;

/// What `seal.toml` holds. Digests are SHA-256 in hexadecimal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seal {
    /// Of all that stands below, one value a line, in their order here.
    pub digest: String,
    /// Of the protocol as JSON without its seed.
    pub protocol_digest: String,
    /// Of the text of `layout.csv`.
    pub layout_digest: String,
    /// Of the outline's corners: `x y` in metres to the millimetre, one a line, holes and zones after
    /// the edge.
    pub outline_digest: String,
    /// Of the counts before treatment from which blocks were formed: plot and count, one plot a line;
    /// absent where blocks were formed otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before_digest: Option<String>,
    /// Seed of the draw.
    pub seed: u64,
    /// Name and version of the generator.
    pub generator: String,
    /// Version of this tool.
    pub halfgreen: String,
    /// When it was sealed, ISO 8601, by the clock of the computer: nothing on file can prove it. A copy
    /// handed to somebody else on that day can.
    pub time: String,
    /// Number of allocations the draw could have given, in full.
    pub allocations: String,
    /// Smallest two-sided p that the randomisation test of one treatment against the control can reach.
    pub smallest_p: f64,
    /// Test on which the verdict will rest, fixed before anything is counted.
    pub headline_test: String,
    /// What beside the verdicts may be called a finding; absent from seals of before this was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub findings: Option<String>,
    /// The comparisons that get a verdict and share its error rate, fixed like it; absent from older seals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub headline_family: Option<String>,
    /// What the verdict is about in a trial on several greens: "these-greens", or "greens-like-these", where the error
    /// is how far the effect differs between greens; absent from a trial on one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict_about: Option<String>,
    /// Digest of the seal that this one replaced; absent from a first draw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<String>,
    /// The protocol as it was digested, so that a later change can be named; absent from seals of earlier releases.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protocol: Option<String>,
}

/// What of a judged trial may be called a finding: the rule by which all that its page claims is wrong on no more
/// pages than the error rate says. `judgement` carries it out.
pub const FINDINGS: &str = "verdicts first; then, if every method differs from the control, methods beside a reference; then, if all of \
                            them come close enough, later occasions and changes by Holm's method; all else is description";

/// What stands above the seal's values, for people.
const PREFACE: &str = "\
# `halfgreen layout DIR --verify` draws anew from the seed and compares all that follows from it. The time is that of
# this computer's clock and cannot be verified: hand a copy of this file to somebody else before you count.
";

/// What stands above the values where the verdict is about greens like these.
const LIKE_THESE: &str = "\
# The verdict will be about greens like these: its error is how far the effect differs from green to green. Re-drawn within
# these greens, the treatments tell whether nothing was done to any plot, and nothing of other greens: the draw does not lead.
";

impl Seal {
    /// Text of `seal.toml`.
    ///
    /// # Errors
    /// A seed above 2^63 - 1, which the format cannot hold.
    pub fn to_toml(&self) -> Result<String, Error> {
        let key = VerdictAbout::LikeThese.key(Grouping::Green);
        let like_these = if self.verdict_about == Some(key) {
            LIKE_THESE
        } else {
            ""
        };
        let written = toml::to_string(self).map(|values| format!("{PREFACE}{like_these}{values}"));
        written.map_err(|e| {
            Error::new(
                "seal.toml",
                format!("the seal cannot be written ({e})"),
                "Use a seed below 9223372036854775808.",
            )
        })
    }

    /// Reads `seal.toml`.
    ///
    /// # Errors
    /// Text that is no seal; the message names line and column.
    pub fn from_toml(file: &str, text: &str) -> Result<Self, Error> {
        toml::from_str(text).map_err(|e| {
            let at = e.span().map_or(0, |s| s.start);
            let before = &text[..at.min(text.len())];
            let line = before.matches('\n').count() + 1;
            let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
            Error::new(
                format!("{file}:{line}:{column}"),
                format!("this is no seal ({})", e.message()),
                "Restore the file from a copy; if nothing is counted yet, lay out anew with --replace.",
            )
        })
    }
}

/// Seals a layout. `time` is written as given; `replaces` is the seal of an earlier draw, if there was one.
///
/// # Errors
/// Only if a text cannot be put together.
pub fn seal<'a>(
    protocol: &Protocol,
    greens: impl Into<Greens<'a>>,
    laid: &LaidOut,
    time: &str,
    replaces: Option<&Seal>,
) -> Result<Seal, Error> {
    let greens = greens.into();
    let written = canonical(protocol)?;
    let protocol_digest = sha256(&written);
    let layout_digest = sha256(&write_layout(&laid.layout)?);
    let outline_digest = sha256(all_corners(greens));
    let mut sealed = Seal {
        digest: String::new(),
        protocol_digest,
        layout_digest,
        outline_digest,
        before_digest: digest_of_counts(protocol),
        seed: laid.seed,
        generator: Generator::NAME.to_owned(),
        halfgreen: env!("CARGO_PKG_VERSION").to_owned(),
        time: time.to_owned(),
        allocations: laid.allocations.clone(),
        smallest_p: laid.attainable().of_the_test(),
        headline_test: lead_name(headline_test(protocol, laid)).to_owned(),
        findings: Some(FINDINGS.to_owned()),
        headline_family: Some(headline_family(protocol)),
        verdict_about: about(protocol),
        replaces: replaces.map(|earlier| earlier.digest.clone()),
        protocol: Some(written),
    };
    sealed.digest = digest_of_all(&sealed);
    Ok(sealed)
}

/// Draws the layout anew from the seal's seed and lists what differs, in sentences; empty when all
/// is as sealed. What follows from the design is worked out again and compared; the time cannot be. A
/// protocol that can no longer be laid out is a difference too.
///
/// # Errors
/// A generator this version does not have.
pub fn verify<'a>(
    seal: &Seal,
    protocol: &Protocol,
    greens: impl Into<Greens<'a>>,
    layout: &Layout,
) -> Result<Vec<Difference>, Error> {
    if seal.generator != Generator::NAME {
        return Err(Error::new(
            "seal.toml",
            format!(
                "drawn with `{}`, but this version has `{}`",
                seal.generator,
                Generator::NAME
            ),
            "Verify with the version named in the seal.",
        ));
    }
    let greens = greens.into();
    let mut differs = Vec::new();
    let now = canonical(protocol)?;
    if seal.protocol_digest != sha256(&now) {
        // A copy that was changed as well is no copy.
        let sealed = seal
            .protocol
            .as_deref()
            .filter(|copy| sha256(copy) == seal.protocol_digest);
        differs.extend(changes(sealed, &now));
    }
    if seal.layout_digest != sha256(&write_layout(layout)?) {
        differs.push(Difference::grave(LAYOUT_CHANGED));
    }
    if seal.outline_digest != sha256(all_corners(greens)) {
        differs.push(Difference::slight("The outline is not the one sealed."));
    }
    if seal.digest != digest_of_all(seal) {
        differs.push(Difference::grave(
            "The seal itself was changed after it was written.",
        ));
    }
    if seal.before_digest != digest_of_counts(protocol) {
        differs.push(Difference::grave(
            "The counts before treatment are not the ones from which the blocks were formed.",
        ));
    }
    let drawn = match lay_out(protocol, greens, seal.seed) {
        Ok(drawn) => drawn,
        Err(refused) => {
            let again =
                format!("The trial cannot be laid out again from what is on file: {refused}");
            differs.push(Difference::grave(again));
            return Ok(differs);
        }
    };
    let results = result_differences(seal, protocol, &drawn).into_iter();
    differs.extend(results.map(Difference::grave));
    let plots = layout_differences(&drawn.layout, layout).into_iter();
    differs.extend(plots.map(Difference::grave));
    Ok(differs)
}

/// What the seal says of the design and the design does not.
fn result_differences(seal: &Seal, protocol: &Protocol, drawn: &LaidOut) -> Vec<String> {
    let mut differs = Vec::new();
    if seal.allocations != drawn.allocations {
        differs.push("The number of allocations is not the one sealed.".to_owned());
    }
    // Written and read back, a number is the same to the last digit.
    let smallest_p = drawn.attainable().of_the_test();
    if seal.smallest_p.to_bits() != smallest_p.to_bits() {
        differs.push(format!(
            "The seal says that the smallest p is {}, the design gives {smallest_p}.",
            seal.smallest_p
        ));
    }
    if seal
        .findings
        .as_deref()
        .is_some_and(|rule| rule != FINDINGS)
    {
        differs.push(format!(
            "The seal says that findings are \"{}\", this version calls by \"{FINDINGS}\".",
            seal.findings.as_deref().unwrap_or_default()
        ));
    }
    let leads = lead_name(headline_test(protocol, drawn));
    if seal.headline_test != leads {
        differs.push(format!(
            "The seal says that the test which leads is \"{}\", the design gives \"{leads}\": the design decides.",
            seal.headline_test
        ));
    }
    let family = headline_family(protocol);
    if let Some(sealed) = seal.headline_family.as_ref().filter(|f| **f != family) {
        differs.push(format!(
            "The seal says that verdicts are given on {sealed}; by the protocol they are given on {family}."
        ));
    }
    let now = about(protocol);
    if seal.verdict_about.is_some() && seal.verdict_about != now {
        differs.push(format!(
            "The seal says that the verdict is about {}, the protocol {}.",
            seal.verdict_about.as_deref().unwrap_or_default(),
            now.as_deref().unwrap_or("one green")
        ));
    }
    differs
}

/// What the verdict is about, as the seal has it.
fn about(protocol: &Protocol) -> Option<String> {
    let about = protocol.verdict_about()?;
    Some(about.key(Grouping::Green))
}

/// What differs between the layout as drawn anew and the layout on file.
fn layout_differences(drawn: &Layout, found: &Layout) -> Vec<String> {
    let mut differs = Vec::new();
    if drawn.plots.len() != found.plots.len() {
        differs.push(format!(
            "The seed gives {} lines, the layout has {}.",
            drawn.plots.len(),
            found.plots.len()
        ));
    }
    for (a, b) in drawn.plots.iter().zip(&found.plots) {
        if a.treatment != b.treatment {
            differs.push(format!(
                "Plot {}: the seed gives {}, the layout says {}.",
                a.plot, a.treatment, b.treatment
            ));
        } else if a != b {
            differs.push(format!(
                "Plot {}: place, size or block differs from the draw.",
                a.plot
            ));
        }
    }
    differs
}

/// Digest over all else that a seal holds.
fn digest_of_all(seal: &Seal) -> String {
    let digests = [
        &seal.protocol_digest,
        &seal.layout_digest,
        &seal.outline_digest,
    ];
    let (seed, smallest_p) = (seal.seed.to_string(), seal.smallest_p.to_string());
    let rest = [
        &seed,
        &seal.generator,
        &seal.halfgreen,
        &seal.time,
        &seal.allocations,
        &smallest_p,
        &seal.headline_test,
    ];
    let all = digests.into_iter().chain(&seal.before_digest);
    let all = all
        .chain(rest)
        .chain(&seal.headline_family)
        .chain(&seal.verdict_about)
        .chain(&seal.findings)
        .chain(&seal.replaces);
    sha256(all.fold(String::new(), |text, value| text + value + "\n"))
}

/// Digest of the counts from which blocks were formed, if they were.
fn digest_of_counts(protocol: &Protocol) -> Option<String> {
    let before = &protocol.design.arrangement.before;
    let lines: Vec<String> = (1..)
        .zip(before)
        .map(|(plot, count)| format!("{plot} {count}\n"))
        .collect();
    (!lines.is_empty()).then(|| sha256(lines.concat()))
}

/// The protocol as one line of JSON, its seed left out so that writing it down changes nothing, and
/// the counts before treatment left to a digest of their own.
fn canonical(protocol: &Protocol) -> Result<String, Error> {
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
fn all_corners(greens: Greens<'_>) -> String {
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
