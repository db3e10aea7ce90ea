"""Every figure that the program draws, in the shapes that strain it, on one page to look at.

    python3 tests/gallery/make.py target/release/halfgreen FOLDER

makes trials of an invented club in FOLDER, which must be new (2 to 12 treatments, 3 to 125 blocks, names of one letter and of sixty, nothing found at all, several
occasions, several greens, readings, factors), runs the commands on them and gathers the figures in FOLDER/gallery.html. All counts follow from fixed
seeds. Look at it in colour and in grey; `tests/browser/gallery.cjs` finds lettering that lies on other lettering or is cut off.
"""

import html
import pathlib
import re
import subprocess
import sys

import trials

def run(program, *arguments):
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode:
        sys.exit(f"{' '.join(map(str, arguments))}: {done.stderr[:600]}")


def trial(program, folder, case):
    """The figures of one trial, by their names."""
    home = folder / case.name.replace(" ", "-")
    trials.write(home, case)
    run(program, "layout", home)
    run(program, "pack", home)
    trials.count(home, case)
    run(program, "report", home)
    drawn = [*pictures(home), *pictures(home / "report")]
    if case.places:
        drawn += into(program, home / "where", "hotspots", home)
    if case.sized:
        drawn += into(program, home / "size", "next", home)
    return drawn


def pictures(folder):
    return sorted(folder.glob("*.svg"))


def into(program, folder, *arguments):
    """The pictures of a command that is told where to put them."""
    run(program, *arguments, "--out", folder)
    return pictures(folder)


def alone(program, folder, examples):
    """Figures that need no trial."""
    survey = examples / "published" / "insect_sprays_beall1942.csv"
    counted = folder / "described.svg"
    run(program, "describe", survey, "--count", "count", "--figure", counted)
    outline = folder / "demo" / "outline.csv"
    return [
        *into(program, folder / "lines", "stopline", "--lower", 1, "--upper", 3, "--k", 0.8),
        *into(program, folder / "grid", "grid", outline, "--points", 40),
        counted,
    ]


def apart(svg, number):
    """A figure whose identifiers are its own among many."""
    for own in set(re.findall(r' id="([^"]+)"', svg)):
        svg = re.sub(rf'(?<=["#( ]){re.escape(own)}(?=[") ])', f"{own}-{number}", svg)
    return svg


def page(groups):
    parts = []
    for name, drawn in groups:
        parts.append(f"<section><h2>{html.escape(name)}</h2>")
        for path in drawn:
            parts.append(f'<figure data-of="{html.escape(name)}: {path.name}">{apart(path.read_text(), len(parts))}<figcaption>{path.name}</figcaption></figure>')
        parts.append("</section>")
    style = (
        "body{font-family:Arial,Helvetica,'Liberation Sans',sans-serif;margin:1rem}section{display:flex;flex-wrap:wrap;gap:1rem;border-top:1px solid}"
        "h2{width:100%}figure{margin:0;width:40rem;max-width:100%}figure svg{width:100%;height:auto}.grey{filter:grayscale(1)}"
    )
    return (
        f'<!doctype html><html lang="en-GB"><meta charset="utf-8"><title>All figures</title><style>{style}</style>'
        f"<h1>All figures</h1><p>Club and counts are invented.</p>{''.join(parts)}</html>"
    )


def main():
    program, folder = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2])
    folder.mkdir(parents=True)
    groups = [(case.name, trial(program, folder, case)) for case in trials.CASES]
    examples = pathlib.Path(__file__).resolve().parents[2] / "data-examples"
    groups.append(("without a trial", alone(program, folder, examples)))
    (folder / "gallery.html").write_text(page(groups))
    print(f"{sum(len(drawn) for _, drawn in groups)} figures of {len(groups)} cases in {folder / 'gallery.html'}")


if __name__ == "__main__":
    main()
