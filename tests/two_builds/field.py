"""Invented counts for a layout: clumped, with ground that differs from block to block. Seeded by the trial's name."""
import csv
import math
import random


def poisson(dice, mean):
    if mean > 500.0:
        return max(0, round(dice.gauss(mean, math.sqrt(mean))))
    limit, product, count = math.exp(-mean), dice.random(), 0
    while product > limit:
        product *= dice.random()
        count += 1
    return count


def clumped(dice, mean, k):
    if mean <= 0.0:
        return 0
    return poisson(dice, mean if k is None else dice.gammavariate(k, mean / k))


def plots_of(layout_text):
    return list(csv.DictReader(layout_text.splitlines()))


class Field:
    """How a trial's counts come about: the mean of a core, what each treatment leaves, clumping, what went wrong."""

    def __init__(self, mean=3.0, left=None, k=1.5, cores=3, block_sd=0.4, occasions=("main",), lost=(), stages=False,
                 areas=False, follow_up_left=None, reading=None):
        self.mean, self.left, self.k, self.cores, self.block_sd = mean, left or {}, k, cores, block_sd
        self.occasions, self.lost, self.stages, self.areas = occasions, lost, stages, areas
        self.follow_up_left, self.reading = follow_up_left, reading

    def counts(self, name, layout_text):
        dice = random.Random(name)
        plots = plots_of(layout_text)
        ground = {}
        for plot in plots:
            ground.setdefault(plot["block"], math.exp(dice.gauss(0.0, self.block_sd)))
        if self.reading is not None:
            return self.readings(dice, plots)
        lines = ["plot,sample,occasion,stage,count,area_m2"]
        for occasion in self.occasions:
            for plot in plots:
                if (occasion, plot["plot"]) in self.lost:
                    continue
                mean = self.mean * ground[plot["block"]] * self.share(occasion, plot["treatment"])
                for core in range(1, self.cores + 1):
                    lines += self.lines(dice, plot["plot"], core, occasion, mean)
        return "\n".join(lines) + "\n"

    def share(self, occasion, treatment):
        if occasion == "before":
            return 1.0
        if occasion == "later" and self.follow_up_left is not None:
            return self.follow_up_left.get(treatment, 1.0)
        return self.left.get(treatment, 1.0)

    def lines(self, dice, plot, core, occasion, mean):
        # Every third core was a half one.
        area = ("0.005" if core % 3 == 0 else "0.01") if self.areas else ""
        mean = mean / 2.0 if area == "0.005" else mean
        count = clumped(dice, mean, self.k)
        if not self.stages:
            return [f"{plot},{core},{occasion},,{count},{area}"]
        pupae = sum(dice.random() < 0.3 for _ in range(count))
        return [f"{plot},{core},{occasion},{s},{n},{area}" for s, n in (("larva", count - pupae), ("pupa", pupae))]

    def nights(self, name, layout_text):
        """A crossover: the night of a line is the layout's row."""
        dice = random.Random(name)
        lines = ["plot,occasion,count"]
        ground = {}
        for plot in plots_of(layout_text):
            here = ground.setdefault(plot["plot"], math.exp(dice.gauss(0.0, self.block_sd)))
            tonight = ground.setdefault("night " + plot["row"], math.exp(dice.gauss(0.0, 0.3)))
            mean = self.mean * here * tonight * self.left.get(plot["treatment"], 1.0)
            lines.append(f"{plot['plot']},dawn-{plot['row']},{clumped(dice, mean, self.k)}")
        return "\n".join(lines) + "\n"

    def readings(self, dice, plots):
        kind, middle, sd, gain = self.reading
        edge = kind == "edge"
        lines = ["plot,reading,outside" if edge else "plot,reading"]
        low, high = {"score": (1.0, 9.0), "cover": (0.0, 100.0)}.get(kind, (0.1, math.inf))
        for plot in plots:
            value = middle + dice.gauss(0.0, sd) + gain * (1.0 - self.left.get(plot["treatment"], 1.0))
            value = min(max(value, low), high)
            value = round(value * 2) / 2 if kind == "score" else round(value, 1)
            blank = ("main", plot["plot"]) in self.lost
            cells = [plot["plot"], "" if blank else str(value)]
            if edge:
                cells.append("" if blank else str(round(middle + dice.gauss(0.0, sd), 1)))
            lines.append(",".join(cells))
        return "\n".join(lines) + "\n"
