"""Whether two JSON documents say the same: numbers to a relative tolerance, codes exactly, sentences not at all.

A key that was renamed is looked up in a map, so that only what changed unasked is a fault. A key that only the new
document has is no fault: keys are added, never silently lost.
"""

# Below this two numbers are both rounding about zero, such as the sum of residuals.
ZERO = 1e-14


class Renamed:
    """Old keys and codes with their new names, from lines `old<TAB>new`.

    `old` is a bare word, or a path that ends with it, such as `contrasts.p_model`; the longest that fits wins. A
    new name that is empty says that the key was dropped on purpose.
    """

    def __init__(self, path=None):
        self.words, self.used = {}, set()
        if path is None:
            return
        with open(path, encoding="utf-8") as lines:
            for line in lines:
                cells = line.rstrip("\n").split("\t")
                if line.strip() and not line.startswith("#") and cells[0] != "old":
                    self.words[cells[0]] = cells[1].strip() if len(cells) > 1 else ""

    def key(self, path, word):
        parts = [p for p in path.split(".") if not p.isdigit()] + [word]
        for start in range(len(parts)):
            old = ".".join(parts[start:])
            if old in self.words:
                self.used.add(old)
                return self.words[old]
        return word

    def code(self, word):
        if word in self.words:
            self.used.add(word)
            return self.words[word]
        return word


class Comparison:
    """What was compared, and what differs."""

    def __init__(self, renamed, tolerance):
        self.renamed, self.tolerance = renamed, tolerance
        self.numbers = self.codes = 0
        self.faults, self.sentences, self.added = [], [], set()
        self.largest, self.largest_at = 0.0, ""

    def fault(self, path, text):
        self.faults.append(f"{path}: {text}")

    def compare(self, path, old, new):
        if isinstance(old, dict) and isinstance(new, dict):
            self.objects(path, old, new)
        elif isinstance(old, list) and isinstance(new, list):
            if len(old) != len(new):
                self.fault(path, f"{len(old)} entries became {len(new)}")
            for at, (a, b) in enumerate(zip(old, new)):
                self.compare(f"{path}.{at}", a, b)
        elif is_number(old) and is_number(new):
            self.number(path, old, new)
        elif isinstance(old, str) and isinstance(new, str):
            self.text(path, old, new)
        elif type(old) is not type(new) or old != new:
            self.fault(path, f"{short(old)} became {short(new)}")

    def objects(self, path, old, new):
        met = set()
        for key, value in old.items():
            name = self.renamed.key(path, key)
            if name == "":
                continue
            if name not in new and key in new:
                name = key
            met.add(name)
            if name in new:
                self.compare(f"{path}.{key}", value, new[name])
            else:
                self.fault(f"{path}.{key}", f"is gone (looked for `{name}`)")
        self.added.update(f"{path}.{key}" for key in new.keys() - met)

    def number(self, path, old, new):
        self.numbers += 1
        size = max(abs(old), abs(new))
        if old == new or size < ZERO:
            return
        relative = abs(old - new) / size
        if relative > self.largest:
            self.largest, self.largest_at = relative, path
        if relative > self.tolerance:
            self.fault(path, f"{old!r} became {new!r} (relative {relative:.1e})")

    def text(self, path, old, new):
        if " " in old.strip():
            if old != new:
                self.sentences.append((path, old, new))
            return
        self.codes += 1
        if new not in (old, self.renamed.code(old)):
            self.fault(path, f'"{old}" became "{new}"')


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def short(value):
    text = repr(value)
    return text if len(text) < 60 else text[:57] + "..."
