//! How the variance of a core's count follows its mean, as asked.

use halfgreen_analysis::power::survey::VarianceLaw;
use serde::{Deserialize, Serialize};

use crate::Error;
use crate::ranges::request::{LAW_IWAO_ALPHA, LAW_IWAO_BETA, LAW_K, LAW_TAYLOR_A, LAW_TAYLOR_B};
use crate::ranges::within_limits;

/// How clumped cores are, in one of three ways; without any of them, Poisson.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Law {
    /// k of counts per core: variance m + m^2 / k.
    pub k: Option<f64>,
    /// Taylor's power law: variance a m^b.
    pub taylor: Option<Taylor>,
    /// Iwao's regression of mean crowding on the mean.
    pub iwao: Option<Iwao>,
}

/// Taylor's power law.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Taylor {
    /// Factor.
    pub a: f64,
    /// Exponent.
    pub b: f64,
}

/// Iwao's regression.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Iwao {
    /// Intercept.
    pub alpha: f64,
    /// Slope.
    pub beta: f64,
}

impl Law {
    /// The law that is named.
    ///
    /// # Errors
    /// More than one of them, or numbers that no counts have.
    pub(super) fn variance_law(&self) -> Result<VarianceLaw, Error> {
        let (field, law) = match (self.k, self.taylor, self.iwao) {
            (None, None, None) => return Ok(VarianceLaw::Poisson),
            (Some(k), None, None) => ("law.k", VarianceLaw::NegativeBinomial { k }),
            (None, Some(Taylor { a, b }), None) => ("law.taylor", VarianceLaw::Taylor { a, b }),
            (None, None, Some(Iwao { alpha, beta })) => {
                ("law.iwao", VarianceLaw::Iwao { alpha, beta })
            }
            _ => {
                let what = "k, Taylor's law and Iwao's regression are three ways to say the same";
                return Err(Error::in_field("law", what, "Give one of them."));
            }
        };
        let (taylor, iwao) = (self.taylor, self.iwao);
        within_limits(&[
            (LAW_K, self.k),
            (LAW_TAYLOR_A.named("law.taylor"), taylor.map(|t| t.a)),
            (LAW_TAYLOR_B.named("law.taylor"), taylor.map(|t| t.b)),
            (LAW_IWAO_ALPHA.named("law.iwao"), iwao.map(|i| i.alpha)),
            (LAW_IWAO_BETA.named("law.iwao"), iwao.map(|i| i.beta)),
        ])
        .map_err(|mut faults| faults.remove(0))?;
        law.check().map_err(|refused| {
            let refused = Error::from(refused);
            Error::in_field(
                field,
                format!("{}: {}", refused.place, refused.what),
                refused.cure,
            )
        })?;
        Ok(law)
    }
}
