"""Two invented Latin squares, analysed as squares, rows and columns within squares, and treatments: Poisson fit.
Writes squares.tsv. Run in this folder with statsmodels 0.15.0 and numpy 2.4.6: python make_squares_reference.py
"""
import csv

import numpy as np
import statsmodels.api as sm

lines = list(csv.DictReader(open("data/latin_squares.csv")))
counts = np.array([float(line["count"]) for line in lines])


def columns(of, without):
    """One column for each level but those without."""
    levels = sorted({line[of] for line in lines})
    return [[float(line[of] == level) for line in lines] for level in levels if level not in without]


ones = [[1.0] * len(lines)]
# The first row and column of each square are its reference; the square itself has a column.
blocks = ones + columns("square", ["1"]) + columns("row", ["1.1", "2.1"]) + columns("column", ["1.1", "2.1"])
null = np.array(blocks).T
full = np.array(blocks + columns("treatment", ["U"])).T
assert np.linalg.matrix_rank(full) == full.shape[1]


def poisson(matrix):
    return sm.GLM(counts, matrix, family=sm.families.Poisson()).fit(tol=1e-14, maxiter=200)


with_treatment, without = poisson(full), poisson(null)
with open("squares.tsv", "w") as out:
    for name, value in [
        ("poisson_log_likelihood", with_treatment.llf),
        ("poisson_deviance", with_treatment.deviance),
        ("poisson_residual_df", with_treatment.df_resid),
        ("poisson_lr", without.deviance - with_treatment.deviance),
    ]:
        out.write(f"{name}\t{value:.12g}\n")
