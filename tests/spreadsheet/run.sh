#!/usr/bin/env bash
# The workbook of the pack in other hands: opened and filled by openpyxl and by LibreOffice, read back by `check`.
# Usage: bash run.sh HALFGREEN FOLDER_OF_TRIAL   (a folder that `pack` has written; it stays as it is)
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
halfgreen=$(realpath "$1")
trial=$(realpath "$2")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if ! command -v soffice >/dev/null || ! /usr/bin/python3 -c 'import uno' 2>/dev/null; then
    apt-get update -qq
    apt-get install -y -qq libreoffice-calc python3-uno >/dev/null
fi
python3 -m pip install --quiet --disable-pip-version-check --root-user-action ignore --target "$work/site" openpyxl==3.1.5
with_site() { PYTHONDONTWRITEBYTECODE=1 PYTHONPATH="$work/site" python3 "$@"; }

with_site "$here/with_openpyxl.py" "$trial/pack/counts.xlsx" "$trial/pack/counts.csv" "$work/openpyxl.xlsx"
HOME=$work PYTHONDONTWRITEBYTECODE=1 /usr/bin/python3 "$here/with_libreoffice.py" "$trial/pack/counts.xlsx" "$work/libreoffice.xlsx"

# The same counts as CSV; `check` puts each file into a folder of its own as counts.csv, and all three must be alike.
with_site "$here/filled_csv.py" "$trial/pack/counts.csv" "$work/filled.csv"
for name in filled.csv openpyxl.xlsx libreoffice.xlsx; do
    folder="$work/${name%.*}"
    cp -r "$trial" "$folder"
    rm -f "$folder/counts.csv"
    "$halfgreen" check "$folder" "$work/$name" --json >"$folder.json"
done
for name in openpyxl libreoffice; do
    cmp "$work/filled/counts.csv" "$work/$name/counts.csv"
done
with_site "$here/same.py" "$work/filled.json" "$work/openpyxl.json" "$work/libreoffice.json"
