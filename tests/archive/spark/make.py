"""A small table of an invented association: `python3 make.py OUT.csv`. Standard library alone; everything is made up."""

import random
import sys

BLOCKS, CORES = 6, 4


def main():
    draw = random.Random(20260918)
    with open(sys.argv[1], "w", encoding="utf-8") as out:
        print("trial,club,season,soil,date,treatment,block,plot,count", file=out)
        for number in range(24):
            club = f"Club {number % 6}, St. Anne's" if number % 6 else "Höhe & Tal"
            club = f'"{club}"'
            season = 2024 + number % 3
            effect = 0.5 * draw.lognormvariate(0, 0.2)
            for block in range(1, BLOCKS + 1):
                ground = 3 * draw.lognormvariate(0, 0.4)
                for plot, method in enumerate(["uncovered", "covered"]):
                    mean = ground * draw.gammavariate(2, 0.5) * (effect if method == "covered" else 1)
                    for _ in range(CORES):
                        # Arrivals of a Poisson process within one unit of time.
                        count, time = 0, draw.expovariate(mean)
                        while time < 1:
                            count, time = count + 1, time + draw.expovariate(mean)
                        word = "twleve" if (number, block, plot, count) == (7, 1, 0, count) else count
                        row = [f"t{number}", club, season, ["sand", "loam"][number % 2], f"{season}-09-18", method, block]
                        print(*row, 2 * block + plot, word, sep=",", file=out)


if __name__ == "__main__":
    main()
