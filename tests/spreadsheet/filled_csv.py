"""Fills the CSV of the pack in.

Usage: filled_csv.py COUNTS.csv FILLED.csv
"""

import csv
import sys

from counts import count, note

with open(sys.argv[1], encoding="utf-8", newline="") as file:
    rows = list(csv.reader(file))
at = {name: i for i, name in enumerate(rows[0])}
for row, cells in enumerate(rows[1:]):
    cells[at["count"]] = "" if count(row) is None else str(count(row))
    # The apostrophe is what `pack` puts before words that would run.
    cells[at["note"]] = f"'{note(row)}" if note(row) else ""
with open(sys.argv[2], "w", encoding="utf-8", newline="") as file:
    csv.writer(file, lineterminator="\n").writerows(rows)
