"""Makes counts.csv: the trials of sixteen invented clubs. Nothing in it was ever counted.

    python3 make_clubs.py > counts.csv

Larvae lie in clumps (negative binomial); blocks differ; at each club a sheet leaves another share of them, more on loam
than on sand. Some clubs tried slits as well. The numbers follow from the seed alone.
"""

import math
import random

SEED = 20261130
CLUBS = [
    "Larkrise Park", "Amberley Heath", "Bramble Hill", "Cold Ashwell", "Dunmarsh", "Eastmere", "Foxley Green",
    "Gorse Bank", "Hazelwick", "Ivy Down", "Jackdaw Common", "Kestrel Ridge", "Long Meadow and District United Services",
    "Mill Weir", "Nettlecombe", "Otterbourne Vale",
]
K, MEAN, BLOCK_SD = 1.2, 14.0, 0.35
# Log ratio of what the sheet leaves, on average and from club to club; loam holds more back.
SHEET, CLUB_SD, LOAM = -0.85, 0.3, 0.45
SLITS = -0.1


def poisson(rng, mean):
    """Knuth's product of uniforms, in steps of at most 20 so that it does not underflow."""
    total = 0
    while mean > 0:
        step = min(mean, 20.0)
        mean -= step
        limit, product = math.exp(-step), rng.random()
        while product > limit:
            total += 1
            product *= rng.random()
    return total


def main():
    rng = random.Random(SEED)
    print("club,season,trial,soil,wetness,block,plot,treatment,larvae,cores_area_m2")
    for at, club in enumerate(CLUBS):
        soil = "loam" if at % 3 == 1 else "sand"
        wetness = ["dry", "moist", "wet"][at % 3 if at % 5 else 2]
        season = 2025 + at % 2
        blocks = 4 + at % 5
        methods = ["control", "sheet"] + (["slits"] if at % 2 else [])
        sheet = SHEET + rng.gauss(0, CLUB_SD) + (LOAM if soil == "loam" else 0)
        effects = {"control": 0.0, "sheet": sheet, "slits": SLITS + rng.gauss(0, CLUB_SD)}
        club_mean = MEAN * math.exp(rng.gauss(0, 0.5))
        # One club met hardly any larvae, and none under the sheet.
        if club == "Mill Weir":
            club_mean, effects["sheet"] = 1.5, -6.0
        for block in range(1, blocks + 1):
            ground = math.exp(rng.gauss(0, BLOCK_SD))
            order = methods[:]
            rng.shuffle(order)
            for place, method in enumerate(order):
                mean = club_mean * ground * math.exp(effects[method])
                found = str(poisson(rng, mean * rng.gammavariate(K, 1 / K)))
                # One hand wrote a word.
                if club == "Nettlecombe" and block == 2 and place == 0:
                    found = "twleve"
                plot = f"{block}{'abc'[place]}"
                print(f"{club},{season},{club} {season},{soil},{wetness},{block},{plot},{method},{found},0.0366")


if __name__ == "__main__":
    main()
