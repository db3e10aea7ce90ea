"""Counts of an invented association, as one table of any size.

    python3 make.py OUT.csv --trials 10000 --rows 10000 --seed 1

Everything is made up: clubs, treatments, counts. A trial has eight pairs of plots, covered and uncovered, on as many occasions
as its rows need, 25 cores each. Blocks and plots scatter (log-normal blocks of standard deviation 0.4, gamma plots of k 1.5), covering
halves the mean, and clubs differ (log standard deviation 0.2 of the effect). `--malformed N` writes a word in the place of a
count of every N-th trial. Needs numpy and polars from PyPI; versions in requirements.txt.
"""

import argparse
import sys

import numpy as np
import polars as pl

CORES = 25
BLOCKS = 8
SOILS = ["sand", "loam", "clay"]


def trial(number, rows, clubs, rng):
    """The rows of one trial."""
    club = number % clubs
    season = 2017 + (number // clubs) % 10
    per_occasion = 2 * BLOCKS * CORES
    occasions = max(1, rows // per_occasion)
    cores = CORES if rows >= per_occasion else max(1, rows // (2 * BLOCKS))
    shape = (occasions, BLOCKS, 2, cores)
    effect = np.log(0.5) + 0.2 * rng.standard_normal()
    block = np.exp(0.4 * rng.standard_normal(BLOCKS))
    plot = rng.gamma(1.5, 1 / 1.5, (BLOCKS, 2))
    mean = 3.0 * block[:, None] * plot * np.array([1.0, np.exp(effect)])
    counts = rng.poisson(np.broadcast_to(mean[None, :, :, None], shape)).ravel()
    index = np.indices(shape).reshape(4, -1)
    occasion, blocks, method, _ = index
    days = pl.Series([f"{season}-{9 + o // 28:02d}-{1 + o % 28:02d}" for o in range(occasions)])
    names = pl.Series([f"night {o + 1}" for o in range(occasions - 1)] + ["main"])
    methods = pl.Series(["uncovered", "covered"])
    columns = {
        "trial": pl.lit(f"t{number:06d}"),
        "club": pl.lit(f"Club {club:04d}"),
        "season": pl.lit(season),
        "soil": pl.lit(SOILS[club % 3]),
        "date": days.gather(occasion),
        "occasion": names.gather(occasion),
        "treatment": methods.gather(method),
        "block": pl.Series(blocks + 1),
        "plot": pl.Series(blocks * 2 + method + 1),
        "corer_mm": pl.lit(108),
        "count": pl.Series(counts),
    }
    return pl.select(**columns)


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("out")
    asked.add_argument("--trials", type=int, default=100)
    asked.add_argument("--rows", type=int, default=400)
    asked.add_argument("--clubs", type=int, default=40)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--malformed", type=int, default=0)
    asked = asked.parse_args()
    batch = max(1, 1_000_000 // max(asked.rows, 1))
    with open(asked.out, "wb") as out:
        for first in range(0, asked.trials, batch):
            some = []
            for number in range(first, min(first + batch, asked.trials)):
                rng = np.random.Generator(np.random.PCG64([asked.seed, number]))
                table = trial(number, asked.rows, asked.clubs, rng)
                if asked.malformed and number % asked.malformed == asked.malformed // 2:
                    bad = pl.int_range(pl.len()) == 7
                    word = pl.when(bad).then(pl.lit("twleve")).otherwise(pl.col("count").cast(pl.String))
                    table = table.with_columns(word.alias("count"))
                some.append(table)
            pl.concat(some, how="vertical_relaxed").write_csv(out, include_header=first == 0)
            print(f"{min(first + batch, asked.trials)} of {asked.trials} trials", file=sys.stderr, end="\r")
    print(file=sys.stderr)


if __name__ == "__main__":
    main()
