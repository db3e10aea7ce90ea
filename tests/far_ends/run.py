"""Runs the commands at the far ends of what their ranges allow, each within 10 seconds and a gigabyte.

    python3 tests/far_ends/run.py target/release/halfgreen [WORD]

With a word only the cases whose names hold it are run. Each line tells seconds of the clock and of the processors, megabytes at the most,
and how the command ended: 0 for an answer, 1 for a refusal with its first words. A case fails that takes longer or more, ends in
another way, or tells of a panic. Run it when a range or an algorithm changes, with nothing else on the machine.
"""

import os
import pathlib
import subprocess
import sys
import tempfile
import time

import cases
import inputs

SECONDS = 10.0
MEGABYTES = 1024.0
# A command that goes on for so much longer is stopped.
PATIENCE = 6


def run(program, arguments):
    """Seconds, processor seconds, megabytes, exit status and what was said on standard error."""
    with tempfile.TemporaryFile() as said:
        began = time.monotonic()
        process = subprocess.Popen([program, *arguments], stdout=subprocess.DEVNULL, stderr=said)
        while True:
            pid, status, used = os.wait4(process.pid, os.WNOHANG)
            took = time.monotonic() - began
            if pid:
                break
            if took > PATIENCE * SECONDS:
                process.kill()
            time.sleep(0.01)
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        words = said.read(4000).decode(errors="replace")
    return took, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, process.returncode, words


class Walk:
    def __init__(self, program, word):
        self.program, self.word, self.failed, self.done = program, word, [], 0

    def wanted(self, name):
        return self.word in name

    def case(self, name, arguments):
        took, cpu, memory, status, words = run(self.program, arguments)
        sound = took <= SECONDS and memory <= MEGABYTES and status in (0, 1) and "panicked" not in words
        first = next((line for line in words.splitlines() if line.strip()), "") if status else ""
        self.done += 1
        print(f"{'ok ' if sound else 'NOT'} {took:6.2f} s {cpu:6.2f} cpu {memory:7.0f} MB  {status}  {name}  {first[:150]}", flush=True)
        if not sound:
            self.failed.append(name)
        return status == 0


def tables(walk, folder):
    for name, needs, arguments in cases.TABLES:
        if not walk.wanted(name):
            continue
        if needs:
            path = folder / f"{needs}.csv"
            if not path.exists():
                cases.MAKE[needs](path)
        walk.case(name, arguments.format(folder).split())


def trials(walk, folder):
    for number, (kind, blocks, treatments, cores) in enumerate(cases.TRIALS):
        about = f"{kind}, {blocks} x {treatments}"
        if not walk.wanted(about):
            continue
        home = folder / f"trial{number}"
        inputs.trial(home, kind, blocks, treatments, cores)
        for arguments in cases.OF_TRIAL:
            command = arguments.split()[0]
            answered = walk.case(f"{command}: {about}", [word.format(home) for word in arguments.split()])
            if command == "pack" and answered:
                inputs.counted(home)
            if command in ("layout", "pack") and not answered:
                break
    about = "500 000 lines of counts"
    home = folder / "trial0"
    if walk.wanted(about) and (home / "pack").exists():
        inputs.counted(home, 500_000)
        walk.case(f"check: {about}", ["check", str(home)])


def seasons(walk, folder):
    for about, corners in cases.SEASONS:
        if walk.wanted(about):
            home = folder / f"season{corners}"
            inputs.season(home, corners=corners)
            walk.case(about, ["season", str(home / "season.toml")])


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    walk = Walk(program, sys.argv[2] if len(sys.argv) > 2 else "")
    with tempfile.TemporaryDirectory(prefix="halfgreen-far-ends-") as folder:
        tables(walk, pathlib.Path(folder))
        trials(walk, pathlib.Path(folder))
        seasons(walk, pathlib.Path(folder))
    print(f"{walk.done} cases, {len(walk.failed)} beyond the bounds")
    if walk.done == 0:
        sys.exit("no case has that word in its name")
    if walk.failed:
        sys.exit("\n".join(["beyond the bounds:", *walk.failed]))


if __name__ == "__main__":
    main()
