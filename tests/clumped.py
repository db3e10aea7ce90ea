"""Counts as larvae are found, for programs that make trials of any size. Every number follows from the generator that is handed in."""

import math


def clumped(draw, mean, k=1.5):
    """A count of the negative binomial law, as a Poisson count of a gamma mean."""
    if mean <= 0:
        return 0
    rate = draw.gammavariate(k, mean / k)
    if rate > 30:
        return max(0, round(draw.gauss(rate, math.sqrt(rate))))
    limit, found, product = math.exp(-rate), 0, draw.random()
    while product > limit:
        found += 1
        product *= draw.random()
    return found
