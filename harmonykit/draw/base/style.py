"""Colours, sizes, type and the value that every figure comes back as.

Conventions.  Lengths are in mm at final size, type in points.  A colour is asked for by its token
(``ink``, ``soft``, ``hair``, ``third``, ``seventh``, ``tension``, ``paper``), never by its value,
so that one drawing serves white paper, a dark screen, print and a one-ink copier.
Nothing is told by colour alone: the shapes of :mod:`harmonykit.draw.base.marks` carry the role.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import write_whole
from harmonykit.theory.note import Note

FAMILY = ("Source Sans 3", "Quay Signs")
# What a reader of SVG or CSS looks for: our cut of the text face, the whole face, the signs.
FAMILIES = "'Harmonykit Sans', 'Source Sans 3', 'Quay Signs', sans-serif"
REGULAR, SEMIBOLD = 400, 600
# How much wider a name may run in a reader's own face.
WIDER = 1.25

# Type sizes in points: the least is 8.
NAME_PT, LABEL_PT, NOTE_PT, SMALL_PT = 13.0, 10.0, 8.5, 8.0
HEAD_PT, HUB_PT = 17.0, 24.0

THIN_MM, HOLD_MM, JOIN_MM, NUT_MM = 0.25, 0.25, 0.8, 1.0

POINTS_PER_MM = 72 / 25.4
# What is left for a figure of a notebook on a screen of 1024 px, beside the list of files.
SCREEN_MM = 152.0


@dataclass(frozen=True, slots=True)
class Palette:
    """The value of each colour token, as ``#rrggbb`` in lower case."""

    paper: str
    ink: str
    soft: str
    hair: str
    third: str
    seventh: str
    tension: str

    @property
    def tokens(self) -> dict[str, str]:
        """Token to value."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


_LIGHT = Palette("#ffffff", "#16243b", "#4a586c", "#8793a3", "#b23f1a", "#1f7b78", "#6d3a9a")
_BLACK = "#000000"
PALETTES = {
    "colour": _LIGHT,
    "dark": Palette("#111820", "#e8eef5", "#a9b6c6", "#5e6c7e", "#f08a60", "#4faba8", "#d6b0fa"),
    "print": replace(_LIGHT, ink=_BLACK, soft=_BLACK, hair=_BLACK),
    "one ink": Palette("#ffffff", *[_BLACK] * 6),
}


def palette(name: str) -> Palette:
    """Return a palette by name: ``"colour"``, ``"dark"``, ``"print"`` or ``"one ink"``.

    Raises
    ------
    HarmonyError
        If there is no palette of that name.

    Examples
    --------
    >>> palette("one ink").third
    '#000000'
    """
    if name not in PALETTES:
        raise HarmonyError(f"{name!r} is no palette", mend=", ".join(map(repr, PALETTES)))
    return PALETTES[name]


def css_variables(name: str = "colour") -> str:
    """Return a palette as CSS declarations, for ``:root`` or a dark-scheme block.

    Examples
    --------
    >>> css_variables("dark")[:34]
    '--paper:#111820;--ink:#e8eef5;--so'
    """
    return "".join(f"--{token}:{value};" for token, value in palette(name).tokens.items())


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished figure.

    Its text is live text in our fonts, with the reader's own sans-serif behind them: it holds
    together in Liberation Sans and DejaVu Sans, and names have room for a face a quarter wider.
    What shows figures as elements of its own, a page or a panel, brings the faces along once; what
    stands alone, in a notebook or as a file, brings along the letters that it uses (``still``).

    Parameters
    ----------
    svg : str
        One ``<svg>`` element, without a prologue; its text is live text.
    alt : str
        The fact that the figure states, in words.
    width_mm, height_mm : float
        The size at which it is to be shown.
    origin_mm : (float, float)
        Where the figure's own first corner stands (for a box: first string at the nut), right
        and down from the top left, so that a row of figures can be set level.
    """

    svg: str
    alt: str
    width_mm: float
    height_mm: float
    origin_mm: tuple[float, float] = (0.0, 0.0)

    def for_page(self, prefix: str = "") -> str:
        """Return the SVG for a web page: colours as CSS variables, ids behind a prefix.

        Only a drawing in the palette ``"colour"`` has a value of its own for every token.
        """
        svg = self.prefixed(prefix).svg
        return _HEX.sub(lambda found: _VARIABLES.get(found[0], found[0]), svg)

    def prefixed(self, prefix: str) -> Drawing:
        """Return the drawing with every id behind a prefix, so that it may share a page."""
        if not prefix:
            return self
        return replace(self, svg=_NAMED.sub(lambda found: found[0] + prefix, self.svg))

    def alone(self) -> str:
        """Return the SVG with the letters that it uses and its colours for a dark screen."""
        from harmonykit.draw.base.still import stand_alone

        return stand_alone(self.svg)

    def save(self, path: str | Path) -> Path:
        """Write the SVG to a file as UTF-8, with an XML prologue; it stands alone."""
        target = Path(path)
        write_whole(target, self.as_file())
        return target

    def as_file(self) -> str:
        """Return the SVG as a file holds it, with an XML prologue."""
        return f'<?xml version="1.0" encoding="utf-8"?>\n{self.alone()}\n'

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        svg = self._within(SCREEN_MM, self.alone())
        return {"image/svg+xml": svg, "text/plain": self.alt}

    def _within(self, most: float, svg: str) -> str:
        """Return the SVG shown no wider than so many mm: a notebook cuts off what is wider."""
        if self.width_mm <= most:
            return svg
        high = self.height_mm * most / self.width_mm
        return _SIZE.sub(f' width="{most:.3f}mm" height="{high:.3f}mm"', svg, count=1)

    def __repr__(self) -> str:
        return f"<Drawing {self.width_mm:g} x {self.height_mm:g} mm: {self.alt}>"


_SIZE = re.compile(r' width="[^"]*" height="[^"]*"')
_HEX = re.compile(r"#[0-9a-f]{6}\b")
# An id, and what points to one within the drawing.
_NAMED = re.compile(r' id="|href="#|url\(#')
_VARIABLES = {value: f"var(--{token})" for token, value in _LIGHT.tokens.items()}


@lru_cache(maxsize=1)
def register_fonts() -> tuple[str, ...]:
    """Make the project's own fonts known to matplotlib; return the families to ask for."""
    from matplotlib import font_manager

    from harmonykit.paths import shared_dir

    for file in sorted((shared_dir() / "fonts").rglob("*.ttf")):
        font_manager.fontManager.addfont(str(file))
    return FAMILY


_SIGNS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}


def spoken(note: Note) -> str:
    """Return a note's name for the ear, without its octave.

    Examples
    --------
    >>> spoken(Note.parse("Eb")), spoken(Note.parse("F##4"))
    ('E flat', 'F double sharp')
    """
    sign = _SIGNS.get(note.accidental)
    return note.letter + (f" {note.accidentals}" if sign is None else sign)


_ORDINALS = (
    "open first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth "
    "thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth"
).split()


def ordinal(number: int) -> str:
    """Return ``"second"`` for 2; figures beyond twenty.

    Examples
    --------
    >>> ordinal(2), ordinal(22)
    ('second', '22nd')
    """
    if 0 < number < len(_ORDINALS):
        return _ORDINALS[number]
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10)
    return f"{number}{ending or 'th'}"


def join_words(words: list[str]) -> str:
    """Join words as in a sentence.

    Examples
    --------
    >>> join_words(["A", "C", "E"])
    'A, C and E'
    """
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)
