"""Two builds of halfgreen as whole processes, run by turns: which is faster?

    python3 analysis/benches/whole_process.py OLD NEW TRIAL... [--runs 15]

For every trial folder `judge` and `report`, each on a copy made beforehand. By turns, so that a busy machine is busy
for both; the best of the runs is shown, wall and processor time, with the load of the machine. Processor time comes
in steps of the kernel's clock, often 10 ms. Needs Python 3.9 and nothing else.
"""

import argparse
import os
import shutil
import subprocess
import tempfile
import time
from pathlib import Path


def run(program: Path, command: str, trial: Path) -> tuple[float, float]:
    """Wall and processor seconds of one run; ends everything if the run fails."""
    before, start = os.times(), time.perf_counter()
    subprocess.run([program, command, trial, "--json"], check=True, stdout=subprocess.DEVNULL)
    wall, after = time.perf_counter() - start, os.times()
    spent = after.children_user + after.children_system
    return wall, spent - before.children_user - before.children_system


def best(programs: list[Path], command: str, trial: Path, runs: int) -> list[tuple[float, float]]:
    """Best wall and processor seconds of every program, run by turns."""
    with tempfile.TemporaryDirectory() as folder:
        copies = [Path(folder) / str(at) for at in range(len(programs))]
        for copy in copies:
            shutil.copytree(trial, copy)
        least = [(float("inf"), float("inf"))] * len(programs)
        for _ in range(runs):
            for at, program in enumerate(programs):
                took = run(program, command, copies[at])
                least[at] = (min(least[at][0], took[0]), min(least[at][1], took[1]))
        return least


def main() -> None:
    """Reads the arguments and prints a line for each command and trial."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("old", type=Path)
    arguments.add_argument("new", type=Path)
    arguments.add_argument("trials", type=Path, nargs="+")
    arguments.add_argument("--runs", type=int, default=15)
    asked = arguments.parse_args()
    programs = [asked.old.resolve(), asked.new.resolve()]
    print(f"{'':30} {'old':>9} {'new':>9} {'ratio':>6} {'old CPU':>9} {'new CPU':>9}")
    for trial in asked.trials:
        for command in ("judge", "report"):
            (old, old_cpu), (new, new_cpu) = best(programs, command, trial, asked.runs)
            name = f"{command} {trial.name}"
            print(
                f"{name:30} {1e3 * old:6.1f} ms {1e3 * new:6.1f} ms {new / old:6.2f}"
                f" {1e3 * old_cpu:6.0f} ms {1e3 * new_cpu:6.0f} ms"
            )
    loads = ", ".join(f"{load:.1f}" for load in os.getloadavg())
    print(f"best of {asked.runs} runs by turns; {os.cpu_count()} cores, load over 1, 5 and 15 minutes: {loads}")


if __name__ == "__main__":
    main()
