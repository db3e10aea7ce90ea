"""Marginal means of six pairs with counts before: Poisson regression of statsmodels, standardised over the plots.

The counts scatter no more than random ones, so that the working variance is that of Poisson counts. Printed for each
treatment: the marginal mean, and the limits by the delta method on the log scale with Student's t on the residual
degrees of freedom. Run with statsmodels 0.15.0, scipy 1.17.1.
"""

import numpy as np
import statsmodels.api as sm
from scipy import stats

counts = np.array([14, 7, 11, 6, 20, 9, 17, 9, 9, 4, 13, 6])
before = np.array([12, 15, 9, 10, 19, 17, 14, 18, 8, 9, 12, 11])
block = np.repeat(np.arange(6), 2)
treatment = np.tile([0, 1], 6)

x = np.column_stack(
    [np.ones(12)]
    + [(block == b).astype(float) for b in range(1, 6)]
    + [np.log1p(before) - np.log1p(before).mean(), treatment.astype(float)]
)
fit = sm.GLM(counts, x, family=sm.families.Poisson()).fit(tol=1e-14, maxiter=200)
covariance = fit.cov_params()
reach = stats.t.ppf(0.975, 12 - x.shape[1])
print("pearson", fit.pearson_chi2, "df", fit.df_resid)
for level in (0, 1):
    own = x.copy()
    own[:, -1] = level
    expected = np.exp(own @ fit.params)
    mean = expected.mean()
    slope = (expected[:, None] * own).mean(axis=0) / mean
    se = np.sqrt(slope @ covariance @ slope)
    print(f"{level}\t{mean:.12g}\t{mean * np.exp(-reach * se):.12g}\t{mean * np.exp(reach * se):.12g}")
