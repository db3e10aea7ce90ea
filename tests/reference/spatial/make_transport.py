"""Least movement that makes counts equal, for 50 random maps, by linear programming (HiGHS through scipy).

Writes transport.json: places, counts and the cost of each map.
"""
import json
import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

rng = np.random.default_rng(50)
maps = []
for k in range(50):
    n = int(rng.integers(2, 41))
    xy = rng.integers(0, 8, (n, 2)).astype(float) if k % 2 else rng.uniform(0, 20, (n, 2))
    y = rng.negative_binomial(0.5, 0.1, n).astype(float)
    excess = y - y.mean()
    s, t = np.where(excess > 0)[0], np.where(excess < 0)[0]
    if len(s) == 0:
        maps.append({"xy": xy.tolist(), "y": y.tolist(), "cost": 0.0})
        continue
    cost = np.hypot(xy[s][:, None, 0] - xy[t][None, :, 0], xy[s][:, None, 1] - xy[t][None, :, 1]).ravel()
    m, p = len(s), len(t)
    rows = np.concatenate([np.repeat(np.arange(m), p), m + np.tile(np.arange(p), m)])
    cols = np.concatenate([np.arange(m * p)] * 2)
    A = coo_matrix((np.ones(2 * m * p), (rows, cols)))
    r = linprog(cost, A_eq=A.tocsr(), b_eq=np.concatenate([excess[s], -excess[t]]), method="highs",
                options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10})
    assert r.status == 0
    maps.append({"xy": xy.tolist(), "y": y.tolist(), "cost": r.fun})
json.dump(maps, open("transport.json", "w"))
