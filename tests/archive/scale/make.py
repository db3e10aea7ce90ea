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
    days = np.array([f"{season}-{9 + o // 28:02d}-{1 + o % 28:02d}" for o in range(occasions)])
    names = np.array([f"night {o + 1}" for o in range(occasions)])
    names[-1] = "main"
    return {
        "trial": np.full(counts.size, f"t{number:06d}"),
        "club": np.full(counts.size, f"Club {club:04d}"),
        "season": np.full(counts.size, season),
        "soil": np.full(counts.size, SOILS[club % 3]),
        "date": days[occasion],
        "occasion": names[occasion],
        "treatment": np.array(["uncovered", "covered"])[method],
        "block": blocks + 1,
        "plot": blocks * 2 + method + 1,
        "corer_mm": np.full(counts.size, 108),
        "count": counts,
    }


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
                columns = trial(number, asked.rows, asked.clubs, rng)
                table = pl.DataFrame(columns).with_columns(pl.col("count").cast(pl.String))
                if asked.malformed and number % asked.malformed == asked.malformed // 2:
                    bad = pl.int_range(pl.len()) == 7
                    table = table.with_columns(pl.when(bad).then(pl.lit("twleve")).otherwise("count").alias("count"))
                some.append(table)
            pl.concat(some).write_csv(out, include_header=first == 0)
            print(f"{min(first + batch, asked.trials)} of {asked.trials} trials", file=sys.stderr, end="\r")
    print(file=sys.stderr)


if __name__ == "__main__":
    main()
