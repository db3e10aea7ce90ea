"""What is run at the far ends: for each case its name, what it needs, and the command. A case that is refused says so."""

import inputs

JUDGE = "--count larvae --treatment method --control control"
NEXT = "next --seed 1 --reduction 50 "

# Name, input that it needs (made once), arguments; {} is the folder of the inputs.
TABLES = [
    ("judge, 500 blocks x 2", "b500x2", f"judge --counts {{}}/b500x2.csv --block block {JUDGE}"),
    ("judge, 500 blocks x 10", "b500x10", f"judge --counts {{}}/b500x10.csv --block block {JUDGE}"),
    ("judge, 31 blocks x 40", "b31x40", f"judge --counts {{}}/b31x40.csv --block block {JUDGE}"),
    ("judge, 500 blocks x 10, before and area", "b500x10ba",
     f"judge --counts {{}}/b500x10ba.csv --block block --before before --area area {JUDGE}"),
    ("judge, 2500 blocks x 2", "b2500x2", f"judge --counts {{}}/b2500x2.csv --block block {JUDGE}"),
    ("judge, 1 block x 40", "b1x40", f"judge --counts {{}}/b1x40.csv --block block {JUDGE}"),
    ("judge, 5000 plots, no blocks", "u5000x2", f"judge --counts {{}}/u5000x2.csv {JUDGE}"),
    ("judge, 5000 plots, 10 treatments", "u5000x10", f"judge --counts {{}}/u5000x10.csv {JUDGE}"),
    ("judge, Latin square of 8", "latin8", f"judge --counts {{}}/latin8.csv --row row --column column {JUDGE}"),
    ("judge, Latin square of 11", "latin11", f"judge --counts {{}}/latin11.csv --row row --column column {JUDGE}"),
    ("judge, one in a million", "b500x2", f"judge --counts {{}}/b500x2.csv --block block --alpha 0.000001 {JUDGE}"),
    ("judge, alpha 0.5, more is better", "b500x2",
     f"judge --counts {{}}/b500x2.csv --block block --alpha 0.5 --better more --worthwhile 1000000 {JUDGE}"),
    ("judge, 5 million cores in order", "cores5m", f"judge --counts {{}}/cores5m.csv --block block --plot plot {JUDGE}"),
    ("judge, 5 million cores in any order", "cores5ms", f"judge --counts {{}}/cores5ms.csv --block block --plot plot {JUDGE}"),
    ("judge, 5000 readings", "readings5000", "judge --counts {}/readings5000.csv --count cover --treatment method --control control --response cover"),
    ("judge, 2500 pairs of readings", "readings5000",
     "judge --counts {}/readings5000.csv --count cover --treatment method --control control --block block --response cover"),
    ("describe, 5 million lines", "cores5m", "describe {}/cores5m.csv --count larvae"),
    ("describe, 5 million lines by plot", "cores5ms", "describe {}/cores5ms.csv --count larvae --group plot --group method"),
    ("describe, 100 000 groups", "groups", "describe {}/groups.csv --count larvae --group place"),
    ("hotspots, 1000 places", "places1000", "hotspots --counts {}/places1000.csv --x x_m --y y_m --count larvae --with wet"),
    ("hotspots, 5000 places", "places5000", "hotspots --counts {}/places5000.csv --x x_m --y y_m --count larvae --permutations 296"),
    ("hotspots, 900 places, 2222 arrangements", "places900",
     "hotspots --counts {}/places900.csv --x x_m --y y_m --count larvae --permutations 2222"),
    ("hotspots, 2500 places", "places2500", "hotspots --counts {}/places2500.csv --x x_m --y y_m --count larvae --with wet --permutations 300"),
    ("grid, 10 000 points", "round200", "grid {}/round200.csv --points 10000"),
    ("grid, 250 000 corners", "round250000", "grid {}/round250000.csv --points 40 --margin 1"),
    ("grid, 250 000 corners, zigzag", "round250000", "grid {}/round250000.csv --spacing 3 --pattern zigzag"),
    ("grid, spacing of 1.1 m", "round200", "grid {}/round200.csv --spacing 1.1"),
    ("stopline, 1000 cores", None, "stopline --lower 1 --upper 3 --k 0.8 --cores 1000"),
    ("stopline, 1000 cores of many", None, "stopline --lower 60 --upper 120 --k 0.8 --cores 1000"),
    ("stopline, iwao, 1000 cores", None, "stopline --kind iwao --lower 10 --upper 20 --iwao 0.5,1.3 --cores 1000"),
    ("stopline, green, 1000 cores", None, "stopline --kind green --lower 1 --upper 3 --taylor 1.5,1.2 --precision 0.05 --cores 1000"),
    ("stopline, tally", None, "stopline --lower 1 --upper 3 --k 0.001 --tally 1000 --cores 1000"),
    ("next, usual", None, NEXT + "--k 1 --mean 5"),
    ("next, 500 blocks", None, NEXT + "--k 1 --mean 5 --blocks 500"),
    ("next, mean 1000", None, NEXT + "--k 1 --mean 1000"),
    ("next, mean 0.001", None, NEXT + "--k 1 --mean 0.001"),
    ("next, k 0.001", None, NEXT + "--k 0.001 --mean 5"),
    ("next, k unknown and clumped plots", None, NEXT + "--k-range 0.001,100 --k-plot 0.01 --mean 5 --block-sd 3"),
    ("next, 20 methods", None, NEXT + "--k 1 --mean 5 --methods 20"),
    ("next, 20 methods, 60 blocks", None, NEXT + "--k 1 --mean 5 --methods 20 --blocks 60"),
    ("next, mean 1000, 200 blocks, 1000 cores", None, NEXT + "--k 1 --mean 1000 --blocks 200 --cores 1000"),
    ("next, 3 methods, one plot in 20 lost", None, NEXT + "--k 0.8 --mean 3 --methods 3 --missing 0.05"),
    ("next, 20 methods, half of the plots lost", None, NEXT + "--k 1 --mean 5 --methods 20 --missing 0.5"),
    ("next, 100 000 trials", None, NEXT + "--k 1 --mean 5 --trials 100000"),
    ("next, 200 plans", None, NEXT + "--k 1 --mean 5 --blocks 3-22 --cores 1-10"),
    ("next, 20 looks", None, NEXT + "--k 1 --mean 5 --even-looks --looks " + ",".join(f"{0.05 * i:.2f}" for i in range(1, 21))),
]

# Kind, blocks, treatments, cores.
TRIALS = [
    ("paired", 500, 2, 2),
    ("randomised-blocks", 100, 10, 2),
    ("randomised-blocks", 25, 40, 2),
    ("completely-randomised", 500, 2, 2),
    ("latin-square", 31, 31, 2),
]
# What is done in a trial's folder, in order; counts are filled in after `pack`.
OF_TRIAL = ["layout {}", "pack {}", "check {}", "judge {}", "report {}", "hotspots {}", "next {}"]

# Corners of each of 27 greens, on 30 nights that are all unlike.
SEASONS = [("season, 27 greens by 30 nights", 50), ("season, 27 greens of 5000 corners", 5000)]

MAKE = {
    "b500x2": lambda p: inputs.judged(p, 500, 2),
    "b500x10": lambda p: inputs.judged(p, 500, 10),
    "b500x10ba": lambda p: inputs.judged(p, 500, 10, before=True, area=True),
    "b31x40": lambda p: inputs.judged(p, 31, 40),
    "b2500x2": lambda p: inputs.judged(p, 2500, 2),
    "b1x40": lambda p: inputs.judged(p, 1, 40),
    "u5000x2": lambda p: inputs.unblocked(p, 5000, 2),
    "u5000x10": lambda p: inputs.unblocked(p, 5000, 10),
    "latin8": lambda p: inputs.square(p, 8),
    "latin11": lambda p: inputs.square(p, 11),
    "cores5m": lambda p: inputs.cores(p, 5_000_000),
    "cores5ms": lambda p: inputs.cores(p, 5_000_000, shuffled=True),
    "readings5000": lambda p: inputs.readings(p, 5000),
    "groups": lambda p: inputs.many_groups(p, 100_000),
    "places900": lambda p: inputs.places(p, 30, 30),
    "places1000": lambda p: inputs.places(p, 40, 25),
    "places2500": lambda p: inputs.places(p, 50, 50),
    "places5000": lambda p: inputs.places(p, 100, 50),
    "round200": lambda p: inputs.outline(p, 200),
    "round250000": lambda p: inputs.outline(p, 250_000),
}
