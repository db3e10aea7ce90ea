"""Opens the workbook with openpyxl, holds it against the CSV of the same pack, fills it in and saves it.

Usage: with_openpyxl.py COUNTS.xlsx COUNTS.csv FILLED.xlsx
"""

import csv
import datetime
import sys

import openpyxl

from counts import count, note

workbook, table, filled = sys.argv[1:]
book = openpyxl.load_workbook(workbook)
sheet = book["counts"]
with open(table, encoding="utf-8", newline="") as file:
    rows = list(csv.reader(file))


def text(cell):
    if cell is None:
        return ""
    if isinstance(cell, datetime.datetime):
        return cell.date().isoformat()
    return str(cell)


def plain(cell):
    """A text as it was before it was made safe for CSV."""
    return cell[1:] if cell[:2] in ("'=", "'+", "'-", "'@") else cell


head = [cell.value for cell in sheet[1]]
assert head == rows[0], (head, rows[0])
for line, row in enumerate(rows[1:], 2):
    shown = [text(cell.value) for cell in sheet[line][: len(head)]]
    assert shown == [plain(cell) for cell in row], (line, shown, row)

assert sheet.protection.sheet and not sheet.protection.password
assert all(cell.protection.locked for cell in sheet[1])
assert sheet.freeze_panes == "A2"
open_columns = {name: sheet.column_dimensions[openpyxl.utils.get_column_letter(at)] for at, name in enumerate(head, 1)}
for at, name in enumerate(head, 1):
    cells = [sheet.cell(line, at) for line in range(2, len(rows) + 1)]
    assert not any(cell.protection.locked for cell in cells if cell.has_style), name
kinds = {}
for rule in sheet.data_validations.dataValidation:
    for part in rule.sqref.ranges:
        kinds[head[part.min_col - 1]] = rule.type
        assert part.min_row == 2 and part.max_row > len(rows), (rule.sqref, len(rows))
for name, kind in {"plot": "list", "occasion": "list", "stage": "list", "count": "whole", "date": "date"}.items():
    assert kinds.get(name) == kind, (name, kinds)
assert "note" not in kinds
assert book["lists"].sheet_state == "hidden"

at = {name: i for i, name in enumerate(head, 1)}
for row in range(len(rows) - 1):
    sheet.cell(row + 2, at["count"]).value = count(row)
    words = sheet.cell(row + 2, at["note"])
    words.value = note(row)
    if note(row):
        words.data_type = "s"
book.save(filled)
print(f"openpyxl: {len(rows) - 1} rows as in the table, filled and saved")
