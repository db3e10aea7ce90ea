//! The seal: a digest by which anyone can check that protocol and layout are as they were drawn.

use halfgreen_analysis::random::Generator;
use serde::{Deserialize, Serialize};

use super::sealed_texts::{all_corners, canonical, counts_before, sha256};
use super::{
    Greens, Grouping, LaidOut, Protocol, VerdictAbout, headline_family, headline_test, lead_name,
    write_layout,
};
use crate::Error;

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
    /// The text of `layout.csv` as it was digested, for the same purpose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layout: Option<String>,
    /// The outline's corners as they were digested.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<String>,
    /// The counts before treatment as they were digested, where blocks were formed from them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
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
    let layout = write_layout(&laid.layout)?;
    let outline = all_corners(greens);
    let before = counts_before(protocol);
    let mut sealed = Seal {
        digest: String::new(),
        protocol_digest,
        layout_digest: sha256(&layout),
        outline_digest: sha256(&outline),
        before_digest: before.as_deref().map(sha256),
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
        layout: Some(layout),
        outline: Some(outline),
        before,
    };
    sealed.digest = digest_of_all(&sealed);
    Ok(sealed)
}

/// Digest over all else that a seal holds.
pub(super) fn digest_of_all(seal: &Seal) -> String {
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

/// What the verdict is about, as the seal has it.
pub(super) fn about(protocol: &Protocol) -> Option<String> {
    let about = protocol.verdict_about()?;
    Some(about.key(Grouping::Green))
}
