"""The counts that are filled in: the same for every program. Row 0 is the first below the header."""


def count(row):
    """0, 1 and larger counts; every seventh row was not counted."""
    return None if row % 7 == 3 else (row * 5) % 9


def note(row):
    """Words that a spreadsheet would run if it took them for more than words."""
    return "=1+1" if row == 0 else ("+wet" if row == 1 else None)
