//! The files of the order.

use std::path::Path;

use super::super::Refusal;
use crate::Warning;
use crate::design::{Green, Protocol};
use crate::night::order::SheetOrder;
use crate::night::order_sheet::{
    OrderSheet, merchant_csv, merchant_xlsx, order_html, strips_csv, strips_svg,
};
use crate::store::{NewFile, ORDER, TrialFolder};

/// What the files are made from.
pub(super) struct Made<'a> {
    pub(super) protocol: &'a Protocol,
    pub(super) greens: &'a [Green],
    pub(super) sheet: &'a SheetOrder,
    pub(super) currency: Option<&'a str>,
    pub(super) wind_from_deg: Option<f64>,
    pub(super) notes: &'a [Warning],
}

/// Makes every file of the order.
pub(super) fn of(folder: &TrialFolder<'_>, made: &Made<'_>) -> Result<Vec<NewFile>, Refusal> {
    let title = &made.protocol.trial.title;
    let notes: Vec<String> = made.notes.iter().map(|w| sentence(&w.message)).collect();
    let page = OrderSheet {
        trial: &made.protocol.trial,
        order: made.sheet,
        greens: made.greens,
        currency: made.currency,
        wind_from_deg: made.wind_from_deg,
        notes: &notes,
    };
    let own = |name: &str, content: Vec<u8>| {
        folder.own_file("order", Path::new(ORDER).join(name), content)
    };
    let mut files = vec![
        own("order.html", order_html(&page)?.into_bytes()),
        own(
            "merchant.csv",
            merchant_csv(made.sheet, made.currency).into_bytes(),
        ),
        own(
            "merchant.xlsx",
            merchant_xlsx(made.sheet, made.currency, title)?,
        ),
        own("strips.csv", strips_csv(made.sheet).into_bytes()),
    ];
    for green in made.greens {
        if !made.sheet.strips.iter().any(|s| s.green == green.name) {
            continue;
        }
        let (name, title) = match &green.name {
            Some(green) => (format!("strips-{green}.svg"), format!("{title}: {green}")),
            None => ("strips.svg".to_owned(), title.clone()),
        };
        let svg = strips_svg(made.sheet, green, &title, made.wind_from_deg)?;
        files.push(own(&name, svg.into_bytes()));
    }
    Ok(files)
}

/// A message as a sentence.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    let stop = if message.ends_with('.') { "" } else { "." };
    format!("{}{}{stop}", first.unwrap_or_default(), letters.as_str())
}
