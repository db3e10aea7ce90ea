//! What the verdicts are about as natural frequencies: of twenty on untreated ground, so many on treated ground.
//!
//! People read "4 of 20" more surely than a ratio or a per cent (Gigerenzer & Hoffrage 1995, *Psychological Review*
//! 102, 684-704). Numbers are rounded to whole animals, limits outward, so that no digit is claimed that is not there.

use super::Findings;
use crate::judgement::ContrastRow;
use crate::text::rounding::change;

/// How many the untreated ground holds in the telling, the largest of these by which no estimate passes [`MOST`].
const BASES: [u32; 5] = [20, 10, 5, 2, 1];
/// Most that an estimate may be told as.
pub(super) const MOST: u32 = 60;

/// One comparison.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OfTwenty {
    /// Name of the method, or of the factor with its level.
    pub(super) method: String,
    /// Name of what it stands against.
    pub(super) control: String,
    /// How many the untreated ground holds: twenty, or fewer where the method has very many more.
    pub(super) of: u32,
    /// How many the treated ground holds by the estimate.
    pub(super) number: u32,
    /// At least so many.
    pub(super) low: u32,
    /// At most so many; absent where there is no upper limit.
    pub(super) high: Option<u32>,
    /// The smallest change worth having, in words.
    pub(super) worth: String,
    /// Whether the estimate allows for something that the counts as they stand do not.
    pub(super) allows: bool,
}

/// Method and what it stands against by name, for every comparison that has a verdict.
pub(super) fn compared<'a>(
    findings: &Findings<'a>,
) -> impl Iterator<Item = (String, String, &'a ContrastRow)> {
    let found = findings.judgement;
    let factors = found.factors.iter().map(|f| {
        let level = |level: &str| format!("{} {level}", f.factor);
        (level(&f.level), level(&f.against), &f.contrast)
    });
    let findings = *findings;
    let methods = found.contrasts.iter().filter(|_| found.factors.is_empty());
    factors.chain(methods.map(move |c| {
        let name = |code: &str| findings.name(code).to_owned();
        (name(&c.treatment), name(&c.control), c)
    }))
}

/// Every comparison that has a verdict; `None` where one has no ratio, or one too large to be told so.
pub(super) fn of_twenty(findings: &Findings<'_>) -> Option<Vec<OfTwenty>> {
    let ratios: Vec<f64> = compared(findings)
        .map(|(_, _, row)| row.ratio)
        .collect::<Option<_>>()?;
    let largest = ratios.iter().copied().fold(0.0, f64::max);
    let fits = |of: &u32| f64::from(*of) * largest <= f64::from(MOST);
    let of = BASES.into_iter().find(fits)?;
    let told = |((method, control, row), ratio): ((String, String, &ContrastRow), f64)| OfTwenty {
        method,
        control,
        of,
        number: whole((f64::from(of) * ratio).round()),
        low: whole((f64::from(of) * row.stated_low().unwrap_or(0.0)).floor()),
        high: row.stated_high().map(|h| whole((f64::from(of) * h).ceil())),
        worth: change(findings.judgement.worthwhile_ratio),
        allows: row.reads_otherwise().is_some(),
    };
    Some(compared(findings).zip(ratios).map(told).collect())
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and a number beyond the type becomes its largest"
)]
fn whole(x: f64) -> u32 {
    x as u32
}
