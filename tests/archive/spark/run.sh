#!/usr/bin/env bash
# Apache Spark in local mode judges a small archive part by part, and its answer is compared with that of one run, bit for bit.
#     bash tests/archive/spark/run.sh HALFGREEN
# Installs PySpark from PyPI and, where there is no Java, Debian's Java 17. Fails, and never skips, where these cannot be had or where it
# takes longer than ten minutes.
set -euo pipefail
program=$(realpath "$1")
here=$(cd "$(dirname "$0")" && pwd)
# The same folder from run to run, so that PySpark is fetched once.
tools=${SPARK_TOOLS:-$here/../../../target/spark}
if ! command -v java >/dev/null; then
    apt-get update -qq
    apt-get install -y -qq openjdk-17-jre-headless >/dev/null
fi
mkdir -p "$tools"
if ! cmp -s "$here/requirements.txt" "$tools/installed.txt"; then
    rm -rf "$tools/venv"
    python3 -m venv "$tools/venv"
    timeout 400 "$tools/venv/bin/pip" install --quiet --disable-pip-version-check -r "$here/requirements.txt"
    cp "$here/requirements.txt" "$tools/installed.txt"
fi
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
python3 "$here/make.py" counts.csv
for archive in one dealt; do
    "$program" archive add "$archive" counts.csv --count count --treatment treatment --control uncovered --trial trial --club club \
        --season season --date date --block block --plot plot --moderator soil --quiet >/dev/null
done
export PYSPARK_PYTHON="$tools/venv/bin/python" SPARK_LOCAL_IP=127.0.0.1
timeout 180 "$tools/venv/bin/python" "$here/judge.py" "$program" one dealt
