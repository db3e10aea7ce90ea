"""Makes the headline of a judged trial again from `results.json` alone, by other code.

    python3 recompute_headline.py results.json

For one method against a control in pairs, with or without counts before treatment.
From the counts it fits the negative binomial with random blocks (block effects integrated out on a fine grid, the
maximum by a simplex), transforms the counts, takes expectations off, and compares within blocks by Student's t; then it seeks
the ratios at which t is critical. Standard library only.
"""

import json
import math
import sys

GRID = [-6 + 12 * i / 60 for i in range(61)]
WEIGHTS = [math.exp(-z * z / 2) for z in GRID]
WEIGHTS = [w / sum(WEIGHTS) for w in WEIGHTS]


def log_constant(y, k):
    return -math.lgamma(y + 1) + (math.lgamma(y + k) - math.lgamma(k) if k < 1e9 else 0)


def log_kernel(y, mean, k):
    if k > 1e9:
        return y * math.log(mean) - mean
    return -k * math.log1p(mean / k) + y * math.log(mean / (k + mean))


class Trial:
    def __init__(self, result):
        self.control = result["contrasts"][0]["control"]
        plots = result["plots"]
        names = sorted({p["block"] for p in plots})
        self.blocks = [[p for p in plots if p["block"] == name] for name in names]
        self.found = []
        logs = [math.log1p(p["before"]) if p["before"] is not None else 0 for p in plots]
        self.covariate = {p["plot"]: x - sum(logs) / len(logs) for p, x in zip(plots, logs)}
        self.before = any(abs(x) > 1e-9 for x in self.covariate.values())
        self.order = [p["plot"] for p in plots]

    def treated(self, plot):
        return plot["treatment"] != self.control

    def eta(self, plot, intercept, slope, effect):
        known = math.log(plot["exposure"]) + slope * self.covariate[plot["plot"]]
        return known + intercept + (effect if self.treated(plot) else 0)

    def posterior(self, block, intercept, slope, effect, sigma, k):
        logs, held = [], [(p["count"], self.eta(p, intercept, slope, effect)) for p in block]
        for z, w in zip(GRID, WEIGHTS):
            terms = (log_kernel(y, math.exp(eta + sigma * z), k) for y, eta in held)
            logs.append(math.log(w) + sum(terms))
        constant = sum(log_constant(y, k) for y, _ in held)
        logs = [constant + x for x in logs]
        top = max(logs)
        shares = [math.exp(x - top) for x in logs]
        return top + math.log(sum(shares)), [s / sum(shares) for s in shares]

    def log_likelihood(self, *at):
        return sum(self.posterior(b, *at)[0] for b in self.blocks)

    def fit(self, effect, start):
        """Maximum over intercept, sigma and 1/k with the effect held, or over the effect too if it is None."""
        def unpack(x):
            slope = x[3] if self.before else 0
            held = effect if effect is not None else x[-1]
            return x[0], slope, held, abs(x[1]), 1 / max(x[2] * x[2], 1e-12)
        sizes = (0.02, 0.005) if start in self.found else (0.3, 0.1, 0.03, 0.01, 0.003)
        best, value = simplex(lambda x: -self.log_likelihood(*unpack(x)), start, sizes)
        if effect is not None:
            start[:] = best
            self.found.append(start)
        return unpack(best), -value

    def t(self, effect, power, start):
        (intercept, slope, _, sigma, k), top = self.fit(effect, start)
        residuals, values = {}, []
        for block in self.blocks:
            _, shares = self.posterior(block, intercept, slope, effect, sigma, k)
            for p in block:
                eta = self.eta(p, intercept, slope, effect)
                means = [math.exp(eta + sigma * z) for z in GRID]
                mean = sum(s * m for s, m in zip(shares, means))
                expected = sum(s * self.expected(m, k, power, values) for s, m in zip(shares, means) if s > 1e-7)
                residuals[p["plot"]] = (transformed(p["count"], k, power) - expected) / spread(mean, k, power)
        mean, error = self.difference(residuals)
        return {"t": mean / error, "difference": mean, "standard_error": error, "k": k, "sigma": sigma,
                "log_likelihood": top, "residuals": residuals}

    def difference(self, residuals):
        """Treated less control within pairs, and its standard error: the intercept of a line on the covariate's difference."""
        def within(of):
            sides = [[sum(of[p["plot"]] for p in b if self.treated(p) == side) for side in (False, True)] for b in self.blocks]
            return [treated - control for control, treated in sides]
        y, x = within(residuals), within(self.covariate)
        n, mean_x, mean_y = len(y), sum(x) / len(x), sum(y) / len(y)
        squares = sum((a - mean_x) ** 2 for a in x)
        slope = sum((a - mean_x) * b for a, b in zip(x, y)) / squares if self.before else 0
        intercept = mean_y - slope * mean_x
        rest = sum((b - intercept - slope * a) ** 2 for a, b in zip(x, y)) / (n - 1 - self.before)
        return intercept, math.sqrt(rest * (1 / n + (mean_x ** 2 / squares if self.before else 0)))

    @staticmethod
    def expected(mean, k, power, values):
        high = int(mean + 12 * math.sqrt(mean + mean * mean / k) + 30 * mean / k + 20)
        while len(values) < high:
            values.append(transformed(len(values), k, power))
        # From the law's chance of none upwards, each from the one before.
        chance, total, weight = math.exp(log_kernel(0, mean, k)), 0.0, 0.0
        for y in range(high):
            weight += chance
            total += chance * values[y]
            chance *= mean * ((y + k) / (mean + k) if k < 1e9 else 1) / (y + 1)
        return total / weight


def transformed(y, k, power):
    if k > 1e9:
        return math.sqrt(y + 0.5)
    stable = math.asinh(math.sqrt((y + 0.5) / k)) * math.sqrt(k)
    return math.sinh(2 * power * stable / math.sqrt(k)) * math.sqrt(k) / (2 * power) if power else stable


def spread(mean, k, power):
    return 1.0 if k > 1e9 else math.cosh(2 * power * math.asinh(math.sqrt(mean / k)))


def simplex(f, start, sizes):
    """Nelder and Mead (1965), begun anew until nothing is gained."""
    best, value = start, f(start)
    for size in sizes:
        points = [best] + [[x + (size if i == j else 0) for i, x in enumerate(best)] for j in range(len(best))]
        scored = sorted((f(p), p) for p in points)
        for _ in range(150):
            if scored[-1][0] - scored[0][0] < 1e-11:
                break
            centre = [sum(p[i] for _, p in scored[:-1]) / (len(scored) - 1) for i in range(len(best))]
            worst = scored[-1][1]

            def at(step):
                point = [c + step * (c - w) for c, w in zip(centre, worst)]
                return f(point), point
            tried = at(1)
            if tried[0] < scored[0][0]:
                tried = min(tried, at(2))
            elif tried[0] >= scored[-2][0]:
                tried = min(at(0.5), at(-0.5))
            if tried[0] < scored[-1][0]:
                scored[-1] = tried
            else:
                top = scored[0][1]
                scored = [scored[0]] + [(f(q), q) for q in ([0.5 * (a + b) for a, b in zip(p, top)] for _, p in scored[1:])]
            scored.sort()
        best, value = scored[0][1], scored[0][0]
    return best, value


def t_tail(t, df):
    """Two-sided p of Student's t, by Simpson's rule over the angle whose tangent is t / sqrt(df)."""
    top, steps = math.atan(abs(t) / math.sqrt(df)), 20000
    width = (math.pi / 2 - top) / steps
    values = [math.cos(top + i * width) ** (df - 1) for i in range(steps + 1)]
    inside = values[0] + values[-1] + 4 * sum(values[1:-1:2]) + 2 * sum(values[2:-1:2])
    return 2 * inside * width / 3 * math.gamma((df + 1) / 2) / math.gamma(df / 2) / math.sqrt(math.pi)


def root(f, low, high):
    """By false position, the idle end's value halved (Illinois)."""
    ends, values = [low, high], [f(low), f(high)]
    for _ in range(60):
        x = (ends[0] * values[1] - ends[1] * values[0]) / (values[1] - values[0])
        y = f(x)
        if abs(y) < 1e-9:
            break
        if (y > 0) == (values[1] > 0):
            values[0] *= 0.5
        else:
            ends[0], values[0] = ends[1], values[1]
        ends[1], values[1] = x, y
    return x


def main():
    document = json.load(open(sys.argv[1], encoding="utf-8"))
    result = document.get("result", document)
    row = result["contrasts"][0]
    power, df = row["at_no_effect"]["power"], row["df"]
    trial = Trial(result)
    total = sum(p["count"] for p in result["plots"]) / sum(p["exposure"] for p in result["plots"])
    start = [math.log(total), 0.3, 0.5] + [0.5] * trial.before
    none = trial.t(0.0, power, start)
    (*_, effect, _, k), top = trial.fit(None, [*start, math.log(row["ratio"])])
    critical = root(lambda t: t_tail(t, df) - result["alpha"], 1.5, 15)
    limits = []
    for side, near in ((-1, row["low"]), (1, row["high"])):
        def beyond(x):
            return -side * trial.t(x, power, start)["t"] - critical
        limits.append(math.exp(root(beyond, math.log(near) - 0.05, math.log(near) + 0.05)))
    told = row["at_no_effect"]
    pairs = [
        ("k at no effect", none["k"], told["k"] or math.inf),
        ("block spread at no effect", none["sigma"], told["sigma"][0]),
        ("log-likelihood at no effect", none["log_likelihood"], told["log_likelihood"]),
        ("difference", none["difference"], row["difference"]),
        ("standard error", none["standard_error"], row["standard_error"]),
        ("t", none["t"], row["t"]),
        ("p of t", t_tail(none["t"], df), row["p_model"]),
        ("critical t", critical, row["critical_t"]),
        ("k", k, result["dispersion"]["k"] or math.inf),
        ("log-likelihood", top, result["dispersion"]["log_likelihood"]),
        ("ratio", math.exp(effect), row["ratio"]),
        ("lower limit", limits[0], row["low"]),
        ("upper limit", limits[1], row["high"]),
    ]
    for plot, value in zip(trial.order, told["residuals"]):
        pairs.append((f"residual of plot {plot}", none["residuals"][plot] , value))
    for name, made, given in pairs:
        print(f"{name:30} {made:16.9g} {given:16.9g}   off by {abs(made - given) / max(abs(given), 1e-12):.1e}")


main()
