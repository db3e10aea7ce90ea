//! Units per arm for two rates of negative binomial or Poisson counts, without blocks.
//!
//! The Wald test of the log rate ratio needs n units in the control arm (H. Zhu and H. Lakkis,
//! "Sample size calculation for comparing two negative binomial rates", Statistics in Medicine 33,
//! 2014, 376-387), with three forms of the variance under no effect. An infinite k gives the Poisson
//! formula. D. F. Signorini ("Sample size for Poisson regression", Biometrika 78, 1991, 446-450) treats
//! a covariate. Units are independent; for plots in blocks see [`blocked`](super::blocked).

use serde::Serialize;

use crate::Error;
use crate::distributions::{normal_quantile, normal_sf};
use crate::error::{above_zero, open_share};

/// Two arms to be compared.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rates {
    /// Mean count of a control unit per unit of exposure.
    pub control: f64,
    /// Rate of the treatment over that of the control.
    pub ratio: f64,
    /// Negative binomial k of one unit's count; infinite for Poisson.
    pub k: f64,
    /// Exposure of one unit (samples, nights), which multiplies the mean but not k.
    pub exposure: f64,
    /// Treatment units for each control unit.
    pub allocation: f64,
}

/// How the variance is taken under the hypothesis of no effect.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NullVariance {
    /// Both arms at the control's rate (approach 1 of Zhu and Lakkis).
    ControlRate,
    /// Each arm at its own rate, as in the Wald test (approach 2).
    OwnRates,
    /// Both arms at the pooled rate (approach 3).
    PooledRate,
}

impl Rates {
    fn check(&self) -> Result<(), Error> {
        above_zero("control rate", self.control, false)?;
        above_zero("rate ratio", self.ratio, false)?;
        above_zero("k", self.k, true)?;
        above_zero("exposure", self.exposure, false)?;
        above_zero("allocation", self.allocation, false)
    }

    /// Variance of the log rate ratio at the true rates, times the control units.
    fn variance(&self) -> f64 {
        let theta = self.allocation;
        (1.0 / self.control + 1.0 / (theta * self.control * self.ratio)) / self.exposure
            + (1.0 + theta) / (theta * self.k)
    }

    /// The same under no effect.
    fn null_variance(&self, form: NullVariance) -> f64 {
        let theta = self.allocation;
        let overdispersion = (1.0 + theta) / (theta * self.k);
        let counts = theta * self.exposure * self.control;
        match form {
            NullVariance::ControlRate => (1.0 + theta) / counts + overdispersion,
            NullVariance::OwnRates => self.variance(),
            NullVariance::PooledRate => {
                (1.0 + theta).powi(2) / (counts * (1.0 + theta * self.ratio)) + overdispersion
            }
        }
    }
}

/// Control units needed (not rounded) for the two-sided test of no effect at `alpha` to have `power`.
///
/// # Errors
/// Rates, k, exposure or allocation not above 0; `alpha` or `power` outside (0, 1); a ratio of 1.
pub fn units(rates: &Rates, alpha: f64, power: f64, form: NullVariance) -> Result<f64, Error> {
    rates.check()?;
    open_share("alpha", alpha)?;
    open_share("power", power)?;
    if rates.ratio == 1.0 {
        return Err(Error::new(
            "rate ratio",
            "1",
            "no number of units can show an effect that does not exist",
            "give the smallest effect worth finding",
        ));
    }
    let reach = normal_quantile(1.0 - alpha / 2.0) * rates.null_variance(form).sqrt()
        + normal_quantile(power) * rates.variance().sqrt();
    Ok((reach / rates.ratio.ln()).powi(2))
}

/// Power of the two-sided test of no effect with `units` in the control arm.
///
/// Counts only rejections in the direction of the true ratio, as [`units`] does.
///
/// # Errors
/// As [`units`], but a ratio of 1 gives `alpha` / 2.
pub fn power(rates: &Rates, units: f64, alpha: f64, form: NullVariance) -> Result<f64, Error> {
    rates.check()?;
    open_share("alpha", alpha)?;
    above_zero("units", units, false)?;
    let shift = units.sqrt() * rates.ratio.ln().abs();
    let critical = normal_quantile(1.0 - alpha / 2.0) * rates.null_variance(form).sqrt();
    Ok(normal_sf((critical - shift) / rates.variance().sqrt()))
}

/// Power of two one-sided tests, each at `alpha`, to show the ratio inside (`low`, 1 / `low`) when it
/// is `rates.ratio`; variances at the true rates.
///
/// H. Zhu, "Sample size calculation for comparing two Poisson or negative binomial rates in
/// noninferiority or equivalence trials", Statistics in Biopharmaceutical Research 9, 2017, 107-115.
///
/// # Errors
/// As [`units`]; `low` outside (0, 1).
pub fn equivalence_power(rates: &Rates, units: f64, low: f64, alpha: f64) -> Result<f64, Error> {
    rates.check()?;
    open_share("alpha", alpha)?;
    open_share("lower limit of equivalence", low)?;
    above_zero("units", units, false)?;
    let se = (rates.variance() / units).sqrt();
    let z = normal_quantile(1.0 - alpha);
    let upper = (-low.ln() - rates.ratio.ln()) / se - z;
    let lower = (low.ln() - rates.ratio.ln()) / se + z;
    Ok((normal_sf(lower) - normal_sf(upper)).max(0.0))
}

/// How a covariate of a Poisson regression is spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Covariate {
    /// Standard normal.
    Normal,
    /// 1 with this chance, else 0.
    Present(f64),
}

/// Units in all for the Wald test of a Poisson regression slope (Signorini 1991).
///
/// `base` is the mean count of a unit at covariate 0, `ratio` the factor for one step of the
/// covariate, `inflation` the variance over the mean (1 for Poisson).
///
/// # Errors
/// As [`units`]; a share outside (0, 1).
pub fn poisson_regression_units(
    base: f64,
    ratio: f64,
    covariate: Covariate,
    inflation: f64,
    (alpha, power): (f64, f64),
) -> Result<f64, Error> {
    let k = f64::INFINITY;
    let rates = Rates {
        control: base,
        ratio,
        k,
        exposure: 1.0,
        allocation: 1.0,
    };
    // The checks, and the refusal of a ratio of 1, are those of the two arms.
    units(&rates, alpha, power, NullVariance::OwnRates)?;
    above_zero("inflation", inflation, false)?;
    let slope = ratio.ln();
    let (null, own) = match covariate {
        Covariate::Normal => (1.0, (-0.5 * slope * slope).exp()),
        Covariate::Present(share) => {
            open_share("share with the covariate", share)?;
            let absent = 1.0 / (1.0 - share);
            (absent + 1.0 / share, absent + 1.0 / (share * ratio))
        }
    };
    let reach = normal_quantile(1.0 - alpha / 2.0) * f64::sqrt(null)
        + normal_quantile(power) * f64::sqrt(own);
    Ok(inflation * (reach / slope).powi(2) / base)
}
