"""Inputs as large as the ranges allow (`trials/src/ranges`). Every number follows from a fixed seed."""

import math
import pathlib
import random
import sys

sys.path.append(str(pathlib.Path(__file__).resolve().parents[1]))
from clumped import clumped


def name(treatment):
    return "control" if treatment == 0 else f"method {treatment}"


def judged(path, blocks, treatments, before=False, area=False, mean=6.0):
    """A table of blocks that hold every treatment once."""
    draw = random.Random(blocks * 100 + treatments)
    with open(path, "w") as out:
        out.write("block,method,larvae,before,area\n")
        for block in range(blocks):
            ground = math.exp(draw.gauss(0.0, 0.4))
            for treatment in range(treatments):
                effect = 0.5 if treatment == 1 else 1.0
                count = clumped(draw, mean * ground * effect)
                earlier = clumped(draw, mean * ground) if before else 0
                size = 0.009 * (1 + draw.randrange(3)) if area else 1
                out.write(f"{block},{name(treatment)},{count},{earlier},{size:.3f}\n")


def unblocked(path, plots, treatments):
    draw = random.Random(plots + treatments)
    with open(path, "w") as out:
        out.write("method,larvae\n")
        for plot in range(plots):
            out.write(f"{name(plot % treatments)},{clumped(draw, 6.0)}\n")


def readings(path, plots):
    """Cover in per cent, two treatments in turn."""
    draw = random.Random(plots)
    with open(path, "w") as out:
        out.write("block,method,cover\n")
        for plot in range(plots):
            out.write(f"{plot // 2},{name(plot % 2)},{draw.randrange(101)}\n")


def square(path, size):
    """A Latin square: each treatment once in each row and column."""
    draw = random.Random(size)
    with open(path, "w") as out:
        out.write("row,column,method,larvae\n")
        for row in range(size):
            for column in range(size):
                treatment = (row + column) % size
                effect = 0.5 if treatment == 1 else 1.0
                out.write(f"{row},{column},{name(treatment)},{clumped(draw, 6.0 * effect)}\n")


def cores(path, lines, plots=4000, treatments=2, shuffled=False):
    """Lines of cores, so many to a plot; the plots follow one another or come in any order."""
    draw = random.Random(lines)
    # Plots hold unlike numbers, as they do on a green.
    counts = [[clumped(draw, 0.2 + 0.1 * level) for _ in range(50)] for level in range(100)]
    level = [min(99, clumped(draw, 50.0, 2.0)) for _ in range(plots)]
    with open(path, "w") as out:
        out.write("block,plot,method,larvae\n")
        for line in range(lines):
            plot = draw.randrange(plots) if shuffled else line * plots // lines
            out.write(f"B{plot // treatments},P{plot},{name(plot % treatments)},{counts[level[plot]][line % 50]}\n")


def many_groups(path, lines):
    """A group for every line, and a count of its own for many."""
    with open(path, "w") as out:
        out.write("place,larvae\n")
        for line in range(lines):
            out.write(f"place {line},{line * 7919 % 1_000_001}\n")


def places(path, across, down):
    draw = random.Random(across * down)
    with open(path, "w") as out:
        out.write("x_m,y_m,larvae,wet\n")
        for x in range(across):
            for y in range(down):
                out.write(f"{x * 0.5},{y * 0.5},{clumped(draw, 3.0)},{draw.random():.3f}\n")


def outline(path, corners, radius=60.0):
    """A green with an edge that is uneven everywhere."""
    draw = random.Random(corners)
    with open(path, "w") as out:
        out.write("x_m,y_m\n")
        for corner in range(corners):
            angle = 2 * math.pi * corner / corners
            reach = radius * (1 + 0.05 * math.sin(7 * angle) + 1e-5 * draw.random())
            out.write(f"{reach * math.cos(angle):.6f},{reach * math.sin(angle):.6f}\n")


def trial(folder, kind, blocks, treatments, cores_per_plot=2, side=1.0):
    """The protocol and the ground of a trial."""
    folder.mkdir()
    methods = "".join(
        f'[[treatment]]\ncode = "T{t}"\nname = "{name(t)}"\nkind = "other"\ncontrol = {"true" if t == 0 else "false"}\n\n'
        for t in range(treatments)
    )
    (folder / "trial.toml").write_text(f"""[trial]
title = "As many plots as a trial may have"
question = "Do fewer leatherjackets remain?"
site = "Larkrise Park, an invented club"

{methods}[design]
kind = "{kind}"
blocks = {blocks}
seed = 20260918

[plot]
length_m = {side}
width_m = {side}
guard_m = 0.1

[response]
name = "leatherjackets"
unit = "leatherjackets"
cores_per_plot = {cores_per_plot}
core_diameter_mm = 108

[[occasion]]
name = "before"
role = "before"
date = 2026-09-09

[[occasion]]
name = "main"
role = "main"
date = 2026-09-18

[decision]
alpha = 0.05
worthwhile_reduction_percent = 40
""")
    reach = 1.4 * side * math.sqrt(blocks * treatments) + 10.0
    (folder / "outline.csv").write_text(f"x_m,y_m\n0,0\n{reach},0\n{reach},{reach}\n0,{reach}\n")


def counted(folder, most=None):
    """Fills in the table of the field pack; more lines are late comers and stages in as many plots as need be."""
    lines = (folder / "pack" / "counts.csv").read_text().splitlines()
    draw = random.Random(7)
    head = lines[0].split(",")
    at = {heading: head.index(heading) for heading in ("count", "stage", "minutes_after_lift") if heading in head}
    out = [lines[0]]
    for line in lines[1:]:
        cells = line.split(",")
        cells[at["count"]] = str(clumped(draw, 4.0))
        out.append(",".join(cells))
    for minutes in range(1, 1441):
        if most is None or len(out) >= most:
            break
        for line in lines[1 : 1 + most - len(out)]:
            cells = line.split(",")
            cells[at["count"]] = str(draw.randrange(3))
            cells[at["minutes_after_lift"]] = str(minutes)
            out.append(",".join(cells))
    (folder / "counts.csv").write_text("\n".join(out) + "\n")


def season(folder, greens=27, nights=30, corners=5000):
    """A course whose nights are all unlike, whose greens differ and whose sheet covers only one or two of them."""
    folder.mkdir()
    draw = random.Random(greens * nights)
    out = [
        '[season]\ntitle = "As many greens and nights as a season may have"\ncurrency = "GBP"\nthreshold_per_m2 = 100\n',
        "[effect]\nratio = 0.4\nlow = 0.25\nhigh = 0.64\nnights = 5\n",
        "[sheet]\nowned_m2 = 700\nextra_percent = 15\nroll_length_m = 50\nroll_width_m = 4\nlap_m = 0.3\nedge_m = 0.3\nprice_per_m2 = 0.9\nlife_nights = 40\n",
        "[work]\nm2_per_person_hour = 90\nhours_per_piece = 0.5\n",
        "[cost]\nperson_hour = 16.5\n",
        "[worth]\nper_1000_larvae = 20\nbudget = 9000\n",
        "[counts]\ncore_diameter_mm = 108\nk = 0.8\n",
    ]
    for night in range(nights):
        out.append(f'[[night]]\ndate = 2027-09-{night + 1:02}\npeople = {1 + draw.randrange(8)}\nhours = {1 + draw.randrange(12) / 2}\n')
    for green in range(greens):
        outline(folder / f"green{green}.csv", corners, 8.0 + 8.0 * draw.random())
        cores = ", ".join(str(clumped(draw, 0.5 + 2.0 * draw.random(), 0.8)) for _ in range(12))
        hot = f"hot_spot_m2 = {40 + draw.randrange(60)}\nhot_spot_share_percent = {30 + draw.randrange(40)}\n"
        out.append(f'[[green]]\nname = "green {green}"\noutline = "green{green}.csv"\nper_core = [{cores}]\n{hot}')
    (folder / "season.toml").write_text("\n".join(out))
