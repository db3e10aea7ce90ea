//! What `pool --out` writes: pages, figures, the numbers behind them, the effects, what was left out.

use std::path::Path;

use super::super::Answer;
use super::Request;
use crate::Error;
use crate::association::{Association, Gathered, write_effects};
use crate::drawing::FigureData;
use crate::report::association_pages;
use crate::store::NewFile;

/// All of it.
pub(super) fn files(
    out: &Path,
    gathered: &Gathered,
    answer: &Answer<Association>,
    request: &Request,
) -> Result<Vec<NewFile>, Error> {
    let found = &answer.result;
    let pages = association_pages(found, &request.title)?;
    let file = |name: &str, text: String| NewFile::own("pool", out, name, text);
    let mut files = vec![
        file("association.html", pages.plain),
        file("pool.html", pages.statistics),
        file("results.json", answer.document("pool")?),
        file("effects.csv", write_effects(&gathered.effects)?),
        file("leave-one-out.csv", leave_one_out(found).csv()?),
        file("left-out.csv", left_out(found).csv()?),
    ];
    for figure in pages.figures {
        files.push(file(&format!("{}.csv", figure.name), figure.data.csv()?));
        files.push(file(&format!("{}.svg", figure.name), figure.svg));
    }
    Ok(files)
}

fn leave_one_out(found: &Association) -> FigureData {
    let mut data = FigureData::new(&["method", "without", "effect", "low", "high", "tau2", "i2"]);
    for answer in found.all() {
        for w in &answer.leave_one_out {
            let mut row = vec![answer.treatment.as_str().into(), w.club.as_str().into()];
            row.extend([w.effect, w.low, w.high, w.tau2, w.i2].map(crate::drawing::Cell::from));
            data.rows.push(row);
        }
    }
    data
}

fn left_out(found: &Association) -> FigureData {
    let mut data = FigureData::new(&["place", "reason"]);
    data.rows = (found.left_out.iter())
        .map(|left| vec![left.place.as_str().into(), left.reason.as_str().into()])
        .collect();
    data
}
