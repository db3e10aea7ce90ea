"""Reference p-values for contrasts with one control, unequal replication included.

Nested adaptive quadrature with scipy (https://scipy.org), to about 1e-11; the potato scab values are
checked against scipy.stats.dunnett, which is a lattice method good to about 1e-4.
Run: python3 make_dunnett_reference.py > dunnett_unequal.json
"""
import csv, json, os, sys
import numpy as np
import scipy
from scipy import integrate, stats
from scipy.special import ndtr

HERE = os.path.dirname(os.path.abspath(__file__))


def given_scale(u, lam, two_sided):
    w = np.sqrt(1 - lam**2)

    def f(z):
        inside = ndtr((u - lam * z) / w)
        if two_sided:
            inside = inside - ndtr((-u - lam * z) / w)
        return stats.norm.pdf(z) * np.prod(inside)

    return integrate.quad(f, -12, 12, epsabs=1e-13, epsrel=1e-13, limit=400)[0]


def upper(t, lam, df, two_sided):
    lam = np.asarray(lam)
    if np.isinf(df):
        return 1 - given_scale(t, lam, two_sided)
    law = stats.chi(df, scale=1 / np.sqrt(df))
    inside = integrate.quad(
        lambda s: law.pdf(s) * given_scale(t * s, lam, two_sided),
        law.ppf(1e-14), law.isf(1e-14), epsabs=1e-12, epsrel=1e-12, limit=200)[0]
    return 1 - inside


def main():
    cases = []
    for n, n0 in [((4, 8, 2), 5), ((3, 3), 12), ((12, 6, 9, 4), 2)]:
        lam = [float(np.sqrt(a / (a + n0))) for a in n]
        for df in (3, 11, 40, np.inf):
            for sided in ("two", "greater"):
                for t in (-0.7, 0.4, 1.9, 2.8, 4.5):
                    if sided == "two" and t < 0:
                        continue
                    cases.append(dict(n=n, n0=n0, df="Inf" if np.isinf(df) else df, sided=sided, t=t,
                                      p=upper(t, lam, df, sided == "two")))
    groups = {}
    with open(os.path.join(HERE, "..", "published", "potato_scab.csv")) as f:
        for row in csv.DictReader(f):
            groups.setdefault(row["trt"], []).append(float(row["inf"]))
    names = ["F3", "F6", "F12", "S3", "S6", "S12"]
    df = sum(len(g) - 1 for g in groups.values())
    s2 = sum(np.var(g) * len(g) for g in groups.values()) / df
    control = groups["O"]
    lam = [float(np.sqrt(len(groups[g]) / (len(groups[g]) + len(control)))) for g in names]
    t = [float((np.mean(groups[g]) - np.mean(control)) / np.sqrt(s2 * (1 / len(groups[g]) + 1 / len(control))))
         for g in names]
    lattice = stats.dunnett(*[groups[g] for g in names], control=control, rng=np.random.default_rng(1))
    scab = dict(names=names, df=df, t=t, lam=lam, p=[upper(abs(x), lam, df, True) for x in t],
                p_lattice=[float(p) for p in lattice.pvalue])
    json.dump(dict(made_with=dict(python=sys.version.split()[0], scipy=scipy.__version__),
                   cases=cases, potato_scab=scab), sys.stdout, indent=1)


main()
