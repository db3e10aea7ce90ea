"""Local Moran by esda 2.9.0 with libpysal 4.14.1, on the 10 by 10 grid of spatial_grids.json.

Writes local_moran.json: for queen neighbours (row-standardised) and for inverse distance up to 3 (raw), the
statistic, the quadrant (1 high among high, 2 low among high, 3 low among low, 4 high among low) and the
share of 99 999 conditional permutations whose statistic is at least, and at most, the observed one.
esda divides by the sum of squares over n - 1, the paper (Anselin 1995, eq. 12) by that over n.
"""
import json
import numpy as np
import esda
import libpysal
from libpysal.weights import DistanceBand, lat2W

here = __file__.rsplit("/", 1)[0]
y = np.array(json.load(open(f"{here}/spatial_grids.json"))["grids"]["10"]["y"], float)
xy = [(i % 10, i // 10) for i in range(100)]
queen = lat2W(10, 10, rook=False)
inverse = DistanceBand(xy, 3.0, binary=False, alpha=-1.0)
out = {"esda": esda.__version__, "libpysal": libpysal.__version__}
for name, w, transform in [("queen", queen, "r"), ("inverse", inverse, "O")]:
    found = esda.Moran_Local(y, w, transformation=transform, permutations=99999, seed=7, keep_simulations=True, n_jobs=1)
    sims = found.rlisas
    # The simulated statistics are those of the neighbours' total times the own deviation.
    tol = 1e-9 * np.abs(found.Is)[:, None] + 1e-12
    out[name] = {
        "value": found.Is.tolist(),
        "quadrant": found.q.tolist(),
        "at_least": ((sims >= found.Is[:, None] - tol).mean(1)).tolist(),
        "at_most": ((sims <= found.Is[:, None] + tol).mean(1)).tolist(),
    }
json.dump(out, open(f"{here}/local_moran.json", "w"))
