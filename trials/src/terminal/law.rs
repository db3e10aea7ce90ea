//! How the variance of a core's count follows its mean, as typed.

use super::typed::pair;
use crate::commands::law::{Iwao, Law, Taylor};

/// How clumped cores are; without any of these, Poisson.
#[derive(Debug, clap::Args)]
#[group(multiple = false)]
pub(super) struct LawArgs {
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

impl LawArgs {
    pub(super) fn request(&self) -> Law {
        Law {
            k: self.k,
            taylor: self.taylor.map(|(a, b)| Taylor { a, b }),
            iwao: self.iwao.map(|(alpha, beta)| Iwao { alpha, beta }),
        }
    }
}
