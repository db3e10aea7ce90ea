"""Ordinary kriging by a library (PyKrige) and by the textbook's linear system, on seeded points.

Writes kriging.json: places, values, model, targets; per target the library's value and variance and the
textbook's; and leave-one-out predictions by solving the system anew without each place.
"""
import json
import numpy as np
from pykrige.ok import OrdinaryKriging

rng = np.random.default_rng(11)
n = 40
xy = rng.uniform(0, 30, (n, 2))
z = np.log(rng.negative_binomial(1, 0.25, n) + 0.5)
targets = rng.uniform(0, 30, (12, 2))
out = {"xy": xy.tolist(), "z": z.tolist(), "targets": targets.tolist(), "models": []}


def gamma(kind, h, nugget, sill, a):
    s = np.where(h < a, 1.5 * h / a - 0.5 * (h / a) ** 3, 1.0) if kind == "spherical" else 1 - np.exp(-h / a)
    return np.where(h > 0, nugget + sill * s, 0.0)


def textbook(kind, p, xy, z, at):
    d = lambda a, b: np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    n = len(z)
    A = np.ones((n + 1, n + 1)); A[:n, :n] = gamma(kind, d(xy, xy), *p); A[n, n] = 0
    b = np.ones((n + 1, len(at))); b[:n] = gamma(kind, d(xy, at), *p)
    w = np.linalg.solve(A, b)
    return w[:n].T @ z, (w * b).sum(0)


for kind, p in [("spherical", (0.3, 1.1, 12.0)), ("exponential", (0.2, 0.9, 6.0))]:
    # The library's exponential range is the practical one, three times ours.
    params = {"psill": p[1], "range": p[2] * (3 if kind == "exponential" else 1), "nugget": p[0]}
    ok = OrdinaryKriging(xy[:, 0], xy[:, 1], z, variogram_model=kind, variogram_parameters=params)
    v, s = ok.execute("points", targets[:, 0], targets[:, 1])
    tv, ts = textbook(kind, p, xy, z, targets)
    loo = [textbook(kind, p, np.delete(xy, i, 0), np.delete(z, i), xy[i:i + 1]) for i in range(n)]
    out["models"].append({
        "kind": kind, "nugget": p[0], "sill": p[1], "range": p[2],
        "library_value": np.asarray(v).tolist(), "library_variance": np.asarray(s).tolist(),
        "value": tv.tolist(), "variance": ts.tolist(),
        "loo_value": [float(x[0][0]) for x in loo], "loo_variance": [float(x[1][0]) for x in loo],
    })
    print(kind, np.abs(v - tv).max(), np.abs(s - ts).max())

# Empirical variogram by both estimators, eight classes up to half the greatest distance.
i, j = np.tril_indices(n, -1)
h = np.hypot(*(xy[i] - xy[j]).T); g = np.abs(z[i] - z[j])
width = h.max() / 2 / 8
lags = []
for k in range(8):
    m = (h > k * width) & (h <= (k + 1) * width)
    if m.any():
        c = int(m.sum())
        lags.append([float(h[m].mean()), c, float((g[m] ** 2).mean() / 2),
                     float(np.sqrt(g[m]).mean() ** 4 / (0.457 + 0.494 / c) / 2)])
out["variogram"] = lags
# Weighted least squares by a general optimiser from many starts.
from scipy.optimize import minimize
fits = {}
d, c, mat, rob = map(np.array, zip(*lags))
for kind in ("spherical", "exponential"):
    best = None
    for a0 in np.geomspace(d[0], 2 * d[-1], 25):
        f = lambda t: ((c / d**2) * (rob - gamma(kind, d, *t)) ** 2).sum()
        r = minimize(f, [0.5, 0.5, a0], bounds=[(0, None), (0, None), (d[0], 2 * d[-1])], method="L-BFGS-B",
                     options={"ftol": 1e-15, "gtol": 1e-12})
        best = r if best is None or r.fun < best.fun else best
    fits[kind] = float(best.fun)
out["fit_squares"] = fits
json.dump(out, open("kriging.json", "w"))
