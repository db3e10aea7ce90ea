//! Cores of a plot put together.

use std::collections::BTreeMap;

use super::Observation;
use crate::design::Protocol;

/// The cores of one plot put together.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct PlotSum {
    /// Animals counted.
    pub(crate) count: u64,
    /// Cores counted.
    pub(crate) cores: usize,
    /// Area of the cores, square metres.
    pub(crate) area_m2: f64,
}

/// Count, cores and area of every plot on one occasion. Lines of one core (stages) are one core.
pub(crate) fn sums<'o>(
    observations: &'o [Observation],
    occasion: Option<&str>,
) -> BTreeMap<&'o str, PlotSum> {
    let mut out: BTreeMap<&str, PlotSum> = BTreeMap::new();
    let mut cores: BTreeMap<(&str, &str), f64> = BTreeMap::new();
    for o in observations
        .iter()
        .filter(|o| Some(o.occasion.as_str()) == occasion)
    {
        out.entry(&o.plot).or_default().count += o.count;
        cores.insert((&o.plot, &o.sample), o.area_m2);
    }
    for ((plot, _), area) in cores {
        let entry = out.entry(plot).or_default();
        entry.cores += 1;
        entry.area_m2 += area;
    }
    out
}

/// Count before treatment of every plot, brought to the planned number of cores.
pub(crate) fn sums_before<'o>(
    observations: &'o [Observation],
    occasion: &str,
    protocol: &Protocol,
) -> BTreeMap<&'o str, f64> {
    let planned = protocol.response.cores_per_plot as f64 * protocol.response.core_area_m2;
    sums(observations, Some(occasion))
        .into_iter()
        .map(|(plot, sum)| (plot, sum.count as f64 * planned / sum.area_m2))
        .collect()
}
