"""Colours, sizes, type and the words of a figure.

Conventions.  Lengths are in mm at final size, type in points.  A colour is asked for by its token
(``ink``, ``soft``, ``hair``, ``third``, ``seventh``, ``tension``, ``paper``), never by its value,
so that one drawing serves white paper, a dark screen, print and a one-ink copier.
Nothing is told by colour alone: the shapes of ``harmonykit.draw.base.marks`` carry the role.
"""

from dataclasses import dataclass, fields, replace

from harmonykit.errors import HarmonyError
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
        raise HarmonyError(f"{name!r} is not a palette", mend=", ".join(map(repr, PALETTES)))
    return PALETTES[name]


def css_variables(name: str = "colour") -> str:
    """Return a palette as CSS declarations, for ``:root`` or a dark-scheme block.

    Examples
    --------
    >>> css_variables("dark")[:34]
    '--paper:#111820;--ink:#e8eef5;--so'
    """
    return "".join(f"--{token}:{value};" for token, value in palette(name).tokens.items())


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
