"""Chord labels of annotated recordings: ``F#:7(b9)/4``, read and written; lists of them as tunes.

A label is a root, a colon, a shorthand for some degrees, other degrees in brackets (``*5`` leaves
the fifth out), and a slash with the bass as an interval above the root.  ``N`` is silence.  The
sixteen shorthands are those of the publication; a few that annotators added since are read too, and
never written.

A list has three words a line: start, end and label, times in seconds.  It has no beats: the tempo
is the one under which the lengths come nearest to whole beats, and 4/4 is taken.  Both are doubts.

References
----------
C. Harte, M. Sandler, S. Abdallah and E. Gómez, "Symbolic Representation of Musical Chords: A
Proposed Syntax for Text Annotations", ISMIR 2005.
"""

import math
import re
from collections.abc import Sequence
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.chord import Chord, Degree, Note, degrees
from harmonykit.theory.interval import SEMITONES
from harmonykit.tune.analysis.key_finding import find_keys, said_keys
from harmonykit.tune.bar import MOST_BARS, Bar, TuneError
from harmonykit.tune.tune import Section, Tune
from harmonykit.values import dataclass

SHORTHANDS = {
    "maj": "1 3 5", "min": "1 b3 5", "dim": "1 b3 b5", "aug": "1 3 #5", "maj7": "1 3 5 7",
    "min7": "1 b3 5 b7", "7": "1 3 5 b7", "dim7": "1 b3 b5 bb7", "hdim7": "1 b3 b5 b7",
    "minmaj7": "1 b3 5 7", "maj6": "1 3 5 6", "min6": "1 b3 5 6", "9": "1 3 5 b7 9",
    "maj9": "1 3 5 7 9", "min9": "1 b3 5 b7 9", "sus4": "1 4 5",
}  # fmt: skip
# Read, not written: they came after the publication.
LATER = {
    "sus2": "1 2 5", "5": "1 5", "1": "1", "11": "1 3 5 b7 9 11", "maj11": "1 3 5 7 9 11",
    "min11": "1 b3 5 b7 9 11", "13": "1 3 5 b7 9 11 13", "maj13": "1 3 5 7 9 11 13",
    "min13": "1 b3 5 b7 9 11 13",
}  # fmt: skip
_DEGREES_OF = {name: degrees(spelled) for name, spelled in (SHORTHANDS | LATER).items()}
_LABEL = re.compile(
    r"(?P<root>[A-G][b#]*)(?::(?P<short>[a-z0-9]*)(?:\((?P<list>[^()]*)\))?)?(?:/(?P<bass>.+))?"
)
_DEGREE = re.compile(r"(\*?)([b#]*)([1-9]|1[0-3])")
_LOWER = {8: 1, 10: 3, 12: 5}


def read_harte(label: str) -> Chord | None:
    """Read a chord label.

    Parameters
    ----------
    label : str
        A label of an annotated corpus; ``"N"`` is no chord.

    Returns
    -------
    Chord or None
        None for ``N``, silence.

    Raises
    ------
    HarmonyError
        If it is no label: with a caret, where one place is at fault.

    References
    ----------
    C. Harte, M. Sandler, S. Abdallah and E. Gomez, ISMIR, London 2005.

    Examples
    --------
    >>> hk.score.read_harte("F#:7(b9)/4")
    Chord.parse('F#7b9/B')
    >>> [hk.score.read_harte(label) for label in ("C:7(*5)", "N")]
    [Chord.parse('C7no5'), None]
    """
    text = label.strip()
    if text == "N":
        return None
    found = _LABEL.fullmatch(text)
    if found is None:
        raise _misfit(
            text,
            0,
            "a root, then as needed a colon with shorthand and (degrees), a slash and a degree",
        )
    root = Note.parse(found["root"])
    short, listed = found["short"], found["list"]
    if ":" in text and not short and listed is None:
        raise _misfit(text, found.end("root"), "a shorthand or degrees follow the colon")
    if short and short not in _DEGREES_OF:
        raise _misfit(text, found.start("short"), "shorthands are " + " ".join(SHORTHANDS))
    base = _DEGREES_OF[short or "maj"] if short or listed is None else (Degree(1),)
    tones = _changed(base, listed, text, found.start("list"))
    bass = None
    if found["bass"] is not None:
        bass = _one(found["bass"], text, found.start("bass"))[1].over(root)
    return Chord.build(root, tones, bass)


def _changed(
    base: tuple[Degree, ...], listed: str | None, text: str, column: int
) -> tuple[Degree, ...]:
    """Return the degrees with those of a list added, and those with a star left out."""
    tones = set(base)
    for word in (listed or "").split(",") if listed else ():
        omitted, degree = _one(word.strip(), text, column)
        if omitted and degree not in tones:
            raise _misfit(text, column, f"the chord has no {degree.name} to leave out")
        tones = tones - {degree} if omitted else tones | {degree}
        column += len(word) + 1
    return tuple(sorted(tones))


def _one(word: str, text: str, column: int) -> tuple[bool, Degree]:
    """Return whether a degree has a star, and the degree; an octave higher is the same degree."""
    found = _DEGREE.fullmatch(word)
    if found is None:
        raise _misfit(
            text, column, "a degree is a number from 1 to 13, after its flats or sharps if any"
        )
    number = int(found[3])
    return bool(found[1]), Degree(
        _LOWER.get(number, number), found[2].count("#") - found[2].count("b")
    )


def _misfit(text: str, column: int, rule: str) -> HarmonyError:
    return HarmonyError(
        f"{text[:64]!r} is not a chord label",
        place=Place("chord label", None, column + 1, text[:64]),
        rule=rule,
        mend='"C:maj", "F#:min7", "G:7(b9)/3" or "N"',
    )


def write_harte(chord: Chord | None) -> str:
    """Write a chord's label with the sixteen published shorthands; ``N`` for no chord.

    Parameters
    ----------
    chord : Chord, optional
        ``None`` is written ``"N"``.

    Returns
    -------
    str

    References
    ----------
    C. Harte, M. Sandler, S. Abdallah and E. Gomez, ISMIR, London 2005.

    Examples
    --------
    >>> [hk.score.write_harte(hk.Chord.parse(each)) for each in ("F#m7b5/E", "C7b5")]
    ['F#:hdim7/b7', 'C:7(*5,b5)']
    >>> hk.score.write_harte(hk.Chord.parse("Gsus2")), hk.score.write_harte(None)
    ('G:(1,2,5)', 'N')
    """
    if chord is None:
        return "N"
    body = min((_over(name, chord.degrees) for name in ("", *SHORTHANDS)), key=_plainness)
    bass = "" if chord.bass == chord.root else "/" + _interval(chord.root, chord.bass)
    return f"{chord.root.name}:{body}{bass}"


def _over(name: str, wanted: tuple[Degree, ...]) -> str:
    """Return degrees as a shorthand with what it lacks and what it has too many."""
    base = _DEGREES_OF[name] if name else ()
    words = [f"*{degree.name}" for degree in base if degree not in wanted]
    words += [degree.name for degree in wanted if degree not in base]
    return name + (f"({','.join(words)})" if words else "")


def _plainness(body: str) -> tuple[int, int, int]:
    """Return a label's place among others: a star counts as two degrees."""
    words = body.count(",") + ("(" in body)
    return words + body.count("*"), body.count("*"), len(body)


def _interval(root: Note, bass: Note) -> str:
    """Return the bass as an interval of the major scale above the root."""
    interval = root.interval_to(bass)
    place = interval.steps % 7
    alter = (interval.semitones - SEMITONES[place] + 6) % 12 - 6
    return Degree(place + 1, alter).name


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
    doubts += [
        f"the list gives no tempo or metre: {kept:g} quarter notes a minute and 4/4 fit its lengths"
    ]
    bars = _bars([label.chord for label in labels], beats)
    section = Section("A", tuple(bars))
    title = name.rpartition(".")[0] or name or "Chord list"
    changes = [(label.chord, Fraction(count)) for label, count in zip(labels, beats, strict=True)]
    keys = find_keys(changes)
    doubts += [f"the list gives no key; its chords fit {said_keys(keys)}; the first is taken"]
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
            raise TuneError(
                "the chord label is missing",
                place=place,
                rule="a line has start and end in seconds, then the label",
            )
        start, end = float(match[1]), float(match[2])
        before = found[-1].end if found else start
        if end <= start or start < before - _GAP:
            raise TuneError("the times run backwards", place=place)
        try:
            chord = read_harte(match[3])
        except HarmonyError as error:
            column = line.index(match[3]) + error.column
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
    """Return the tempo, in quarter notes a minute, that brings lengths nearest to whole beats."""
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
