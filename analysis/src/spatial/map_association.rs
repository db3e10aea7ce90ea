//! Do two maps go together, allowing for the clustering of each?

use ndarray::Array2;
use serde::Serialize;
use statrs::function::beta::beta_reg;

use super::{Place, check, distances};
use crate::Error;

/// Correlation of two maps of the same places.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MapAssociation {
    /// Pearson's correlation; `None` when one map is flat.
    pub r: Option<f64>,
    /// How many independent places the maps are worth.
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
    let (ca, cb) = (autocovariances(&a, &classes), autocovariances(&b, &classes));
    let variance =
        trace(&ca, Some(&cb), &classes) / (trace(&ca, None, &classes) * trace(&cb, None, &classes));
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

/// Class of each pair; class 0 is a place with itself.
fn distance_classes(places: &[Place]) -> Array2<usize> {
    let n = places.len();
    let all = distances(places);
    let far = all.iter().copied().fold(0.0, f64::max);
    let pairs = (n * (n - 1) / 2) as f64;
    let count = (1.0 + pairs.log2()).ceil();
    let mut classes =
        all.mapv(|d| floor(d / far.max(f64::MIN_POSITIVE) * count).min(floor(count) - 1) + 1);
    classes.diag_mut().fill(0);
    classes
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small number from 0"
)]
fn floor(x: f64) -> usize {
    x as usize
}

/// Mean product of deviations in each class.
fn autocovariances(z: &[f64], classes: &Array2<usize>) -> Vec<f64> {
    let top = classes.iter().max().map_or(1, |m| m + 1);
    let (mut sum, mut pairs) = (vec![0.0; top], vec![0.0_f64; top]);
    for ((i, j), &class) in classes.indexed_iter() {
        sum[class] += z[i] * z[j];
        pairs[class] += 1.0;
    }
    sum.iter()
        .zip(&pairs)
        .map(|(s, p)| s / p.max(1.0))
        .collect()
}

/// tr(B A B C) with B the centring matrix, or tr(B A) without C.
fn trace(a: &[f64], c: Option<&[f64]>, classes: &Array2<usize>) -> f64 {
    let n = classes.nrows() as f64;
    let rows: Vec<f64> = classes
        .rows()
        .into_iter()
        .map(|row| row.iter().map(|&k| a[k]).sum::<f64>() / n)
        .collect();
    let all = rows.iter().sum::<f64>() / n;
    let inner = |i: usize, j: usize, class: usize| a[class] - rows[i] - rows[j] + all;
    match c {
        Some(c) => classes
            .indexed_iter()
            .map(|((i, j), &class)| inner(i, j, class) * c[class])
            .sum(),
        None => (classes.diag().iter().enumerate())
            .map(|(i, &class)| inner(i, i, class))
            .sum(),
    }
}
