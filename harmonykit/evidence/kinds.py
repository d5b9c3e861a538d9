"""Kinds of chord that were counted, in one of two styles; and the tables of counts and weights.

*jazz* has the eleven kinds of the jazz collection, *plain* the triads of the popular songs and the
dominant seventh.  What is reduced are the semitones above the root; a bass of its own is left out.
The rules, in their order (common practice, no source):

- No third: with a second or fourth it is *sus*; else it is a major chord (*6*) in jazz, *5* when
  plain.  Both thirds (a sharp ninth) are a major third.
- A minor third over a diminished fifth, without a perfect one: with a minor seventh *m7b5*, else
  *dim7* (the triad too); when plain both are *dim*.
- A minor third else: *m7* with a minor seventh, *mmaj7* with a major one, *m6* with a sixth, *m*.
- A major third: *7* with a minor seventh, whatever is altered; *maj7* with a major one; *+* with an
  augmented fifth alone; else *6*, the major triad too.  When plain *7*, *aug* and *maj*.

Each table has its source and its licence in it.
"""

import json
from collections.abc import Collection, Iterable
from functools import cache
from pathlib import Path
from typing import Any

JAZZ, PLAIN = "jazz", "plain"
STYLES = (JAZZ, PLAIN)
KINDS = {
    JAZZ: ("7", "m7", "maj7", "6", "m7b5", "m", "dim7", "sus", "m6", "mmaj7", "+"),
    PLAIN: ("maj", "min", "7", "5", "sus", "dim", "aug"),
}
# What sounds alike for a key: (M)ajor, minor (m), (D)ominant, (h)alf or whole (o) diminished.
FAMILIES = {
    "7": "D", "sus": "D", "+": "D", "m7": "m", "m": "m", "m6": "m", "mmaj7": "m", "maj7": "M",
    "6": "M", "m7b5": "h", "dim7": "o", "maj": "M", "min": "m", "5": "M", "dim": "o", "aug": "D",
}  # fmt: skip


def kind_of(semitones: Collection[int], style: str = JAZZ) -> str:
    """Return the kind that a chord is counted as.

    Parameters
    ----------
    semitones : collection of int in 0..11
        Above the root.
    style : {"jazz", "plain"}

    Examples
    --------
    >>> [kind_of(each) for each in ((0, 4, 7), (0, 4, 7, 10, 2, 9), (0, 3, 6, 9), (0, 5, 7))]
    ['6', '7', 'dim7', 'sus']
    >>> [kind_of(each, "plain") for each in ((0, 4, 7), (0, 3, 7, 10), (0, 7))]
    ['maj', 'min', '5']
    """
    has = frozenset(semitones)
    jazz = style == JAZZ
    if not has & {3, 4}:
        return "sus" if has & {1, 2, 5, 6} and not (6 in has and 7 not in has) else _open(jazz=jazz)
    if 4 not in has:
        return _minor(has) if jazz else "dim" if 6 in has and 7 not in has else "min"
    if 10 in has:
        return "7"
    if jazz:
        bare = 8 in has and 7 not in has
        return "maj7" if 11 in has else "+" if bare else "6"
    return "aug" if 8 in has and 7 not in has else "maj"


def _open(*, jazz: bool) -> str:
    return "6" if jazz else "5"


def _minor(has: frozenset[int]) -> str:
    if 6 in has and 7 not in has:
        return "m7b5" if 10 in has else "dim7"
    if 10 in has:
        return "m7"
    return "mmaj7" if 11 in has else "m6" if 9 in has else "m"


def style_of(chords: Iterable[Collection[int]]) -> str:
    """Return the style that chords are counted in: plain where half have no sixth or seventh.

    Examples
    --------
    >>> style_of([(0, 4, 7), (0, 3, 7), (0, 4, 7, 10)]), style_of([(0, 4, 7, 9), (0, 4, 7, 10)])
    ('plain', 'jazz')
    """
    rows = list(chords)
    rich = sum(bool(frozenset(each) & {9, 10, 11}) for each in rows)
    return PLAIN if rich * 2 <= len(rows) else JAZZ


FOLDER = Path(__file__).parent / "tables"


@cache
def read_table(name: str) -> dict[str, Any]:
    """Return a table of ``tables/``: ``source``, ``licence``, ``script`` and its numbers."""
    table: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return table
