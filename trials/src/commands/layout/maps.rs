//! A map for each green of a trial.

use crate::Error;
use crate::design::{Green, Layout, Protocol, Treatment};
use crate::fieldwork::map::field_map;
use crate::store::{NewFile, TrialFolder};

/// The map of a green: `map.svg`, or `map-<name>.svg` for one of several. Without treatments the plots are not
/// drawn yet.
pub(super) fn map(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    green: &Green,
    layout: &Layout,
    treatments: &[Treatment],
) -> Result<NewFile, Error> {
    let title = &protocol.trial.title;
    let (file, title) = match &green.name {
        None => ("map.svg".to_owned(), title.clone()),
        Some(name) => (format!("map-{name}.svg"), format!("{title}: {name}")),
    };
    let guard_m = protocol.plot.guard_m;
    let text = field_map(&green.outline, layout, treatments, guard_m, &title)?;
    Ok(folder.own_file("layout", file, text))
}
