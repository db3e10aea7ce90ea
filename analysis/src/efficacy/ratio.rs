//! Ratios of totals with the plot as the unit.

use serde::Serialize;

use crate::distributions::t_quantile;

/// How treated and control plots belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pairing {
    /// Plot i of the treatment and plot i of the control stand in the same block.
    Blocks,
    /// Plots were allotted without blocks.
    None,
}

/// log of a ratio of totals and how far plots disagree about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LogRatio {
    pub(super) ln: f64,
    /// Standard error and its degrees of freedom; none from one plot or block.
    pub(super) precision: Option<(f64, f64)>,
}

impl LogRatio {
    /// Limits at `level`.
    pub(super) fn limits(&self, level: f64) -> Option<(f64, f64)> {
        let (se, df) = self.precision?;
        let half = t_quantile(0.5 + 0.5 * level, df) * se;
        Some((self.ln - half, self.ln + half))
    }
}

/// What one arm adds to the log ratio: log of the total of each series (with its sign), and each
/// plot's contribution to the error, which sum to zero.
pub(super) struct Arm {
    ln: f64,
    contributions: Vec<f64>,
}

/// An arm from its series, each with its sign in the logarithm: after +1, before -1. None when a total is 0.
pub(super) fn arm(series: &[(f64, Vec<f64>)]) -> Option<Arm> {
    let plots = series.first()?.1.len();
    let mut ln = 0.0;
    let mut contributions = vec![0.0; plots];
    for (sign, values) in series {
        let total: f64 = values.iter().sum();
        if total <= 0.0 {
            return None;
        }
        ln += sign * (total / plots as f64).ln();
        for (contribution, value) in contributions.iter_mut().zip(values) {
            *contribution += sign * (value / total - 1.0 / plots as f64);
        }
    }
    Some(Arm { ln, contributions })
}

/// Treatment over control.
pub(super) fn compare(treated: &Arm, control: &Arm, pairing: Pairing) -> LogRatio {
    let (variance, df) = match pairing {
        Pairing::Blocks => {
            let differences: Vec<f64> = treated
                .contributions
                .iter()
                .zip(&control.contributions)
                .map(|(t, c)| t - c)
                .collect();
            spread(&differences)
        }
        Pairing::None => {
            let ((v, a), (w, b)) = (
                spread(&treated.contributions),
                spread(&control.contributions),
            );
            // Welch and Satterthwaite; an arm without spread leaves the other's degrees of freedom.
            let df = (v + w).powi(2) / (v * v / a + w * w / b);
            (v + w, if df.is_finite() { df } else { a + b })
        }
    };
    LogRatio {
        ln: treated.ln - control.ln,
        precision: (variance.is_finite() && df > 0.0).then(|| (variance.sqrt(), df)),
    }
}

/// Variance of the sum of contributions whose mean is zero, and its degrees of freedom; infinite for one.
fn spread(contributions: &[f64]) -> (f64, f64) {
    let n = contributions.len() as f64;
    let squares: f64 = contributions.iter().map(|u| u * u).sum();
    (squares.max(0.0) * n / (n - 1.0), n - 1.0)
}
