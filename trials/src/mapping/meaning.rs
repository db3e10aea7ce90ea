//! What the numbers mean, in plain sentences.

use halfgreen_analysis::spatial::hot_spots::Class;
use halfgreen_analysis::spatial::local_moran::Quadrant;

use super::findings::Hotspots;
use crate::text::rounding::p_value;
use crate::text::spelling::number;

/// One sentence for each question that the map answers.
pub(super) fn meaning(found: &Hotspots) -> Vec<String> {
    let mut out = vec![whole(found).to_owned(), spots(found)];
    out.extend(company(found));
    out.extend(evenness(found));
    out.extend(patches(found));
    out.extend(cluster(found));
    out.extend(second_map(found));
    out.extend(residuals(found));
    out
}

fn whole(found: &Hotspots) -> &'static str {
    match (found.moran.i, found.moran.p_permutation) {
        (Some(i), Some(p)) if p <= 0.05 && i > found.moran.expected => {
            "Near places are alike: larvae lie in clumps wider than one sampling place."
        }
        (Some(_), Some(p)) if p <= 0.05 => {
            "Near places differ more than chance would have it: high and low counts alternate."
        }
        (Some(_), Some(_)) => {
            "No clumps wider than one sampling place were shown; that does not prove there are none."
        }
        _ => "The map is too small or too even to tell of clumps.",
    }
}

fn spots(found: &Hotspots) -> String {
    let of = |class| found.local.iter().filter(|l| l.class == class).count();
    format!(
        "{} of {} {} hot and {} cold, allowing for the number of places looked at.",
        of(Class::Hot),
        number(found.local.len(), "place"),
        if of(Class::Hot) == 1 { "is" } else { "are" },
        of(Class::Cold)
    )
}

/// Places that stand out from their neighbours, which a map of hot and cold spots cannot show.
fn company(found: &Hotspots) -> Option<String> {
    let of = |class| {
        found
            .local
            .iter()
            .filter(|l| l.moran_class == class)
            .count()
    };
    let (lone, bare) = (of(Quadrant::HighLow), of(Quadrant::LowHigh));
    (lone + bare > 0).then(|| {
        format!(
            "Unlike their neighbours: {lone} crowded among sparse and {bare} sparse among crowded, allowing for the \
             number of places looked at."
        )
    })
}

/// Whether the two sides of the average lie together, and how many places show it one by one.
fn patches(found: &Hotspots) -> Option<String> {
    let even = &found.regularity;
    let (patch, patch_p) = even.patch_index.zip(even.patch_p)?;
    let (gap, gap_p) = even.gap_index.zip(even.gap_p)?;
    let sure = |q: Option<f64>| q.is_some_and(|q| q <= 0.05);
    let single = found.local.iter().filter(|l| sure(l.patchiness_q)).count();
    let what = match (patch_p <= 0.05, gap_p <= 0.05) {
        (true, true) => "High counts form patches and low counts form gaps",
        (true, false) => "High counts form patches, low counts no gaps that chance would not",
        (false, true) => "Low counts form gaps, high counts no patches that chance would not",
        (false, false) => "Neither patches nor gaps were shown",
    };
    Some(format!(
        "{what} (indices {patch:.2}, {}, and {gap:.2}, {}). Places that show it by themselves, allowing for their \
         number: {single}.",
        drawn(patch_p, even.patch_p_se),
        drawn(gap_p, even.gap_p_se)
    ))
}

fn evenness(found: &Hotspots) -> Option<String> {
    let (index, p) = found.regularity.index.zip(found.regularity.p)?;
    let chance = if p <= 0.05 {
        "which chance seldom does"
    } else {
        "which chance alone often does"
    };
    Some(format!(
        "To even the counts out, larvae would have to move {index:.2} times as far as if the same counts \
         lay at random, {chance} ({}).",
        drawn(p, found.regularity.p_se)
    ))
}

/// A p-value with its error for being known from draws only.
fn drawn(p: f64, se: Option<f64>) -> String {
    match se {
        Some(se) => format!("{} ± {:.3}", p_value(p), se.max(0.001)),
        None => p_value(p),
    }
}

fn cluster(found: &Hotspots) -> Option<String> {
    let best = found.scan.first()?;
    let p = best.p?;
    let known = if p <= 0.05 {
        "The surest cluster"
    } else {
        "The likeliest cluster, which chance can explain,"
    };
    Some(format!(
        "{known} lies within {:.1} m of ({:.1}, {:.1}): {} larvae where {:.1} were expected ({}).",
        best.radius_m,
        best.x_m,
        best.y_m,
        best.inside,
        best.expected,
        p_value(p)
    ))
}

fn second_map(found: &Hotspots) -> Option<String> {
    let association = found.association.as_ref()?;
    let (r, p) = association.r.zip(association.p)?;
    let name = &association.name;
    let how = match (p <= 0.05, r > 0.0) {
        (true, true) => format!("Counts are high where {name} is high"),
        (true, false) => format!("Counts are high where {name} is low"),
        (false, _) => format!("No link to {name} was shown"),
    };
    Some(format!(
        "{how} (r = {r:.2}, {}, allowing for the clumps of both).",
        p_value(p)
    ))
}

fn residuals(found: &Hotspots) -> Option<String> {
    let (i, p) = found.residuals.as_ref().and_then(|r| r.i.zip(r.p))?;
    let what = match (p <= 0.05, i > 0.0) {
        (true, true) => "neighbouring plots go together: they are not independent",
        (true, false) => "neighbouring plots differ more than chance would have it",
        (false, _) => "no tie between neighbouring plots was shown",
    };
    Some(format!(
        "With counts set against the mean of their treatment, {what} (Moran's I = {i:.3}, {}); the verdict's own \
         check allows for blocks too.",
        p_value(p)
    ))
}
