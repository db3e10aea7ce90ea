//! What is asked for, as files.

use std::path::Path;

use super::{Format, Request, Surroundings};
use crate::Error;
use crate::drawing::png;
use crate::report::Pages;
use crate::store::{NewFile, REPORT, TrialFolder};

impl Request {
    /// Refuses what this build or this request cannot give, before anything is worked out.
    pub(super) fn can_be_had(&self) -> Result<(), Error> {
        if self.format.is_empty() {
            let what = "no form is named in which the report is told";
            let cure = format!("Name one or several of {}.", Format::WORDS.join(", "));
            return Err(Error::in_field("format", what, cure));
        }
        if self.png && !png::AVAILABLE {
            let what = "this build of halfgreen draws no PNG";
            let cure = "Build it with that feature: cargo install --path trials --features png. The SVG figures are the same pictures, \
                        and any browser or word processor opens them.";
            return Err(Error::in_field("png", what, cure));
        }
        Ok(())
    }
}

/// Pages, results and figures as files; those of earlier reports that are not asked for stay as they are.
pub(super) fn of(
    folder: &TrialFolder<'_>,
    pages: Pages,
    results: NewFile,
    request: &Request,
    at: &Surroundings<'_>,
) -> Result<Vec<NewFile>, Error> {
    let mut files = Vec::new();
    let mut add = |name: &str, content: Vec<u8>| {
        files.push(folder.own_file("report", Path::new(REPORT).join(name), content));
    };
    let asked = |format: Format| request.format.contains(&format);
    let printed = asked(Format::Pdf).then(|| (at.printer)(&pages.report));
    if asked(Format::Html) {
        add("report.html", pages.report.into_bytes());
        add("members.html", pages.members.into_bytes());
    }
    if let Some(pdf) = printed {
        add("report.pdf", pdf?);
    }
    if asked(Format::Md) {
        add("report.md", pages.markdown.into_bytes());
    }
    for figure in pages.figures {
        let numbers = figure.data.csv()?;
        if request.png {
            add(
                &format!("{}.png", figure.name),
                png::at_print_size(&figure.svg)?,
            );
        }
        add(&figure.numbers_file(), numbers.into_bytes());
        add(&format!("{}.svg", figure.name), figure.svg.into_bytes());
    }
    files.push(results);
    Ok(files)
}
