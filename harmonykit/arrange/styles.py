"""Styles and contours: what the search looks for, and where the highest pitch is to be, by name.

``styles.toml`` beside this file is the table; a style is weights, and what is wanted of the line
and of the places where something is added.

A contour is a wish, not a law: of traditional melodies few follow one closely.  It starts from the
highest open string, or one below, and spans so many semitones; phrases take contours by turns.
"""

import difflib
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.weights import Weights
from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.files.toml import read_toml_file
from harmonykit.fretboard.shapes.textures import has_many_strings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, field
from harmonykit.words.former import current

USUAL_STYLE = "usual"
_LISTS = ("places", "contours", "heeds", "moves")
_TABLE = Path(__file__).with_name("styles.toml")


@dataclass(frozen=True, slots=True)
class Style:
    """What the search looks for.

    Parameters
    ----------
    name : str
    about : str
        In one line.
    weights : Weights
    prefer : str
        The move that it prefers, if any.
    places : tuple of int
        How much is wanted in each bar of a phrase, in percent, by turns.
    contours : tuple of str
        What is wanted of the highest pitch, by turns, one a phrase.
    span : int
        Semitones of a contour.
    string : int
        From which string a contour starts, counted from the highest, where some may be left out;
        in a tune of triads, which are strummed on all strings, it is the highest.
    heeds : tuple of str
        The rules of ``hk.arrange.LEFT_ALONE`` that are heeded, unless a move is asked for
        wherever it fits.
    moves : tuple of str
        The moves and idioms of the offered arrangement; empty for those of the diminished seventh.
    texture : str
        Which shapes it takes, of ``fretboard.row_textures``; any where empty.
    first : int
        The weight of that name where nothing is added: a tune as written is played in the shapes
        that a book prints first.
    """

    name: str
    about: str = ""
    weights: Weights = field(default_factory=Weights)
    prefer: str = ""
    places: tuple[int, ...] = (100,)
    contours: tuple[str, ...] = ()
    span: int = 9
    string: int = 1
    heeds: tuple[str, ...] = ()
    moves: tuple[str, ...] = ()
    texture: str = ""
    first: int = 0


def _read_styles() -> dict[str, Style]:
    table, _ = read_toml_file(_TABLE, "the styles")
    styles = {}
    for row in table["style"]:
        lists = {key: tuple(row[key]) for key in _LISTS if key in row}
        weights = Weights(**row.pop("weights"))
        styles[row["name"]] = Style(**{**row, **lists, "weights": weights})
    return styles


STYLES: Mapping[str, Style] = MappingProxyType(_read_styles())
"""Every style by name (common practice, no source)."""


def style_named(name: str) -> str:
    """Return the name of a style of ``STYLES``; one of an earlier version is found too.

    Raises
    ------
    HarmonyError
        If it is unknown; with the names that are nearest.

    Examples
    --------
    >>> style_named("walking"), style_named("near the nut")
    ('walking', 'low on the neck')
    >>> STYLES["low on the neck"].weights.height
    40
    """
    if not isinstance(name, str):
        raise wrong_kind(name, "the name of a style", '"walking"')
    now = current("style", name)
    if now in STYLES:
        return now
    near = difflib.get_close_matches(now, STYLES, cutoff=0.4) or list(STYLES)
    raise HarmonyError(
        f"unknown style {name!r}",
        rule=f"the styles are {', '.join(map(repr, STYLES))}",
        mend=" or ".join(map(repr, near)),
    )


def _arch(place: float) -> float:
    """Return the height of an arch: highest in the middle, its last chord lower than that.

    On the average phrases of melodies are arches so (Huron 1996, from memory).
    """
    return 2 * place if place < 0.5 else 1 - 1.4 * (place - 0.5)


CONTOURS: Mapping[str, Callable[[float], float]] = MappingProxyType(
    {
        "rise": lambda place: place,
        "fall": lambda place: 1 - place,
        "arch": _arch,
        "valley": lambda place: 1 - _arch(place),
    }
)
"""Each contour as a height, 0 to 1, at each place of a phrase, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Line:
    """The wanted heights of the highest pitch in a tune.

    Parameters
    ----------
    phrases : tuple of (Fraction, Fraction)
        Where each starts and ends, in quarters.
    contours : tuple of str
        By turns, one a phrase; nothing is wanted of one that is empty.
    lowest, span : int
        The MIDI number at height 0, and semitones up to height 1.
    """

    phrases: tuple[tuple[Fraction, Fraction], ...]
    contours: tuple[str, ...]
    lowest: int
    span: int

    def wanted(self, onset: Fraction) -> float | None:
        """Return the wanted pitch at a moment, or None where any will do."""
        if not self.contours:
            return float(self.lowest)
        for number, (start, end) in enumerate(self.phrases):
            if start <= onset < end:
                name = self.contours[number % len(self.contours)]
                if not name:
                    return None
                place = float((onset - start) / (end - start))
                return self.lowest + self.span * CONTOURS[name](place)
        return float(self.lowest)

    def off(self, onset: Fraction, tops: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return how many semitones each of some highest pitches is off, at a moment."""
        wanted = self.wanted(onset)
        if wanted is None:
            return np.zeros_like(tops)
        found: NDArray[np.int64] = np.rint(np.abs(tops - wanted)).astype(np.int64)
        return found


def line_of(
    tune: Tune,
    instrument: Instrument,
    ends: Sequence[int],
    contours: Sequence[str],
    *,
    span: int = 9,
    string: int = 1,
) -> Line:
    """Return the wanted line of a tune whose phrases end in some bars.

    It starts from an open string, counted from the highest; from that one where all strings sound.
    A banjo's short string is none of them.
    """
    phrases = []
    start = Fraction(0)
    for index, played in enumerate(tune.playing):
        stop = played.onset + played.bar.length
        if index in ends or index == len(tune.playing) - 1:
            phrases.append((start, stop))
            start = stop
    frets = zip(instrument.midi, instrument.first_frets, strict=True)
    whole = sorted(pitch for pitch, start in frets if not start)
    lowest = whole[-string if has_many_strings(instrument) else -1]
    return Line(tuple(phrases), tuple(contours), lowest, span)
