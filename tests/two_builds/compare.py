#!/usr/bin/env python3
"""Do two builds of halfgreen give the same draws and the same numbers?

    python3 tests/two_builds/compare.py OLD NEW [--renamed KEYS.tsv] [--tolerance 1e-9] [--words] [--only TEXT] [--keep DIR]

lays out and judges every trial of cases.py with both programs, and asks both about the tables. `layout.csv` and the seal
(all but its time and the digest over it) must agree byte for byte, every number of every JSON document to the relative tolerance, every code
exactly. Sentences may differ; `--words` prints those that do. KEYS.tsv has lines `old<TAB>new` for keys and codes that
were renamed. Ends with 1 if anything differs. Needs Python 3.9 and nothing else.
"""
import argparse
import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from cases import TABLES, TRIALS, webworms
from sameness import Comparison, Renamed

ROOT = Path(__file__).resolve().parents[2]
# Differences printed of one case.
MOST = 12


class NothingLaidOut(Exception):
    """A trial of cases.py that a build cannot lay out."""


class Build:
    """One of the two programs, with a folder for what it writes."""

    def __init__(self, program, folder):
        self.program, self.folder = os.path.abspath(program), folder

    def run(self, where, arguments):
        done = subprocess.run([self.program, *arguments], cwd=where, capture_output=True, text=True, check=False)
        return done.returncode, done.stdout, done.stderr

    def json(self, where, arguments):
        """Exit code and document; what was said in its place where there is no document."""
        code, out, said = self.run(where, [*arguments, "--json"])
        try:
            document = json.loads(out)
            document.pop("halfgreen", None)
        except json.JSONDecodeError:
            document = {"refusal": said}
        return {"exit code": code, "document": document}


def laid_out(build, trial, counts):
    """The folder with its layout. `counts` are the ones the old build's layout led to; the old build makes them."""
    where = build.folder / trial.name
    where.mkdir(parents=True)
    (where / "trial.toml").write_text(trial.text)
    for name, text in trial.outlines.items():
        (where / name).write_text(text)
    answers = {"layout": build.json(where, ["layout", "."])}
    if trial.count_first:
        first = (where / "plots-to-count.csv").read_text()
        before = trial.field.counts(trial.name, with_treatment(first)) if counts is None else counts
        kept = [line for line in before.splitlines() if ",main," not in line]
        (where / "counts.csv").write_text("\n".join(kept) + "\n")
        answers["layout again"] = build.json(where, ["layout", "."])
    drawn = where / "layout.csv"
    if not drawn.exists():
        raise NothingLaidOut(f"{build.program} laid nothing out: {answers}")
    if counts is None:
        counts = (trial.field.nights if trial.nights else trial.field.counts)(trial.name, drawn.read_text())
        if trial.count_first:
            # Blocks stand in the counts' random ground: the ones before treatment stay as they were counted.
            after = [line for line in counts.splitlines() if ",main," in line]
            counts = "\n".join(kept + after) + "\n"
    (where / "counts.csv").write_text(counts)
    if trial.events:
        (where / "events.csv").write_text(trial.events)
    return where, counts, answers


def with_treatment(plots):
    """A list of plots that are not drawn yet, as a layout in one block without treatments."""
    head, *lines = plots.splitlines()
    return "\n".join([head + ",block,treatment", *(line + ",1,none" for line in lines)])


def judged(build, trial, where, answers):
    for arguments in [["layout", ".", "--verify"], ["check", "."], ["judge", "."], ["report", "."], *trial.also]:
        answers[" ".join(arguments[:3])] = build.json(where, arguments)
    results = where / "report" / "results.json"
    if results.exists():
        document = json.loads(results.read_text())
        document.pop("halfgreen", None)
        answers["results.json"] = document
    return answers


def drawn(where):
    seal = (where / "seal.toml").read_text().splitlines()
    seal = [line for line in seal if not line.startswith(("time =", "digest ="))]
    return {"layout.csv": (where / "layout.csv").read_bytes(), "seal.toml": "\n".join(seal).encode()}


def compare_trial(old, new, trial, comparison):
    try:
        where, counts, answers = laid_out(old, trial, None)
        other_where, _, other = laid_out(new, trial, counts)
    except NothingLaidOut as fault:
        comparison.fault(trial.name, fault)
        return
    for name, text in drawn(where).items():
        if drawn(other_where)[name] != text:
            comparison.fault(f"{trial.name}.{name}", "differs")
    judged(old, trial, where, answers)
    if answers["judge ."]["exit code"] != 0:
        comparison.fault(trial.name, f"the old build does not judge it: {answers['judge .']}")
    comparison.compare(trial.name, answers, judged(new, trial, other_where, other))


def compare_table(old, new, name, line, comparison):
    arguments = shlex.split(line.replace("{}", str(ROOT)))
    answer = old.json(old.folder, arguments)
    if answer["exit code"] != 0:
        comparison.fault(name, f"the old build refuses it: {answer}")
    comparison.compare(name, answer, new.json(new.folder, arguments))


def compare_demo(old, new, comparison):
    for build in (old, new):
        build.answer = {"demo": build.json(build.folder, ["demo", "club"])}
        build.answer["results.json"] = json.loads((build.folder / "club/report/results.json").read_text())
        build.answer["results.json"].pop("halfgreen", None)
    comparison.compare("demo", old.answer, new.answer)


def tell(comparisons, renamed, words):
    faults = [fault for c in comparisons for fault in c.faults]
    sentences = [s for c in comparisons for s in c.sentences]
    largest = max(comparisons, key=lambda c: c.largest)
    added = sorted({a.split(".", 1)[1] for c in comparisons for a in c.added})
    if words:
        for path, a, b in sentences:
            print(f"{path}\n  - {a}\n  + {b}")
    for comparison in comparisons:
        for fault in comparison.faults[:MOST]:
            print("DIFFERS", fault)
        if len(comparison.faults) > MOST:
            print(f"        and {len(comparison.faults) - MOST} more of this case")
    print(f"{len(comparisons)} cases; {sum(c.numbers for c in comparisons)} numbers, the largest relative difference "
          f"{largest.largest:.1e} {largest.largest_at}; {sum(c.codes for c in comparisons)} codes; "
          f"{len(sentences)} sentences differ; {len(added)} keys are new")
    unused = sorted(set(renamed.words) - renamed.used)
    if unused:
        print("renamed, but never met:", ", ".join(unused))
    if added and words:
        print("new keys:", ", ".join(added))
    print("the same" if not faults else f"{len(faults)} differences")
    return 1 if faults else 0


def main():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("old")
    asked.add_argument("new")
    asked.add_argument("--renamed")
    asked.add_argument("--tolerance", type=float, default=1e-9)
    asked.add_argument("--words", action="store_true")
    asked.add_argument("--only", default="", help="cases whose name holds this text")
    asked.add_argument("--keep", help="new folder for what the two builds write")
    asked = asked.parse_args()
    folder = Path(asked.keep or tempfile.mkdtemp())
    old, new = (Build(p, folder / side) for p, side in ((asked.old, "old"), (asked.new, "new")))
    for build in (old, new):
        build.folder.mkdir(parents=True)
        (build.folder / "webworms.csv").write_text(webworms(ROOT))
    renamed = Renamed(asked.renamed)
    jobs = [(t.name, lambda c, t=t: compare_trial(old, new, t, c)) for t in TRIALS]
    jobs += [(n, lambda c, n=n, l=l: compare_table(old, new, n, l, c)) for n, l in TABLES.items()]
    jobs.append(("demo", lambda c: compare_demo(old, new, c)))
    comparisons = []
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        running = []
        for name, job in jobs:
            if asked.only in name:
                comparisons.append(Comparison(renamed, asked.tolerance))
                running.append(pool.submit(job, comparisons[-1]))
        for job in running:
            job.result()
    if not asked.keep:
        shutil.rmtree(folder)
    return tell(comparisons, renamed, asked.words)


if __name__ == "__main__":
    sys.exit(main())
