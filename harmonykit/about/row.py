"""A row of chords as it is typed or listed: its bars, and the key that fits them."""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place, need_several
from harmonykit.theory.chord import read_symbol
from harmonykit.theory.given import ChordLike, as_chord, read_word
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import Lasting, find_keys, likely_keys, need_chords
from harmonykit.tune.bar import Bar
from harmonykit.tune.text.changes import read_changes
from harmonykit.tune.tune import Section, Tune

METER, _TEMPO = (4, 4), 120
# What stands between chords that are typed in a row.
_WORD = re.compile(r"(?:(?![–—→]\s*[A-G])[^\s,;])+")
_MEND = '"Dm7 G7 Cmaj7" or "| Dm7 G7 | Cmaj7 |"'
# A key that is found is doubted below this probability.
_SURE = 0.75


def tune_of_row(
    chords: str | Iterable[ChordLike], key: Key | None = None
) -> tuple[Tune, tuple[Key, ...]]:
    """Return a row of chords as a tune, and what else its key may be where it was found.

    Raises
    ------
    HarmonyError
        If a chord cannot be read, or there is none.

    Examples
    --------
    >>> tune, near = tune_of_row("Dm7 G7 Cmaj7")
    >>> str(tune.key), len(tune.bars)
    ('C major', 3)
    """
    bars, doubts = _read(chords) if isinstance(chords, str) else (_listed(chords), ())
    lasting = [(change.chord, change.beats) for bar in bars for change in bar.changes]
    if not any(chord for chord, _ in lasting):
        raise HarmonyError("the progression has no chord", mend=_MEND)
    home, near = _found_key(lasting) if key is None else (key, ())
    section = Section("A", tuple(bars))
    return Tune("Progression", home, METER, _TEMPO, (section,), doubts=doubts), near


def _found_key(lasting: Sequence[Lasting]) -> tuple[Key, tuple[Key, ...]]:
    """Return the likeliest key, and the next ones where it is not sure: one at least."""
    found = find_keys(lasting)
    home, *others = likely_keys(found)
    sure = found[0][1] >= _SURE
    return home, () if sure else tuple(others) or (found[1][0],)


def _read(text: str) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
    """Return the bars of a text with bar lines, or a bar for each chord typed in a row."""
    need_chords(text)

    def place(index: int) -> Place:
        return Place("progression", 1, index + 1, text)

    if "|" in text:
        return read_changes(text, METER, place)
    words = [word for word in _WORD.finditer(text) if word.group().strip("-→>–—")]
    read = [read_word(word, text, read_symbol, "progression") for word in words]
    bars = tuple(Bar.of(METER, [(each.chord, Fraction(0))]) for each in read)
    return bars, tuple(dict.fromkeys(doubt for each in read for doubt in each.doubts))


def _listed(chords: Iterable[ChordLike]) -> tuple[Bar, ...]:
    several = need_several(chords, "a list of chords, or their symbols as text", _MEND)
    return tuple(Bar.of(METER, [(as_chord(chord), Fraction(0))]) for chord in several)
