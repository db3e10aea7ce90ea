"""Mean and variance by club and treatment of a table, by `halfgreen archive describe` and by polars from Python, in turns.

    python3 race.py HALFGREEN TABLE.csv [--rounds 9] [--threads 2]

Both read the same file and must agree: numbers and totals exactly, means and variances to 1e-12 of themselves. Python is timed from
inside, without its start; halfgreen as a whole process, with it. Ends with 1 where halfgreen's median is the longer one.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import time


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("halfgreen")
    asked.add_argument("table")
    asked.add_argument("--rounds", type=int, default=9)
    asked.add_argument("--threads", type=int, default=2)
    asked = asked.parse_args()
    os.environ["POLARS_MAX_THREADS"] = str(asked.threads)
    import polars as pl

    command = [asked.halfgreen, "archive", "describe", asked.table, "--count", "count", "--club", "club", "--treatment"]
    command += ["treatment", "--json", "--threads", str(asked.threads)]

    def ours():
        begun = time.perf_counter()
        run = subprocess.run(command, check=True, capture_output=True)
        return time.perf_counter() - begun, json.loads(run.stdout)["result"]["groups"]

    def theirs():
        begun = time.perf_counter()
        count = pl.col("count")
        table = (
            pl.scan_csv(asked.table)
            .group_by("club", "treatment")
            .agg(count.len().alias("n"), count.sum().alias("total"), count.mean().alias("mean"), count.var().alias("variance"))
            .sort("club", "treatment")
            .collect()
        )
        return time.perf_counter() - begun, table.to_dicts()

    times = {"halfgreen": [], "polars": []}
    for _ in range(asked.rounds):
        took, mine = ours()
        times["halfgreen"].append(took)
        took, other = theirs()
        times["polars"].append(took)
    assert len(mine) == len(other) > 0
    for a, b in zip(mine, other):
        for key in ["club", "treatment", "n", "total"]:
            assert a[key] == b[key], (a, b)
        for key in ["mean", "variance"]:
            assert abs(a[key] - b[key]) <= 1e-12 * abs(b[key]), (a, b)
    medians = {}
    for name, all_times in times.items():
        medians[name] = statistics.median(all_times)
        print(f"{name}: median {medians[name]:.3f} s, least {min(all_times):.3f} s, most {max(all_times):.3f} s")
    size = os.path.getsize(asked.table) / 1e6
    print(f"{len(mine)} groups, {sum(g['n'] for g in mine)} counts, {size:.0f} MB, polars {pl.__version__}, {asked.threads} threads")
    sys.exit(medians["halfgreen"] > medians["polars"])


if __name__ == "__main__":
    main()
