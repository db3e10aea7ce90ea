"""The trials and tables on which two builds are compared: as different from one another as they can be."""
from field import Field
from protocols import (
    BEFORE, FIVE, FOUR, LATER, LONG, MAIN, SMALL, SQUARE, SURFACED, THREE, TWO, WORTH, ZONED, dawns, factors, greens,
    protocol, treatments,
)


class Trial:
    """A folder: what its owner brings, how its counts come about, and which commands are asked beside the usual ones."""

    def __init__(self, name, text, field, outlines=None, events=None, nights=False, count_first=False, also=()):
        self.name, self.text, self.field = name, text, field
        self.outlines = outlines or {"outline.csv": SQUARE}
        self.events, self.nights, self.count_first, self.also = events, nights, count_first, also


HALF = {"C": 0.4}
MIXED = {"C": 0.3, "S": 0.7, "D": 1.0, "R": 1.3}
BEFORE_MAIN = ("before", "main")
ALL_THREE = ("before", "main", "later")
NEXT = ["next", ".", "--trials", "200", "--blocks", "4-8", "--cores", "2,4", "--seed", "3"]
SPOTS = ["hotspots", ".", "--permutations", "199", "--seed", "3"]
SHEETING = ("sheeting", "covering", ["none", "one night", "two nights"])
SLITTING = ("aeration", "aeration", ["none", "slit"])
GREENS = [("3rd", "a.csv", 4), ("7th", "b.csv", 3)]
MORE_GREENS = [*GREENS, ("9th", "c.csv", 3)]
OUTLINES = {"a.csv": SQUARE, "b.csv": LONG, "c.csv": SMALL}
READ = 'name = "looks"\nkind = "{}"\nunit = "as read"\n'


def events(*lines):
    return "plot,date,event,covered_fraction,note\n" + "".join(f"{line}\n" for line in lines)


TRIALS = [
    Trial("pairs-few", protocol("paired", 4, treatments(TWO), 11), Field(left=HALF), also=[NEXT]),
    Trial("pairs-before", protocol("paired", 9, treatments(TWO), 12, when=BEFORE), Field(left=HALF, occasions=BEFORE_MAIN),
          {"outline.csv": LONG}, also=[NEXT, SPOTS]),
    Trial("pairs-many", protocol("paired", 30, treatments(TWO), 13, plot=(2.0, 1.5, 0.2)), Field(left={"C": 0.6}, k=0.8)),
    Trial("pairs-one", protocol("paired", 1, treatments(TWO), 14), Field(left=HALF)),
    Trial("blocks-three", protocol("randomised-blocks", 6, treatments(THREE), 15), Field(left=MIXED, k=0.6), also=[NEXT]),
    Trial("blocks-four-twice-control", protocol("randomised-blocks", 5, treatments(FOUR), 16, "control_plots = 2\n"),
          Field(left=MIXED, lost={("main", "3"), ("main", "17")})),
    Trial("blocks-five-over-time", protocol("randomised-blocks", 4, treatments(FIVE), 17, when=LATER),
          Field(left=MIXED, occasions=ALL_THREE, follow_up_left={"C": 0.8}, lost={("before", "2"), ("later", "5")}),
          also=[SPOTS]),
    Trial("random-two", protocol("completely-randomised", 10, treatments(TWO), 18), Field(left=HALF, k=1.0)),
    Trial("random-uneven", protocol("completely-randomised", 5, treatments(THREE), 19, "control_plots = 2\nangle_deg = 20\n"),
          Field(left=MIXED)),
    Trial("latin-four", protocol("latin-square", 1, treatments(FOUR), 20, plot=(3.0, 3.0, 0.5)), Field(left=MIXED, mean=8.0)),
    Trial("latin-five-before", protocol("latin-square", 1, treatments(FIVE), 21, plot=(3.0, 3.0, 0.2), when=BEFORE),
          Field(left=MIXED, mean=5.0, occasions=BEFORE_MAIN)),
    Trial("split-plot", protocol("split-plot", 5, factors([("sheeting", "covering", ["none", "night"]), SLITTING]), 22,
                                 'whole_plots = [["U", "A"], ["S", "SA"]]\n'), Field(left={"S": 0.4, "SA": 0.3, "A": 0.8})),
    Trial("factors", protocol("randomised-blocks", 4, factors([SHEETING, SLITTING]), 23, plot=(3.0, 1.5, 0.2)),
          Field(left={"S1": 0.6, "S2": 0.4, "S1A": 0.5, "S2A": 0.3})),
    Trial("crossover-two", protocol("crossover", 4, treatments(TWO), 24, response=SURFACED, when=dawns(2),
                                    decision="worthwhile_increase_percent = 50\n"),
          Field(mean=6.0, left={"C": 2.0}), nights=True),
    Trial("crossover-carry-over", protocol("crossover", 2, treatments(THREE), 25, 'balance = "carry-over"\n', when=dawns(3),
                                           response=SURFACED, decision="worthwhile_increase_percent = 50\n"),
          Field(mean=9.0, left={"C": 1.8, "S": 1.1}), nights=True),
    Trial("two-greens", protocol("paired", 7, treatments(TWO), 26, green=greens(GREENS)), Field(left=HALF), OUTLINES,
          also=[SPOTS]),
    Trial("three-greens", protocol("randomised-blocks", 10, treatments(THREE), 27, green=greens(MORE_GREENS), when=BEFORE),
          Field(left=MIXED, occasions=BEFORE_MAIN), OUTLINES, also=[NEXT]),
    Trial("zones", protocol("randomised-blocks", 6, treatments(THREE), 28, 'block_by = "zones"\n'), Field(left=MIXED),
          {"outline.csv": ZONED}),
    Trial("edge-distance", protocol("paired", 8, treatments(TWO), 29, 'block_by = "edge-distance"\n'), Field(left=HALF)),
    Trial("before-counts", protocol("paired", 8, treatments(TWO), 30, 'block_by = "before-counts"\n', when=BEFORE),
          Field(left=HALF, occasions=BEFORE_MAIN), count_first=True),
    Trial("rules", protocol("randomised-blocks", 5, treatments(FOUR), 31,
                            'rules = ["not-twice-in-a-row", "not-like-the-block-before"]\n'), Field(left=MIXED)),
    Trial("events", protocol("paired", 10, treatments(TWO), 32), Field(left=HALF),
          events=events("2,,blown off,0.4,gale", "5,,sheet laid,1,", "8,,blown off,0,")),
    Trial("stages-areas", protocol("randomised-blocks", 6, treatments(THREE), 33), Field(left=MIXED, stages=True, areas=True)),
    Trial("score", protocol("paired", 9, treatments(TWO), 34, response=READ.format("score"),
                            decision="worthwhile_difference = 1\n"),
          Field(left=HALF, reading=("score", 5.0, 0.8, 2.0), lost={("main", "4")})),
    Trial("cover", protocol("randomised-blocks", 7, treatments(THREE), 35, response=READ.format("cover"),
                            decision="worthwhile_difference = 5\n"), Field(left=MIXED, reading=("cover", 60.0, 6.0, 12.0))),
    Trial("length", protocol("completely-randomised", 8, treatments(THREE), 36, response=READ.format("length"),
                             decision="worthwhile_difference = 5\n"), Field(left=MIXED, reading=("length", 40.0, 5.0, 9.0))),
    Trial("edge", protocol("paired", 8, treatments(TWO), 37, response=READ.format("edge"),
                           decision="worthwhile_difference = 0.5\n"), Field(left=HALF, reading=("edge", 5.0, 0.4, 1.2))),
    Trial("reference", protocol("randomised-blocks", 9, treatments(THREE), 38,
                                decision=f'{WORTH}alpha = 0.1\nreference = "C"\nmargin_percent = 30\n'),
          Field(left={"C": 0.3, "S": 0.32}, mean=12.0, k=4.0)),
    Trial("nothing-anywhere", protocol("paired", 6, treatments(TWO), 39), Field(mean=0.0)),
    Trial("wiped-out", protocol("randomised-blocks", 6, treatments(THREE), 40), Field(left={"C": 0.0, "S": 1.0})),
    Trial("empty-control", protocol("paired", 7, treatments(TWO), 41), Field(left={"U": 0.0})),
    Trial("random-scatter", protocol("paired", 12, treatments(TWO), 42), Field(left={"C": 0.5}, k=None, block_sd=0.1)),
    Trial("very-clumped", protocol("randomised-blocks", 8, treatments(FOUR), 43, plot=(3.0, 1.5, 0.2)),
          Field(left=MIXED, k=0.15, mean=4.0)),
    Trial("sparse", protocol("paired", 24, treatments(TWO), 44, plot=(2.0, 1.5, 0.2)), Field(left=HALF, mean=0.15)),
    Trial("huge", protocol("paired", 6, treatments(TWO), 45, when=MAIN), Field(left=HALF, mean=90000.0)),
]

WORMS = "--count worms --treatment trt --control O --row row --column col"
SPRAYS = "--count count --treatment spray --control A"
EEL = "--count final --treatment fumigant --control Con --block block --before initial --worthwhile 30 --alpha 0.1"
CORES = "--count y --treatment trt --control T1 --block block --plot plot"



def webworms(root):
    """The published webworms with a column that names the plot: a treatment's place in a block."""
    head, *lines = (root / "tests/published/beall_webworms.csv").read_text().splitlines()
    cells = [line.split(",") for line in lines]
    return "\n".join([head + ",plot", *(",".join([*c, f"{c[3]} {c[4]}"]) for c in cells)]) + "\n"


# Command lines about tables that lie in the project, whose folder is `{}`, and about `webworms.csv`.
TABLES = {
    "wireworms": "judge --counts {}/data-examples/published/cochran_wireworms.csv " + WORMS,
    "sprays": "judge --counts {}/data-examples/published/insect_sprays_beall1942.csv " + SPRAYS,
    "sprays-not-randomised": "judge --counts {}/data-examples/published/insect_sprays_beall1942.csv --not-randomised "
                             + SPRAYS,
    "eelworms": "judge --counts {}/data-examples/published/cochran_eelworms.csv " + EEL,
    "eelworms-more": "judge --better more --counts {}/data-examples/published/cochran_eelworms.csv " + EEL,
    "webworms": "judge --counts webworms.csv " + CORES,
    "webworms-lines": "judge --counts {}/tests/published/beall_webworms.csv --count y --treatment trt --control T1"
                      " --block block",
    "all-zero-arm": "judge --counts {}/tests/reference/data/all_zero_treatment.csv --count y --treatment trt --control C"
                    " --block block",
    "underdispersed": "judge --counts {}/tests/reference/data/underdispersed_rcbd.csv --count y --treatment trt --control C"
                      " --block block --reference A",
    "grain": "judge --counts {}/data-examples/published/cochran_eelworms.csv --count straw --treatment fumigant --control Con"
             " --block block --response length",
    "describe-groups": "describe {}/data-examples/published/cochran_eelworms.csv --count final --group block",
    "describe-frequency": "describe {}/tests/published/student_yeast.csv --count count --frequency freq --group sample",
    "spots-ground": "hotspots --counts {}/data-examples/ground-survey/cores.csv --x x_m --y y_m --count larvae"
                    " --ground moisture_pct,shade --with moisture_pct --outline {}/data-examples/demo-club/outline.csv"
                    " --sheet 150 --permutations 199 --seed 2",
    "spots-distance": "hotspots --counts {}/data-examples/ground-survey/cores.csv --x x_m --y y_m --count larvae"
                      " --weights distance:4 --direction 90 --outline {}/data-examples/demo-club/outline.csv"
                      " --permutations 199 --seed 2",
    "positions": "hotspots --positions {}/data-examples/ground-survey/holes.csv --x x_m --y y_m"
                 " --outline {}/data-examples/ground-survey/sheet.csv --permutations 199 --seed 2",
    "next": "next --k 1 --mean 2 --reduction 50 --cores 4,8 --blocks 6-9 --seed 1 --trials 400 --cost-plot 10 --cost-core 2",
    "next-looks": "next --k-range 0.5,3 --mean 3 --reduction 40 --blocks 8,12 --cores 5 --methods 3 --looks 0.5,1"
                  " --missing 0.1 --block-sd 0.3 --seed 1 --trials 100",
    "sprt": "stopline --kind sprt --lower 1 --upper 2 --k 1.5",
    "sprt-tally": "stopline --kind sprt --lower 0.5 --upper 1.5 --k 1 --tally 1",
    "iwao": "stopline --kind iwao --lower 1 --upper 3 --iwao 0.5,1.2",
    "green": "stopline --kind green --lower 1 --upper 4 --taylor 2,1.4",
    "grid-square": "grid {}/data-examples/demo-club/outline.csv --points 30 --margin 1 --seed 1",
    "grid-triangular": "grid {}/data-examples/demo-club/outline.csv --spacing 4 --pattern triangular --seed 1",
    "grid-random": "grid {}/data-examples/demo-club/outline.csv --points 25 --pattern random --seed 1",
    "grid-stratified": "grid {}/data-examples/demo-club/outline.csv --points 25 --pattern stratified --seed 1",
    "grid-zigzag": "grid {}/data-examples/demo-club/outline.csv --points 20 --pattern zigzag --seed 1",
    "grid-precision": "grid {}/data-examples/demo-club/outline.csv --precision 0.2 --mean 2 --k 1 --core-area 0.01 --seed 1",
}
