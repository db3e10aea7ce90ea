//! What the merchant gets: whole rolls, prices, sums.

use std::fmt::Write;

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, Formula, Workbook, Worksheet, XlsxError,
};

use super::super::order::{Purchase, SheetOrder};
use super::strips_table::quoted;
use crate::Error;

const HEADS: [&str; 7] = [
    "sheet",
    "length_m",
    "width_m",
    "rolls",
    "price_per_roll",
    "currency",
    "sum",
];

/// `merchant.csv`: a line for each sort, and the sum; prices to two decimals, empty where they are not known.
#[must_use]
pub fn merchant_csv(order: &SheetOrder, currency: Option<&str>) -> String {
    let mut text = HEADS.join(",") + "\r\n";
    let money = |x: Option<f64>| x.map_or_else(String::new, |x| format!("{x:.2}"));
    let currency = quoted(currency.unwrap_or_default());
    for p in &order.to_buy {
        // Writing to a String cannot fail.
        let _written = write!(
            text,
            "{},{},{},{},{},{currency},{}\r\n",
            quoted(&p.sort.name),
            p.sort.size.length_m(),
            p.sort.size.width_m(),
            p.rolls,
            money(p.sort.price),
            money(p.cost)
        );
    }
    let rolls: usize = order.to_buy.iter().map(|p| p.rolls).sum();
    let _written = write!(text, "all,,,{rolls},,{currency},{}\r\n", money(order.cost));
    text
}

/// `merchant.xlsx`: the same, with sums that follow when a number of rolls or a price is changed.
///
/// # Errors
/// No memory.
pub fn merchant_xlsx(
    order: &SheetOrder,
    currency: Option<&str>,
    title: &str,
) -> Result<Vec<u8>, Error> {
    workbook(order, currency, title).map_err(|fault| {
        let what = format!("cannot be written ({fault})");
        Error::new("merchant.xlsx", what, "Use merchant.csv instead.")
    })
}

fn workbook(order: &SheetOrder, currency: Option<&str>, title: &str) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    // A fixed day: the same order gives the same bytes.
    let about = DocProperties::new()
        .set_title(title)
        .set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    workbook.set_properties(&about);
    let sheet = workbook.add_worksheet().set_name("order")?;
    let head = Format::new().set_bold();
    for (column, name) in (0_u16..).zip(HEADS) {
        sheet.write_string_with_format(0, column, name, &head)?;
        sheet.set_column_width(column, if column == 0 { 32.0 } else { 14.0 })?;
    }
    let currency = currency.unwrap_or_default();
    let mut row = 1;
    for p in &order.to_buy {
        line(sheet, row, p, currency)?;
        row += 1;
    }
    sheet.write_string_with_format(row, 0, "all", &head)?;
    if row > 1 {
        let sum = |column: char| Formula::new(format!("=SUM({column}2:{column}{row})"));
        let rolls: usize = order.to_buy.iter().map(|p| p.rolls).sum();
        sheet.write_formula(row, 3, sum('D').set_result(rolls.to_string()))?;
        let cost = order.cost.map_or_else(String::new, |c| format!("{c:.2}"));
        sheet.write_formula_with_format(row, 6, sum('G').set_result(cost), &money())?;
    }
    sheet.write_string(row, 5, currency)?;
    workbook.save_to_buffer()
}

fn line(sheet: &mut Worksheet, row: u32, p: &Purchase, currency: &str) -> Result<(), XlsxError> {
    // Names are written as texts: a spreadsheet runs none of them, whatever they begin with.
    sheet.write_string(row, 0, &p.sort.name)?;
    sheet.write_number(row, 1, p.sort.size.length_m())?;
    sheet.write_number(row, 2, p.sort.size.width_m())?;
    sheet.write_number(row, 3, p.rolls as f64)?;
    if let Some(price) = p.sort.price {
        sheet.write_number_with_format(row, 4, price, &money())?;
    }
    sheet.write_string(row, 5, currency)?;
    let at = row + 1;
    let product = Formula::new(format!("=D{at}*E{at}"));
    let cost = p.cost.map_or_else(String::new, |c| format!("{c:.2}"));
    sheet.write_formula_with_format(row, 6, product.set_result(cost), &money())?;
    Ok(())
}

fn money() -> Format {
    Format::new().set_num_format("0.00")
}
