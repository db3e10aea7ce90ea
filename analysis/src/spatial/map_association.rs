//! Do two maps go together, allowing for the clustering of each?

use serde::Serialize;
use statrs::function::beta::beta_reg;

use super::{Place, check, distance};
use crate::Error;

/// Correlation of two maps of the same places.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MapAssociation {
    /// Pearson's correlation; `None` when one map is flat.
    pub r: Option<f64>,
    /// How many independent places the maps are worth.
    #[serde(rename = "effective_places")]
    pub effective_sample_size: Option<f64>,
    /// Two-sided p on `effective_places` - 2 degrees of freedom; `None` when that is not positive.
    pub p: Option<f64>,
}

/// Pearson's correlation of two maps with the modified t test of Dutilleul (1993), Biometrics 49,
/// 305-314: the number of places is replaced by 1 + 1/var(r), where var(r) follows from the
/// autocovariances of both maps by distance class (classes by Sturges' rule over all distances).
///
/// # Errors
/// As [`check`], for either map.
pub fn map_association(places: &[Place], a: &[f64], b: &[f64]) -> Result<MapAssociation, Error> {
    check(places, a)?;
    check(places, b)?;
    let n = places.len();
    let (a, b) = (centred(a), centred(b));
    let dot = |x: &[f64], y: &[f64]| x.iter().zip(y).map(|(x, y)| x * y).sum::<f64>();
    let (aa, bb) = (dot(&a, &a), dot(&b, &b));
    if n < 3 || aa == 0.0 || bb == 0.0 {
        return Ok(MapAssociation {
            r: None,
            effective_sample_size: None,
            p: None,
        });
    }
    let r = (dot(&a, &b) / (aa * bb).sqrt()).clamp(-1.0, 1.0);
    let classes = distance_classes(places);
    let (ca, cb) = (covariances(&a, &classes), covariances(&b, &classes));
    let variance = trace(&ca, Some(&cb), &classes, n)
        / (trace(&ca, None, &classes, n) * trace(&cb, None, &classes, n));
    // An estimate below that of independent places, 1/(n-1), comes from negative autocovariances.
    let effective = if variance > 0.0 {
        (1.0 + 1.0 / variance).min(4.0 * n as f64)
    } else {
        n as f64
    };
    let df = effective - 2.0;
    let p = (df > 0.0).then(|| {
        if r.abs() >= 1.0 {
            0.0
        } else {
            beta_reg(df / 2.0, 0.5, 1.0 - r * r)
        }
    });
    Ok(MapAssociation {
        r: Some(r),
        effective_sample_size: Some(effective),
        p,
    })
}

fn centred(x: &[f64]) -> Vec<f64> {
    let mean = x.iter().sum::<f64>() / x.len() as f64;
    x.iter().map(|v| v - mean).collect()
}

/// Class of each pair, by rows; class 0 is a place with itself.
fn distance_classes(places: &[Place]) -> Vec<usize> {
    let n = places.len();
    let all: Vec<f64> = (0..n * n)
        .map(|k| distance(places[k / n], places[k % n]))
        .collect();
    let far = all.iter().copied().fold(0.0, f64::max);
    let pairs = (n * (n - 1) / 2) as f64;
    let count = (1.0 + pairs.log2()).ceil();
    let class = |k: usize| {
        if k / n == k % n {
            0
        } else {
            floor(all[k] / far.max(f64::MIN_POSITIVE) * count).min(floor(count) - 1) + 1
        }
    };
    (0..n * n).map(class).collect()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small number from 0"
)]
fn floor(x: f64) -> usize {
    x as usize
}

fn covariances(z: &[f64], classes: &[usize]) -> Vec<f64> {
    let n = z.len();
    let top = classes.iter().max().map_or(1, |m| m + 1);
    let (mut sum, mut pairs) = (vec![0.0; top], vec![0.0_f64; top]);
    for (k, &class) in classes.iter().enumerate() {
        sum[class] += z[k / n] * z[k % n];
        pairs[class] += 1.0;
    }
    sum.iter()
        .zip(&pairs)
        .map(|(s, p)| s / p.max(1.0))
        .collect()
}

/// tr(B A B C) with B the centring matrix, or tr(B A) without C.
fn trace(a: &[f64], c: Option<&[f64]>, classes: &[usize], n: usize) -> f64 {
    let rows: Vec<f64> = classes
        .chunks(n)
        .map(|row| row.iter().map(|&k| a[k]).sum::<f64>() / n as f64)
        .collect();
    let all = rows.iter().sum::<f64>() / n as f64;
    let inner = |k: usize| a[classes[k]] - rows[k / n] - rows[k % n] + all;
    match c {
        Some(c) => (0..n * n).map(|k| inner(k) * c[classes[k]]).sum(),
        None => (0..n).map(|i| inner(i * n + i)).sum(),
    }
}
