//! How the variance of a core's count follows its mean, as typed.

use halfgreen_analysis::power::survey::VarianceLaw;

use super::pair::pair;

/// How clumped cores are; without any of these, Poisson.
#[derive(Debug, clap::Args)]
#[group(multiple = false)]
pub(super) struct Law {
    /// Clumping of counts per core: variance m + m^2 / K
    #[arg(long, value_name = "K")]
    k: Option<f64>,
    /// Taylor's power law: variance A m^B
    #[arg(long, value_name = "A,B", value_parser = pair)]
    taylor: Option<(f64, f64)>,
    /// Iwao's regression of mean crowding: intercept and slope
    #[arg(long, value_name = "ALPHA,BETA", value_parser = pair)]
    iwao: Option<(f64, f64)>,
}

impl Law {
    /// The law, Poisson when none is named.
    pub(super) fn law(&self) -> VarianceLaw {
        match (self.k, self.taylor, self.iwao) {
            (Some(k), _, _) => VarianceLaw::NegativeBinomial { k },
            (_, Some((a, b)), _) => VarianceLaw::Taylor { a, b },
            (_, _, Some((alpha, beta))) => VarianceLaw::Iwao { alpha, beta },
            _ => VarianceLaw::Poisson,
        }
    }
}
