"""k of each treatment, shrunk towards the common one by the evidence that they differ: values of `own_k.rs`.

scipy 1.17. Negative binomial log-likelihoods about each treatment's mean; the penalty is that of a normal law of log(1 + m/k)
with standard deviation 2 about the common k. Prints common k, likelihood ratio, shrinkage, p and each k; then, at a ratio of 1, the
comparison of counts as they are: difference, standard error, degrees of freedom (Box 1954), skewness (two thirds of it), t (Hall 1992).
"""

import numpy as np
from scipy import optimize, stats

A = [10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13]
C = [0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4]
CLUMPED = [0, 3, 41, 7, 0, 90, 2, 16, 5, 0, 63, 11]


def log_likelihood(counts, mean, inverse_k):
    if inverse_k < 1e-12:
        return stats.poisson.logpmf(counts, mean).sum()
    k = 1 / inverse_k
    return stats.nbinom.logpmf(counts, k, k / (k + mean)).sum()


def least(function, low, high):
    return optimize.minimize_scalar(function, bounds=(low, high), method="bounded", options={"xatol": 1e-10})


def run(*treatments):
    arms = [(np.array(counts), np.mean(counts)) for counts in treatments]
    common = least(lambda s: -sum(log_likelihood(y, m, s * s) for y, m in arms), 0, 3).x ** 2
    ratio, found = 0.0, []
    for counts, mean in arms:
        start = np.log1p(common * mean)

        def beside(theta):
            return 0.5 * ((theta - start) / 2) ** 2 - log_likelihood(counts, mean, np.expm1(theta) / mean)

        own = least(beside, max(0, start - 4), start + 4)
        ratio += 2 * (beside(start) - own.fun)
        found.append((start, own.x, mean))
    shrinkage = max(0, 1 - 1 / ratio)
    k = [mean / np.expm1(start + shrinkage * (theta - start)) for start, theta, mean in found]
    print(1 / common, ratio, shrinkage, stats.chi2.sf(ratio, 1), k)
    untransformed(treatments, shrinkage)


def untransformed(treatments, shrinkage):
    """Two treatments of as many plots each, no blocks."""
    arms = [np.array(counts) for counts in treatments]
    plots, mean = len(arms[0]), np.mean(arms)
    common = least(lambda s: -sum(log_likelihood(y, mean, s * s) for y in arms), 0, 3).x ** 2
    variances, thirds = [], []
    for counts in arms:
        start = np.log1p(common * mean)

        def beside(theta):
            return 0.5 * ((theta - start) / 2) ** 2 - log_likelihood(counts, mean, np.expm1(theta) / mean)

        own = least(beside, max(0, start - 4), start + 4).x
        over = np.expm1(start + shrinkage * (own - start))
        variances.append((1 + over) / mean)
        thirds.append((1 + over) * (1 + 2 * over) / mean ** 2)
    values = [counts / mean for counts in arms]
    difference = values[1].mean() - values[0].mean()
    within = sum(((v - v.mean()) ** 2).sum() for v in values)
    error = np.sqrt(2 * within / (2 * (plots - 1)) / plots)
    df = (plots - 1) * sum(variances) ** 2 / sum(v * v for v in variances)
    skewness = 2 / 3 * (thirds[1] - thirds[0]) * plots / (plots * sum(variances)) ** 1.5
    t = difference / error
    print(difference, error, df, skewness, t + skewness / 3 * t * t + skewness ** 2 / 27 * t ** 3 + skewness / 6)


run(A, C)
run(A, CLUMPED)
