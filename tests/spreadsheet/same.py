"""Holds what `check` says of the workbooks against what it says of the CSV with the same counts.

Usage: same.py CSV.json WORKBOOK.json...
"""

import json
import sys


def told(path):
    with open(path, encoding="utf-8") as file:
        result = json.load(file)["result"]
    faults = [p for p in result["problems"] if p["severity"] == "error"]
    assert not faults, (path, faults)
    keys = ["plots", "counted", "counts", "missing"]
    return {key: result[key] for key in keys}


wanted = told(sys.argv[1])
assert wanted["counts"] > 0, wanted
for path in sys.argv[2:]:
    found = told(path)
    assert found == wanted, (path, found, wanted)
print(f"check: {wanted['counts']} counts read alike from CSV and {len(sys.argv) - 2} workbooks")
