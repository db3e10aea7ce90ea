//! The files of the pack, and which of them are left as they are.

use std::path::Path;

use super::super::Refusal;
use crate::Error;
use crate::fieldwork::pack::{
    Pack, Treatments, count_sheets, counts_csv, counts_xlsx, events_csv, pack_map, pegging_sheets,
};
use crate::fieldwork::pegging::{corners_geojson, corners_gpx, pegging_csv};
use crate::fieldwork::tally::{self, TallyPlan};
use crate::store::{EVENTS, NewFile, PACK, PACKED_COUNTS, PACKED_WORKBOOK, TrialFolder};

/// Files, and names of what is and is not written.
#[derive(Debug, Default)]
pub(super) struct Files {
    /// Those that are to be written.
    pub(super) new: Vec<NewFile>,
    pub(super) names: Vec<String>,
    pub(super) left: Vec<String>,
}

/// Makes every file of the pack.
pub(super) fn of(folder: &TrialFolder<'_>, pack: &Pack<'_>) -> Result<Files, Refusal> {
    let mut made = Files::default();
    let mut own = |name: &str, text: String| {
        let file = folder.own_file("pack", Path::new(PACK).join(name), text);
        made.names.push(file.shown());
        made.new.push(file);
    };
    own("sheets.html", count_sheets(pack, Treatments::Shown)?);
    own(
        "sheets-hidden.html",
        count_sheets(pack, Treatments::Hidden)?,
    );
    own("pegging.html", pegging_sheets(pack)?);
    own("pegging.csv", pegging_csv(pack.pegging));
    if let Some(corners) = corners_geojson(pack.pegging) {
        own("corners.geojson", corners);
    }
    if let Some(corners) = corners_gpx(pack.pegging) {
        own("corners.gpx", corners);
    }
    for (name, hidden) in [("tally.html", false), ("tally-hidden.html", true)] {
        // Readings are not tallied.
        if let Some(plan) = TallyPlan::of(pack.protocol, pack.layout, pack.seal, hidden) {
            own(name, tally::page(&plan));
        }
    }
    for green in pack.greens {
        let name = green
            .name
            .as_ref()
            .map_or_else(|| "map.svg".to_owned(), |name| format!("map-{name}.svg"));
        own(&name, pack_map(pack, green)?);
    }
    to_fill_in(
        folder,
        PACKED_COUNTS,
        counts_csv(pack)?.into_bytes(),
        &mut made,
    )?;
    to_fill_in(folder, PACKED_WORKBOOK, counts_xlsx(pack)?, &mut made)?;
    // What happened is written down beside the counts, and whatever is written there is a person's.
    if !folder.has(EVENTS) {
        made.names.push(folder.shown(EVENTS));
        made.new
            .push(folder.first_file("pack", EVENTS, events_csv()));
    }
    Ok(made)
}

/// A file that people fill in: written where there is none, else left as it is.
fn to_fill_in(
    folder: &TrialFolder<'_>,
    name: &str,
    content: Vec<u8>,
    made: &mut Files,
) -> Result<(), Error> {
    made.names.push(folder.shown(name));
    match folder.optional_bytes(name)? {
        None => made.new.push(folder.first_file("pack", name, content)),
        Some(there) if there == content => {}
        Some(_) => made.left.push(folder.shown(name)),
    }
    Ok(())
}
