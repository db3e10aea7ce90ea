"""k of each treatment, shrunk towards the common one by the evidence that they differ: values of `own_k.rs`.

scipy 1.17. Negative binomial log-likelihoods about each treatment's mean; the penalty is that of a normal law of log(1 + m/k)
with standard deviation 2 about the common k. Prints common k, likelihood ratio, shrinkage, p and each k.
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


run(A, C)
run(A, CLUMPED)
