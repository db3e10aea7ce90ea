"""Reference values for trial sizes and boundaries: Python 3 with scipy 1.17.

Run: python make_reference.py > reference.json
Two-look and later boundaries come from the multivariate normal of scipy, a road other than the
recursive integration under test.
"""
import json
import math

import numpy as np
from scipy import optimize, stats


def t_power(shift, df, alpha):
    t = stats.t.ppf(1 - alpha / 2, df)
    return float(stats.nct.sf(t, df, shift) + stats.nct.cdf(-t, df, shift))


def spent(kind, alpha, t):
    if kind == "obrien-fleming":
        return 2 * stats.norm.sf(stats.norm.ppf(1 - alpha / 2) / math.sqrt(t))
    return alpha * math.log(1 + (math.e - 1) * t)


def boundaries(kind, alpha, shares):
    found = []
    for i, t in enumerate(shares):
        side = spent(kind, alpha / 2, t)
        if i == 0:
            found.append(float(stats.norm.isf(side)))
            continue
        s = np.array(shares[: i + 1])
        cov = np.sqrt(np.minimum.outer(s, s) / np.maximum.outer(s, s))

        def excess(z):
            upper = np.array(found + [z])
            inside = stats.multivariate_normal(cov=cov, maxpts=2_000_000, abseps=1e-9, releps=1e-9).cdf(
                upper, lower_limit=-upper
            )
            return (1 - inside) - 2 * side

        found.append(float(optimize.brentq(excess, 0.5, 6.0, xtol=1e-7)))
    return found


print(
    json.dumps(
        {
            "noncentral_t": [
                {"shift": s, "df": df, "alpha": a, "power": t_power(s, df, a)}
                for s, df, a in [(1.0, 1, 0.05), (2.5, 3, 0.05), (3.0, 7, 0.05), (2.0, 14, 0.1), (4.0, 58, 0.01), (0.0, 5, 0.05)]
            ],
            "boundaries": [
                {"kind": k, "alpha": a, "shares": s, "z": boundaries(k, a, s)}
                for k in ("obrien-fleming", "pocock")
                for a, s in [(0.05, [0.5, 1.0]), (0.05, [0.3, 0.7, 1.0]), (0.1, [0.25, 0.5, 0.75, 1.0])]
            ],
        },
        indent=1,
    )
)
