"""A section's melody as text: as many bars between ``|`` as its changes have.

``D5:3/2`` is a note of one and a half quarters, ``D5`` alone one quarter, ``r:2`` a rest of two;
``D5:4~`` is tied to the next note.  A bar may end early: what is left of it is rest.  An empty
bar is written ``| |``.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote, TuneError
from harmonykit.tune.text.barlines import Where

_WORD = re.compile(r"([^:~\s]+?)(?::(\d{1,6})(?:/(\d{1,6}))?)?(~?)")
_COMMENT = re.compile(r"(?<!\S)#[^\n]*")
_REST = "r"


def read_melody(text: str, bars: tuple[Bar, ...], where: Where) -> tuple[Bar, ...]:
    """Return the bars with the melody that a text gives them.

    Raises
    ------
    TuneError
        If a note cannot be read, a bar is too full, or the number of bars is another.

    Examples
    --------
    >>> from harmonykit.errors import Place
    >>> bars = read_melody("| r:1 D5:3/2 E5:3/2 |", (Bar.of((4, 4), []),), lambda index: Place())
    >>> [(str(note.note), str(note.at), str(note.beats)) for note in bars[0].melody]
    [('D5', '1', '3/2'), ('E5', '5/2', '3/2')]
    """
    parts = list(_split(without_comments(text)))
    if len(parts) != len(bars):
        raise TuneError(
            f"the melody has {len(parts)} bars, the changes have {len(bars)}", place=where(0)
        )
    return tuple(
        replace(bar, melody=tuple(_read_bar(part, start, bar.length, where)))
        for (part, start), bar in zip(parts, bars, strict=True)
    )


def without_comments(text: str) -> str:
    """Return text of the same length with blanks where comments stand."""
    return _COMMENT.sub(lambda found: " " * len(found[0]), text)


def _split(text: str) -> Iterator[tuple[str, int]]:
    """Yield what stands between bar lines, and where; between two lines of text stands no bar."""
    parts = text.split("|")
    start = 0
    for count, part in enumerate(parts):
        edge = count in (0, len(parts) - 1)
        if part.strip() or not (edge or "\n" in part):
            yield part, start
        start += len(part) + 1


def _read_bar(text: str, start: int, length: Fraction, where: Where) -> Iterator[BarNote]:
    reached = Fraction(0)
    for word in re.finditer(r"\S+", text):
        found = _WORD.fullmatch(word[0])
        over, under = (int(found[2] or 1), int(found[3] or 1)) if found else (0, 0)
        if found is None or not over or not under:
            place = where(start + word.start())
            raise TuneError(f"{word[0]!r} is not a note", place=place, mend="D5:3/2 or r:2")
        beats = Fraction(over, under)
        if reached + beats > length:
            place = where(start + word.start())
            raise TuneError(f"too many notes for a bar of {length} quarters", place=place)
        if found[1] != _REST:
            yield BarNote(_read_note(found[1], word, start, where), reached, beats, bool(found[4]))
        reached += beats


def _read_note(name: str, word: re.Match[str], start: int, where: Where) -> Note:
    try:
        note = Note.parse(name)
    except HarmonyError as error:
        raise error.at(where(start + word.start())) from None
    if note.octave is None:
        place = where(start + word.start())
        raise TuneError(f"{name} has no octave", place=place, mend=f"{name}4")
    return note
