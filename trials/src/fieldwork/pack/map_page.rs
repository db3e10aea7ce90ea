//! The map of a green as a sheet of the pack, and as a file.

use maud::{PreEscaped, html};

use super::sheet::Sheet;
use super::{Pack, Treatments};
use crate::Error;
use crate::design::{Green, Layout};
use crate::fieldwork::map::{field_map, sheet_map};

/// Room for a map on a sheet, millimetres.
const ROOM_MM: [f64; 2] = [186.0, 226.0];

/// The map of a green as a file: an A4 page at a true scale, with names of holes and zones.
///
/// # Errors
/// As [`field_map`].
pub fn pack_map(pack: &Pack<'_>, green: &Green) -> Result<String, Error> {
    let title = &pack.protocol.trial.title;
    let title = green
        .name
        .as_ref()
        .map_or_else(|| title.clone(), |name| format!("{title}: {name}"));
    let guard_m = pack.protocol.plot.guard_m;
    let layout = pack.plots_on(green);
    field_map(
        &green.outline,
        &layout,
        &pack.protocol.treatments,
        guard_m,
        &title,
    )
}

/// The same as a sheet between others.
pub(super) fn map_sheet(
    pack: &Pack<'_>,
    green: &Green,
    layout: &Layout,
    treatments: Treatments,
) -> Result<Sheet, Error> {
    let title = green
        .name
        .as_ref()
        .map_or_else(|| "Map".to_owned(), |name| format!("Map: {name}"));
    let shown: &[_] = match treatments {
        Treatments::Shown => &pack.protocol.treatments,
        Treatments::Hidden => &[],
    };
    let guard_m = pack.protocol.plot.guard_m;
    let map = sheet_map(&green.outline, layout, shown, guard_m, &title, ROOM_MM)?;
    Ok(Sheet {
        title,
        body: html! { div.map { (PreEscaped(map)) } },
    })
}
