//! A seal held against what is on file: the draw made again, and every line that is not as it was sealed.

use halfgreen_analysis::random::Generator;

use super::changes::{Difference, LAYOUT_CHANGED, changes};
use super::seal::{FINDINGS, Seal, about, digest_of_all};
use super::sealed_lines::{corner_lines, count_lines, layout_lines};
use super::sealed_texts::{all_corners, canonical, counts_before, sha256};
use super::{
    Greens, LaidOut, Layout, Protocol, headline_family, headline_test, lay_out, lead_name,
    write_layout,
};
use crate::Error;

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
        let sealed = copy(seal.protocol.as_ref(), &seal.protocol_digest);
        differs.extend(changes(sealed, &now));
    }
    let now = write_layout(layout)?;
    if seal.layout_digest != sha256(&now) {
        let sealed = copy(seal.layout.as_ref(), &seal.layout_digest);
        let lines = sealed.map(|sealed| layout_lines(sealed, &now));
        differs.push(Difference::grave(LAYOUT_CHANGED).of_lines(lines.unwrap_or_default()));
    }
    let now = all_corners(greens);
    if seal.outline_digest != sha256(&now) {
        let sealed = copy(seal.outline.as_ref(), &seal.outline_digest);
        let lines = sealed.map(|sealed| corner_lines(sealed, &now));
        let found = Difference::slight("The outline is not the one sealed.");
        differs.push(found.of_lines(lines.unwrap_or_default()));
    }
    if seal.digest != digest_of_all(seal) {
        differs.push(Difference::grave(
            "The seal itself was changed after it was written.",
        ));
    }
    let now = counts_before(protocol);
    if seal.before_digest != now.as_deref().map(sha256) {
        let sealed = seal.before_digest.as_deref();
        let sealed = sealed.and_then(|digest| copy(seal.before.as_ref(), digest));
        let lines = sealed.map(|sealed| count_lines(sealed, now.as_deref().unwrap_or_default()));
        let found = Difference::grave(
            "The counts before treatment are not the ones from which the blocks were formed.",
        );
        differs.push(found.of_lines(lines.unwrap_or_default()));
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

/// What was kept of what was sealed; a copy that was changed as well is no copy.
fn copy<'s>(kept: Option<&'s String>, digest: &str) -> Option<&'s str> {
    kept.map(String::as_str)
        .filter(|text| sha256(text) == digest)
}
