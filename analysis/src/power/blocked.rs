//! Approximate power of one treatment against the control in complete blocks: the instant preview.
//!
//! A plot's total y over c samples has mean M = c m and variance M + M^2 (1 / `k_plot` + 1 / (c `k_sample`)); on the
//! scale of log(y + 1), where an empty plot is no trouble, its variance is about that over (1 + M)^2
//! (delta method). The difference of two plots in a block is free of the block, so its mean over b
//! blocks is tested by t with (b - 1)(methods) degrees of freedom; the power is a tail of the non-central
//! t. Good where plots hold ten animals or more; the simulation corrects it below. Source: the delta
//! method and the non-central t as in W. G. Cochran and G. M. Cox, "Experimental Designs", 2nd ed. 1957,
//! section 2.2.

use std::sync::LazyLock;

use super::simulated::{Plan, SiteParameters};
use crate::Error;
use crate::distributions::{normal_sf, t_quantile};
use crate::error::{above_zero, open_share};
use crate::numerics::quadrature::{Rule, legendre};
use crate::numerics::roots::brent;
use crate::numerics::special::ln_gamma;

/// Mean and variance of log(total + 1) of one plot, block apart, when the mean per sample is `mean`.
#[must_use]
pub fn plot_log(site: &SiteParameters, samples: usize, mean: f64) -> (f64, f64) {
    let c = samples as f64;
    let total = c * mean;
    let variance = total + total * total * (1.0 / site.k_plot + 1.0 / (c * site.k_sample));
    (total.ln_1p(), variance / (1.0 + total).powi(2))
}

/// Approximate power of the two-sided test at `alpha` of the plan's first method.
///
/// Missing plots lower the number of blocks in proportion. A plan without replication has power 0.
///
/// # Errors
/// `alpha` outside (0, 1), or a plan or site that cannot be simulated (see [`Plan::check`]).
pub fn power(plan: &Plan, site: &SiteParameters, alpha: f64) -> Result<f64, Error> {
    open_share("alpha", alpha)?;
    plan.check()?;
    site.check()?;
    let blocks = plan.blocks as f64 * (1.0 - site.missing);
    let df = (blocks - 1.0) * plan.ratios.len() as f64;
    if df <= 0.0 {
        return Ok(0.0);
    }
    let control = plot_log(site, plan.samples, site.mean);
    let method = plot_log(site, plan.samples, site.mean * plan.ratios[0]);
    let shift = (control.0 - method.0).abs() / ((control.1 + method.1) / blocks).sqrt();
    let critical = t_quantile(1.0 - alpha / 2.0, df);
    Ok(noncentral_t_sf(critical, df, shift) + noncentral_t_sf(critical, df, -shift))
}

static RULE: LazyLock<Rule> = LazyLock::new(|| legendre(96));

/// P(T > t) for Student's t on `df` degrees of freedom shifted by `shift`, for t >= 0.
///
/// T = (Z + shift) / S with S^2 = chi-squared / df: the normal tail is integrated over the density of
/// S by 96 Gauss-Legendre points; absolute error below 1e-8 for df from 1 to 1000.
#[must_use]
pub fn noncentral_t_sf(t: f64, df: f64, shift: f64) -> f64 {
    // S is about 1 with standard deviation 1/sqrt(2 df); nine times 1/sqrt(df) leaves out less than
    // 1e-18.
    let reach = 9.0 / df.sqrt();
    let (low, high) = ((1.0 - reach).max(0.0), 1.0 + reach);
    let half = 0.5 * (high - low);
    let constant = std::f64::consts::LN_2 + 0.5 * df * (0.5 * df).ln() - ln_gamma(0.5 * df);
    let mut total = 0.0;
    for (node, weight) in RULE.nodes.iter().zip(&RULE.weights) {
        let s = low + half * (node + 1.0);
        let density = (constant + (df - 1.0) * s.ln() - 0.5 * df * s * s).exp();
        total += weight * half * density * normal_sf(t * s - shift);
    }
    total.clamp(0.0, 1.0)
}

/// Blocks for the approximate power to reach `wanted`, from 2 up to `most`; `None` if it never does.
///
/// # Errors
/// As [`power`]; `wanted` outside (0, 1).
pub fn blocks_for(
    plan: &Plan,
    site: &SiteParameters,
    alpha: f64,
    wanted: f64,
    most: usize,
) -> Result<Option<usize>, Error> {
    open_share("power", wanted)?;
    for blocks in 2..=most {
        if power(
            &Plan {
                blocks,
                ..plan.clone()
            },
            site,
            alpha,
        )? >= wanted
        {
            return Ok(Some(blocks));
        }
    }
    Ok(None)
}

/// The smallest reduction, a share from 0 to 1, that the preview sees with power `wanted`.
///
/// # Errors
/// As [`power`]; `wanted` outside (0, 1).
pub fn smallest_reduction(
    plan: &Plan,
    site: &SiteParameters,
    alpha: f64,
    wanted: f64,
) -> Result<Option<f64>, Error> {
    open_share("power", wanted)?;
    above_zero("blocks", plan.blocks as f64, false)?;
    let gap = |reduction: f64| {
        let plan = Plan {
            ratios: vec![1.0 - reduction; plan.ratios.len()],
            ..plan.clone()
        };
        power(&plan, site, alpha).map_or(f64::NAN, |p| p - wanted)
    };
    // A reduction of 0 has power alpha; when alpha alone is more than wished, nothing is to be found.
    Ok(brent(gap, 0.0, 1.0, 1e-6).map(|root| root.x))
}
