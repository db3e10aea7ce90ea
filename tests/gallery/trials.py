"""The trials of the gallery: their protocols, ground and counts. Club and counts are invented; every count follows from a fixed seed."""

import csv
import dataclasses
import math
import pathlib
import random
import sys

sys.path.append(str(pathlib.Path(__file__).resolve().parents[1]))
from clumped import clumped

LONG = "black woven ground cover laid at dusk and lifted at first light"
ENDLESS = "Donaudampfschifffahrtsgesellschaftskapitaensmuetzenabzeichen"


@dataclasses.dataclass
class Case:
    """A trial whose figures are drawn."""

    name: str
    methods: list
    blocks: int = 8
    kind: str = "paired"
    title: str = "Sheets overnight on the hollow green"
    before: bool = False
    follow_ups: int = 0
    greens: int = 1
    factors: bool = False
    reading: bool = False
    more: bool = False
    mean: float = 6.0
    k: float = 1.5
    effect: float = 0.4
    cores: int = 3
    places: bool = False
    sized: bool = False
    small: bool = False


def methods(number, name="method {}"):
    return [name.format(i) for i in range(1, number + 1)]


CASES = [
    Case("smallest", ["sheet"], blocks=3, places=True),
    Case("demo", ["covered overnight"], before=True, places=True, sized=True),
    Case("cannot tell", ["sheet"], blocks=4, effect=0.8),
    Case("worse", ["sheet"], effect=2.5),
    Case("nothing found", ["sheet"], mean=0.0),
    Case("nothing left", ["sheet"], effect=0.0),
    Case("one large count", ["sheet"], k=0.12, mean=40.0),
    Case("forty pairs", ["sheet"], blocks=40, cores=1, places=True, sized=True),
    Case("a cloud of pairs", ["sheet"], blocks=125, cores=1, before=True),
    Case("thousands", ["sheet"], mean=4000.0),
    Case("more is better", ["sheet"], more=True, effect=3.0),
    Case("long names", [LONG, ENDLESS, "a"], kind="randomised-blocks", blocks=5, title=LONG + " " + ENDLESS, places=True, sized=True),
    Case("five methods", methods(5), kind="randomised-blocks", blocks=6, before=True, follow_ups=2),
    Case("twelve treatments", methods(11), kind="randomised-blocks", blocks=4, cores=1),
    Case("no blocks", methods(2), kind="completely-randomised", blocks=6, sized=True),
    Case("latin square", methods(5), kind="latin-square", blocks=6, small=True),
    Case("follow-ups", ["sheet"], before=True, follow_ups=4),
    Case("three greens", ["sheet"], greens=3, blocks=4),
    Case("factors", [], factors=True, kind="randomised-blocks", blocks=6),
    Case("scores", ["sheet", "slitting"], kind="randomised-blocks", reading=True),
]


def quoted(text):
    return '"' + text + '"'


def treatments(case):
    if case.factors:
        return (
            '[[factor]]\nname = "sheeting"\nkind = "covering"\nlevels = ["none", "one night"]\ncodes = ["C"]\n\n'
            '[[factor]]\nname = "slitting"\nkind = "aeration"\nlevels = ["none", "slit"]\ncodes = ["S"]\n\n'
        )
    rows = ['[[treatment]]\ncode = "U"\nname = "untreated"\nkind = "other"\ncontrol = true\n\n']
    for at, name in enumerate(case.methods):
        rows.append(f'[[treatment]]\ncode = "M{at + 1}"\nname = {quoted(name)}\nkind = "{"covering" if at == 0 else "other"}"\n\n')
    return "".join(rows)


def occasions(case):
    """Name, role and date, in order of time."""
    before = [("before", "before", "2026-09-08")] if case.before else []
    after = [(f"week {3 * n}", "follow-up", f"2026-{10 + n // 2}-{10 + n:02}") for n in range(1, case.follow_ups + 1)]
    return [*before, ("main", "main", "2026-09-20"), *after]


def response(case):
    if case.reading:
        return f'name = "colour of the turf"\nkind = "score"\ncores_per_plot = {case.cores}\n'
    name = "larvae on the surface" if case.more else "leatherjackets"
    size = "area_m2 = 0.25" if case.more else "core_diameter_mm = 108"
    return f'name = "{name}"\nbetter = "{"more" if case.more else "fewer"}"\ncores_per_plot = {case.cores}\nmost_per_m2 = 1e9\n{size}\n'


def decision(case):
    if case.reading:
        return "worthwhile_difference = 1\n"
    return f"worthwhile_{'increase' if case.more else 'reduction'}_percent = 40\n"


def greens(case):
    if case.greens == 1:
        return ""
    return "".join(f'[[green]]\nname = "green-{n}"\noutline = "outline.csv"\nblocks = {case.blocks}\n\n' for n in range(1, case.greens + 1))


def write(home, case):
    """Protocol and ground."""
    home.mkdir(parents=True, exist_ok=True)
    blocks = f"blocks = {case.blocks * case.greens}\n"
    times = "".join(f'[[occasion]]\nname = "{name}"\nrole = "{role}"\ndate = {date}\n\n' for name, role, date in occasions(case))
    (home / "trial.toml").write_text(
        f'[trial]\ntitle = {quoted(case.title)}\nquestion = "Do fewer remain?"\nsite = "Larkrise Park, an invented club"\n\n'
        f'{treatments(case)}[design]\nkind = "{case.kind}"\n{blocks}seed = 20260908\n\n{greens(case)}'
        f"[plot]\nlength_m = {1.2 if case.small else 2.0}\nwidth_m = 1.2\nguard_m = {0.2 if case.small else 0.4}\n\n[response]\n{response(case)}\n{times}[decision]\n{decision(case)}"
    )
    corners = []
    for at in range(48):
        angle = 2 * math.pi * at / 48
        reach = 1 + 0.12 * math.sin(2 * angle) + 0.05 * math.cos(5 * angle)
        corners.append(f"{26 * reach * math.cos(angle):.2f},{20 * reach * math.sin(angle):.2f}")
    (home / "outline.csv").write_text("x_m,y_m\n" + "\n".join(corners) + "\n")


def count(home, case):
    """Fills in the table of counts that `pack` made."""
    draw = random.Random(case.name)
    with open(home / "layout.csv", newline="") as text:
        given = {row["plot"]: row["treatment"] for row in csv.DictReader(text)}
    column = "reading" if case.reading else "count"
    rows = [["plot", "sample", "occasion", "date", column]]
    for name, role, date in occasions(case):
        for plot, treatment in given.items():
            control = treatment in ("U", "none", "0") or (case.factors and "C" not in treatment)
            effect = 1.0 if control or role == "before" else case.effect + (1 - case.effect) * (0.5 if role == "follow-up" else 0.0)
            for sample in range(1, case.cores + 1):
                value = 6 + draw.randrange(3) - (not control) if case.reading else clumped(draw, case.mean * effect, case.k)
                rows.append([plot, sample, name, date, value])
    with open(home / "counts.csv", "w", newline="") as out:
        csv.writer(out).writerows(rows)
