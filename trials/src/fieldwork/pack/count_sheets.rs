//! `sheets.html`: how to count on one side, the map, the walk, and lines to count on.

use super::count_lines::line_sheets;
use super::instructions::instructions;
use super::map_page::map_sheet;
use super::sheet::{Sheet, document};
use super::walk::walk_sheets;
use super::{Pack, Treatments};
use crate::Error;

/// The pages to count on, A4, as one HTML document that fetches nothing. With treatments hidden, no page says which plot
/// got what.
///
/// # Errors
/// A green that fits on no page.
pub fn count_sheets(pack: &Pack<'_>, treatments: Treatments) -> Result<String, Error> {
    let name = match treatments {
        Treatments::Shown => "Counting sheets",
        Treatments::Hidden => "Counting sheets, treatments hidden",
    };
    let mut sheets = vec![instructions(pack, treatments)];
    for green in pack.greens {
        let on = green
            .name
            .as_ref()
            .map_or_else(String::new, |name| format!(": {name}"));
        let layout = pack.plots_on(green);
        if layout.plots.is_empty() {
            continue;
        }
        sheets.push(map_sheet(pack, green, &layout, treatments)?);
        sheets.extend(walk_sheets(
            pack,
            &format!("The walk{on}"),
            &layout,
            treatments,
        ));
    }
    let occasions = pack.protocol.occasions.iter();
    let lines: Vec<Sheet> = occasions
        .flat_map(|o| line_sheets(pack, o, treatments))
        .collect();
    sheets.extend(lines);
    Ok(document(pack, name, &sheets))
}
