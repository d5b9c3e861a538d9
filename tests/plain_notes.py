"""Notes and chords by plain arithmetic modulo 12, for tests: it knows nothing of the library."""

from __future__ import annotations

from itertools import combinations, permutations

LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
KINDS = {
    "": (0, 4, 7), "m": (0, 3, 7), "+": (0, 4, 8), "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9),
    "7": (0, 4, 7, 10), "maj7": (0, 4, 7, 11), "m7": (0, 3, 7, 10), "m7b5": (0, 3, 6, 10),
    "sus4": (0, 5, 7), "7sus4": (0, 5, 7, 10), "7b5": (0, 4, 6, 10),
    "7b9": (0, 4, 7, 10, 1), "dim7": (0, 3, 6, 9),
}  # fmt: skip
TUNINGS = {"ukulele": (67, 60, 64, 69), "baritone ukulele": (50, 55, 59, 64)}
Notes = frozenset[int]


def note(name: str) -> int:
    return (LETTERS[name[0]] + name.count("#") - name.count("b")) % 12


def chord(symbol: str) -> Notes:
    long = 2 if symbol[1:2] in ("b", "#") and symbol[1:] not in KINDS else 1
    return turned(frozenset(KINDS[symbol[long:]]), note(symbol[:long]))


def turned(notes: Notes, by: int) -> Notes:
    return frozenset((each + by) % 12 for each in notes)


def apart(one: int, other: int) -> int:
    return min((one - other) % 12, (other - one) % 12)


def moved(one: Notes, other: Notes) -> int:
    """The least semitones in all, of every way to pair the notes."""
    start = sorted(one)
    return min(sum(map(apart, start, ends)) for ends in permutations(other))


def steps(notes: Notes, low: int) -> str:
    from_low = [*sorted((each - low) % 12 for each in notes), 12]
    return " ".join(str(b - a) for a, b in zip(from_low, from_low[1:], strict=False))


def fretted(frets: str, tuning: tuple[int, ...]) -> list[int]:
    return [
        (low + int(fret)) % 12 for low, fret in zip(tuning, frets.replace("-", ""), strict=True)
    ]


DIMINISHED = [turned(chord("Cdim7"), up) for up in range(3)]
FOURS = [frozenset(each) for each in combinations(range(12), 4)]
