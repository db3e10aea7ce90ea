"""Text of a trial.toml and of outlines, from what makes a trial different from another."""

SQUARE = "x_m,y_m\n0,0\n40,0\n40,40\n0,40\n"
LONG = "x_m,y_m\n0,0\n60,0\n64,12\n55,30\n20,34\n-4,16\n"
SMALL = "x_m,y_m\n0,0\n24,0\n24,20\n0,20\n"
ZONED = (
    "x_m,y_m,part\n0,0,\n40,0,\n40,40,\n0,40,\n"
    "1,1,zone wet\n20,1,zone wet\n20,39,zone wet\n1,39,zone wet\n"
    "20,1,zone dry\n39,1,zone dry\n39,39,zone dry\n20,39,zone dry\n"
    "18,18,hole bunker\n22,18,hole bunker\n22,22,hole bunker\n18,22,hole bunker\n"
)

TWO = [("U", "uncovered", "other"), ("C", "covered overnight", "covering")]
THREE = [*TWO, ("S", "slit", "aeration")]
FOUR = [*THREE, ("D", "drenched", "other")]
FIVE = [*FOUR, ("R", "rolled", "other")]


def treatments(listed):
    text = ""
    for at, (code, name, kind) in enumerate(listed):
        control = "control = true\n" if at == 0 else ""
        text += f'\n[[treatment]]\ncode = "{code}"\nname = "{name}"\nkind = "{kind}"\n{control}'
    return text


def factors(listed):
    text = ""
    for name, kind, levels in listed:
        named = ", ".join(f'"{level}"' for level in levels)
        text += f'\n[[factor]]\nname = "{name}"\nkind = "{kind}"\nlevels = [{named}]\n'
    return text


def greens(listed):
    return "".join(f'\n[[green]]\nname = "{n}"\noutline = "{f}"\nblocks = {b}\n' for n, f, b in listed)


def occasions(listed):
    return "".join(f'\n[[occasion]]\nname = "{name}"\nrole = "{role}"\n' for name, role in listed)


MAIN = [("main", "main")]
BEFORE = [("before", "before"), *MAIN]
LATER = [*BEFORE, ("later", "follow-up")]


def dawns(number):
    return [(f"dawn-{n}", "main") for n in range(1, number + 1)]


COUNTED = 'name = "larvae in cores"\ncores_per_plot = 3\narea_m2 = 0.01\n'
SURFACED = 'name = "larvae on the surface at dawn"\nbetter = "more"\ncores_per_plot = 1\narea_m2 = 0.25\n'
WORTH = "worthwhile_reduction_percent = 40\n"


def protocol(kind, blocks, what, seed, design="", plot=(4.0, 2.0, 0.5), response=COUNTED, when=None, decision=WORTH,
             green=""):
    length, width, guard = plot
    return (
        '[trial]\ntitle = "Compared builds"\nquestion = "Is anything different?"\n'
        f"{what}{green}\n"
        f'[design]\nkind = "{kind}"\nblocks = {blocks}\nseed = {seed}\n{design}\n'
        f"[plot]\nlength_m = {length}\nwidth_m = {width}\nguard_m = {guard}\n\n"
        f"[response]\n{response}"
        f"{occasions(MAIN if when is None else when)}\n"
        f"[decision]\n{decision}"
    )
