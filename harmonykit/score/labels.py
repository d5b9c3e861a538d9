"""Chord lists of annotated recordings, read as tunes: lines of ``start end label``, in seconds.

The published form: three words a line, times in seconds, labels as ``harte`` reads them; ``N`` is
silence.  A list has no beats: the tempo is the one under which the lengths come nearest to whole
beats, and 4/4 is taken.  Both are doubts.

References
----------
C. Harte, M. Sandler, S. Abdallah and E. Gómez, "Symbolic Representation of Musical Chords: A
Proposed Syntax for Text Annotations", ISMIR 2005.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place
from harmonykit.score.harte import read_harte
from harmonykit.theory.chord import Chord
from harmonykit.tune.analysis.key_finding import find_keys, said_keys
from harmonykit.tune.bar import MOST_BARS, Bar, TuneError
from harmonykit.tune.tune import Section, Tune

_LINE = re.compile(r"(\d{1,7}(?:\.\d{0,9})?)\s+(\d{1,7}(?:\.\d{0,9})?)\s+(\S+)")
# Ends and starts nearer than this are one moment, in seconds.
_GAP = 0.05
_SLOWEST, _FASTEST, _STEPS = 60.0, 200.0, 2
# Tempi that fit as well as the best within this part of a beat: the one nearest to 120 is taken.
_AS_WELL = 0.02
_USUAL = 120.0
# Lengths that are usual in 4/4, in beats, and what another adds to a miss.
_EVEN, _ODD = (1, 2, 4, 8, 16), 0.2
_MOST_TRIED = 400
_MOST_BEATS = 4 * MOST_BARS


@dataclass(frozen=True, slots=True)
class Label:
    """A chord, or silence, and when it sounds, in seconds."""

    start: float
    end: float
    chord: Chord | None


def read_labels(text: str, name: str = "") -> Tune:
    """Read a chord list.

    Parameters
    ----------
    text : str
        What stands in the file.
    name : str
        The file's name, for errors; without its suffix it is the title.

    Raises
    ------
    TuneError, HarmonyError
        If a line is no label, runs backwards, or no chord is in the list.

    Examples
    --------
    >>> tune = read_labels("0.0 2.0 C:maj\\n2.0 3.0 D:min7\\n3.0 4.0 G:7\\n", "x.lab")
    >>> tune.tempo, [(str(c.chord), int(c.beats)) for c in tune.changes]
    (120, [('C', 4), ('Dm7', 2), ('G7', 2)])
    """
    labels, doubts = _without_edges(_read(text, name))
    if not any(label.chord for label in labels):
        raise TuneError("the list has no chords", place=Place(name))
    lengths = [label.end - label.start for label in labels]
    tempo = find_tempo(lengths)
    beats = [max(1, round(length * tempo / 60)) for length in lengths]
    if sum(beats) > _MOST_BEATS:
        raise TuneError("the list is too long", place=Place(name), rule=f"{MOST_BARS} bars at most")
    kept = round(60 * sum(beats) / sum(lengths), 2)
    doubts += [f"the list has no beats: {kept:g} quarters a minute and 4/4 fit its lengths"]
    bars = _bars([label.chord for label in labels], beats)
    section = Section("A", tuple(bars))
    title = name.rpartition(".")[0] or name or "Chord list"
    changes = [(label.chord, Fraction(count)) for label, count in zip(labels, beats, strict=True)]
    keys = find_keys(changes)
    doubts += [f"the list has no key: by its chords {said_keys(keys)}; the first is taken"]
    return Tune(title, keys[0][0], (4, 4), kept, (section,), doubts=tuple(doubts))


def _read(text: str, name: str) -> list[Label]:
    found: list[Label] = []
    for number, line in enumerate(text.split("\n"), 1):
        plain = line.strip()
        if not plain or plain.startswith("#"):
            continue
        place = Place(name, number, 1, line)
        match = _LINE.fullmatch(plain)
        if match is None:
            raise TuneError("no chord label", place=place, rule="start end label, in seconds")
        start, end = float(match[1]), float(match[2])
        before = found[-1].end if found else start
        if end <= start or start < before - _GAP:
            raise TuneError("the times run backwards", place=place)
        try:
            chord = read_harte(match[3])
        except HarmonyError as error:
            column = line.index(match[3]) + (error.place.column or 1 if error.place else 1)
            raise error.at(Place(name, number, column, line)) from None
        if start > before + _GAP:
            found.append(Label(before, start, None))
        found.append(Label(found[-1].end if found else start, end, chord))
    return found


def _without_edges(labels: list[Label]) -> tuple[list[Label], list[str]]:
    """Return labels from the first chord to the last, and what is left out."""
    sounding = [n for n, label in enumerate(labels) if label.chord]
    if not sounding:
        return labels, []
    first, last = sounding[0], sounding[-1]
    dropped = first or last + 1 < len(labels)
    doubts = ["silence before the first chord and after the last is left out"] if dropped else []
    return labels[first : last + 1], doubts


def find_tempo(lengths: Sequence[float]) -> float:
    """Return the tempo, in quarters a minute, under which lengths come nearest to whole beats."""
    sample = lengths[:_MOST_TRIED]
    tempi = [_SLOWEST + step / _STEPS for step in range(int((_FASTEST - _SLOWEST) * _STEPS) + 1)]
    misses = {tempo: _miss(sample, tempo) for tempo in tempi}
    best = min(misses.values())
    near = [tempo for tempo in tempi if misses[tempo] <= best + _AS_WELL]
    return min(near, key=lambda tempo: (abs(math.log(tempo / _USUAL)), tempo))


def _miss(lengths: Sequence[float], tempo: float) -> float:
    """Return by how much lengths miss whole beats, on the average; odd ones count more.

    It is told in usual beats, so that a slow tempo has no better chance than a fast one.
    """
    beats = [length * tempo / 60 for length in lengths]
    whole = [max(1, round(count)) for count in beats]
    off = sum(abs(count - near) for count, near in zip(beats, whole, strict=True))
    odd = sum(near not in _EVEN for near in whole)
    return (off * _USUAL / tempo + _ODD * odd) / len(beats)


def _bars(chords: Sequence[Chord | None], beats: Sequence[int]) -> list[Bar]:
    """Return bars of four beats; the last one may be short."""
    starts: list[list[tuple[Chord | None, Fraction]]] = [[] for _ in range(-(-sum(beats) // 4))]
    now = 0
    for chord, count in zip(chords, beats, strict=True):
        starts[now // 4].append((chord, Fraction(now % 4)))
        now += count
    left = Fraction(sum(beats) % 4 or 4)
    return [
        Bar.of((4, 4), found, left if n == len(starts) - 1 else None)
        for n, found in enumerate(starts)
    ]
