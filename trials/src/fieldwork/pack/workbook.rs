//! `counts.xlsx`: the table of counts as a workbook that helps whoever fills it in.
//!
//! The header is locked (without a password), rows are filled in as far as they are known, and cells take only what can be
//! meant: plots and occasions from lists, whole numbers from 0, days as days. Notes are free. The same pack gives the same bytes.

use jiff::civil::Date;
use rust_xlsxwriter::{
    Color, DataValidation, DataValidationRule, DocProperties, ExcelDateTime, Format, FormatAlign,
    FormatBorder, Formula, ProtectionOptions, Workbook, Worksheet, XlsxError,
};

use super::Pack;
use super::rows::{Column, Row, columns, rows, stages};
use crate::Error;
use crate::count_rules::rules;
use crate::ranges::tables::{READING, YEAR};
use crate::text::table_cells::would_run;

/// Name of the sheet that is filled in.
const COUNTS: &str = "counts";
/// Name of the hidden sheet that holds what cells may be chosen from.
const LISTS: &str = "lists";
/// Letters of the longest sentence that a refused cell can tell.
const LONGEST_TOLD: usize = 255;
/// Lines below the last one that take more: stages, quadrats, a core taken twice.
const SPARE: u32 = 500;

/// The workbook.
///
/// # Errors
/// More rows than a sheet of a workbook has, or no memory.
pub fn counts_xlsx(pack: &Pack<'_>) -> Result<Vec<u8>, Error> {
    workbook(pack).map_err(|fault| {
        Error::new(
            "counts.xlsx",
            format!("cannot be written ({fault})"),
            "Use counts.csv instead.",
        )
    })
}

fn workbook(pack: &Pack<'_>) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let about = DocProperties::new()
        .set_title(&pack.protocol.trial.title)
        .set_comment(format!("seal {}", pack.seal.digest))
        .set_creation_datetime(&sealed_on(&pack.seal.time)?);
    workbook.set_properties(&about);
    let rows = rows(pack);
    let columns = columns(pack.protocol.response.kind);
    let lists = Lists::of(pack);
    let sheet = workbook.add_worksheet().set_name(COUNTS)?;
    fill(sheet, &rows, &columns)?;
    let last = u32::try_from(rows.len())
        .unwrap_or(u32::MAX)
        .saturating_add(SPARE);
    for (at, (_, what)) in (0_u16..).zip(&columns) {
        if let Some(rule) = rule(*what, pack, &lists)? {
            sheet.add_data_validation(1, at, last.min(1_048_575), at, &rule)?;
        }
    }
    protect(sheet);
    lists.put(workbook.add_worksheet().set_name(LISTS)?)?;
    workbook.save_to_buffer()
}

/// The day of the seal, so that the file does not tell when it was made; a fixed one where the time is no time.
fn sealed_on(time: &str) -> Result<ExcelDateTime, XlsxError> {
    let day = time.get(..10).map(ExcelDateTime::parse_from_str);
    match day {
        Some(Ok(day)) => Ok(day),
        _ => ExcelDateTime::from_ymd(2000, 1, 1),
    }
}

/// Header and rows.
fn fill(
    sheet: &mut Worksheet,
    rows: &[Row<'_>],
    columns: &[(&str, Column)],
) -> Result<(), XlsxError> {
    let head = Format::new()
        .set_bold()
        .set_locked()
        .set_background_color(Color::RGB(0x00DD_DDDD))
        .set_border_bottom(FormatBorder::Medium);
    for (at, (name, what)) in (0_u16..).zip(columns) {
        sheet.set_column_width(at, width(*what))?;
        // The format of a column holds for all its cells that have none of their own: they are open, the header is not.
        sheet.set_column_format(at, &format(*what))?;
        sheet.write_string_with_format(0, at, *name, &head)?;
        for (line, row) in (1_u32..).zip(rows) {
            put(sheet, line, at, row, *what)?;
        }
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_landscape();
    sheet.set_paper_size(9);
    Ok(())
}

fn put(
    sheet: &mut Worksheet,
    line: u32,
    at: u16,
    row: &Row<'_>,
    what: Column,
) -> Result<(), XlsxError> {
    match what {
        Column::Plot => name(sheet, line, at, row.plot, &format(what)),
        Column::Occasion => name(sheet, line, at, row.occasion, &format(what)),
        Column::Sample => {
            sheet.write_number_with_format(line, at, row.sample as f64, &format(what))?;
            Ok(())
        }
        Column::Date => {
            let Some(date) = row.date else {
                return Ok(());
            };
            sheet.write_datetime_with_format(line, at, excel(date)?, &format(what))?;
            Ok(())
        }
        _ => Ok(()),
    }
}

/// A name: a number where it is one, so that a typed number is found in the list; else text that nothing runs.
fn name(
    sheet: &mut Worksheet,
    line: u32,
    at: u16,
    text: &str,
    format: &Format,
) -> Result<(), XlsxError> {
    let number = text.parse::<u32>().ok().filter(|n| n.to_string() == text);
    if let Some(number) = number {
        sheet.write_number_with_format(line, at, number, format)?;
    } else if would_run(text) {
        let quoted = format.clone().set_quote_prefix();
        sheet.write_string_with_format(line, at, text, &quoted)?;
    } else {
        sheet.write_string_with_format(line, at, text, format)?;
    }
    Ok(())
}

fn excel(date: Date) -> Result<ExcelDateTime, XlsxError> {
    ExcelDateTime::parse_from_str(&date.to_string())
}

fn width(what: Column) -> f64 {
    match what {
        Column::Plot | Column::Sample | Column::Count | Column::Reading | Column::Area(_) => 10.0,
        Column::Whole(_) => 18.0,
        Column::Occasion | Column::Date | Column::Stage => 14.0,
        Column::Free => 40.0,
    }
}

fn format(what: Column) -> Format {
    let open = Format::new().set_unlocked().set_border(FormatBorder::Hair);
    match what {
        Column::Date => open
            .set_num_format("yyyy-mm-dd")
            .set_align(FormatAlign::Left),
        Column::Plot | Column::Sample => open.set_align(FormatAlign::Left),
        Column::Count => open
            .set_num_format("0")
            .set_background_color(Color::RGB(0x00FF_F8DC)),
        Column::Reading => open.set_background_color(Color::RGB(0x00FF_F8DC)),
        // Typed words stay words, whatever they begin with.
        Column::Free => open.set_num_format("@").set_text_wrap(),
        Column::Occasion | Column::Stage | Column::Area(_) | Column::Whole(_) => open,
    }
}

/// What cells may be chosen from, a column each on a sheet of its own: a list inside a rule holds 255 letters at most.
#[derive(Debug)]
struct Lists<'a> {
    plots: Vec<&'a str>,
    occasions: Vec<&'a str>,
    stages: Vec<&'a str>,
}

impl<'a> Lists<'a> {
    fn of(pack: &Pack<'a>) -> Self {
        let occasions = pack.protocol.occasions.iter();
        Self {
            plots: pack.layout.names(),
            occasions: occasions.map(|o| o.name.as_str()).collect(),
            stages: stages(pack),
        }
    }

    fn columns(&self) -> [&[&'a str]; 3] {
        [&self.plots, &self.occasions, &self.stages]
    }

    fn put(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        for (at, names) in (0_u16..).zip(self.columns()) {
            for (line, text) in (0_u32..).zip(names) {
                name(sheet, line, at, text, &Format::new())?;
            }
        }
        sheet.set_hidden(true);
        Ok(())
    }

    fn rule(&self, column: usize) -> DataValidation {
        let letter = ["A", "B", "C"][column];
        let last = self.columns()[column].len();
        let names = Formula::new(format!("={LISTS}!${letter}$1:${letter}${last}"));
        DataValidation::new().allow_list_formula(names)
    }
}

/// What a column takes.
fn rule(
    what: Column,
    pack: &Pack<'_>,
    lists: &Lists<'_>,
) -> Result<Option<DataValidation>, XlsxError> {
    let (rule, told) = match what {
        Column::Plot => (lists.rule(0), "The layout has no such plot.".to_owned()),
        Column::Occasion => (
            lists.rule(1),
            "The protocol has no such occasion.".to_owned(),
        ),
        Column::Stage => {
            let told = format!("Stages are {}.", lists.stages.join(", "));
            (lists.rule(2), told.chars().take(LONGEST_TOLD).collect())
        }
        Column::Sample => {
            let samples = DataValidationRule::Between(1, i32::from(u16::MAX));
            (
                DataValidation::new().allow_whole_number(samples),
                "Give the number of the sample in its plot, from 1.".to_owned(),
            )
        }
        Column::Date => {
            let day =
                |range_end: f64, month, day| ExcelDateTime::from_ymd(whole(range_end), month, day);
            let days =
                DataValidationRule::Between(day(YEAR.start(), 1, 1)?, day(YEAR.end(), 12, 31)?);
            (
                DataValidation::new().allow_date(days),
                "Write a day, as year-month-day.".to_owned(),
            )
        }
        Column::Count => count(pack),
        Column::Reading => {
            let range = DataValidationRule::Between(READING.start(), READING.end());
            (
                DataValidation::new().allow_decimal_number(range),
                "Write a number.".to_owned(),
            )
        }
        Column::Whole([least, most]) => {
            let told = format!("Write a whole number from {least} to {most}.");
            let (least, most) = (
                Formula::new(least.to_string()),
                Formula::new(most.to_string()),
            );
            (
                DataValidation::new()
                    .allow_whole_number_formula(DataValidationRule::Between(least, most)),
                told,
            )
        }
        Column::Area([least, most]) => {
            let range = DataValidationRule::Between(least, most);
            (
                DataValidation::new().allow_decimal_number(range),
                "Write square metres, more than 0; leave it blank for one core.".to_owned(),
            )
        }
        Column::Free => return Ok(None),
    };
    let rule = rule.ignore_blank(true).set_error_title("Not taken")?;
    Ok(Some(rule.set_error_message(told)?))
}

/// Whole numbers from 0 to what a core can hold, or to a million where the line names an area of its own.
fn count(pack: &Pack<'_>) -> (DataValidation, String) {
    let response = &pack.protocol.response;
    let rules = rules();
    let most = response.most_per_m2.unwrap_or(rules.most_per_m2) * response.core_area_m2;
    let any = rules.most("count");
    let most = most.floor().min(any);
    let columns = columns(response.kind);
    let area = columns
        .iter()
        .position(|(_, what)| matches!(what, Column::Area(_)))
        .unwrap_or(0);
    let letter = char::from(b'A' + u8::try_from(area).unwrap_or(0));
    let end = Formula::new(format!("=IF(${letter}2=\"\",{most},{any})"));
    let rule = DataValidationRule::Between(Formula::new("0"), end);
    let told = format!(
        "Write a whole number: 0 where none was found, nothing where nobody counted. A core holds {most} at most; if several were \
         added up, write their area first."
    );
    (DataValidation::new().allow_whole_number_formula(rule), told)
}

/// A year as a whole number.
fn whole(year: f64) -> u16 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1900 and 2199"
    )]
    let year = year as u16;
    year
}

/// Locks what is locked, without a password, and leaves the rest to whoever fills it in.
fn protect(sheet: &mut Worksheet) {
    let options = ProtectionOptions {
        format_cells: true,
        format_columns: true,
        format_rows: true,
        insert_rows: true,
        delete_rows: true,
        sort: true,
        use_autofilter: true,
        ..ProtectionOptions::default()
    };
    sheet.protect_with_options(&options);
}
