#!/usr/bin/env bash
# Whole processes on the same 24 counts: ours, and general-purpose statistics where they are installed.
# Best of five runs each, in seconds. Usage: bash analysis/benches/whole_process.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
cargo build --release --quiet
data=tests/reference/data/nb_glm_n24.csv

time_it() {
    local name=$1
    shift
    local least=999999 start took
    for _ in 1 2 3 4 5; do
        start=$(date +%s%N)
        "$@" >/dev/null 2>&1
        took=$((($(date +%s%N) - start) / 1000000))
        if [ "$took" -lt "$least" ]; then least=$took; fi
    done
    printf '%-52s %7d ms\n' "$name" "$least"
}

time_it "halfgreen judge (both tests, interval, diagnostics)" \
    target/release/halfgreen judge --counts $data --count y --treatment trt --control 1 --block block --json
if command -v Rscript >/dev/null && Rscript -e 'library(MASS)' >/dev/null 2>&1; then
    time_it "R, MASS: one negative binomial fit" \
        Rscript -e "library(MASS); d <- read.csv('$data'); summary(glm.nb(d[['y']] ~ factor(d[['block']]) + factor(d[['trt']])))"
else
    echo "R with MASS is not installed: left out"
fi
fit='
import csv, sys, numpy as np, statsmodels.api as sm
rows = list(csv.DictReader(open(sys.argv[1])))
columns = [[1.0] * len(rows)]
for name in ("block", "trt"):
    for level in sorted({r[name] for r in rows})[1:]:
        columns.append([float(r[name] == level) for r in rows])
counts = np.array([float(r["y"]) for r in rows])
sm.NegativeBinomial(counts, np.array(columns).T).fit(disp=0)
'
if python3 -c 'import statsmodels' >/dev/null 2>&1; then
    time_it "Python, statsmodels: one negative binomial fit" python3 -c "$fit" $data
else
    echo "Python with statsmodels is not installed: left out"
fi
