"""Colours of figures, by palette.

A colour is asked for by its token (``ink``, ``soft``, ``hair``, ``third``, ``seventh``,
``tension``, ``paper``), never by its value, so that one drawing serves white paper, a dark screen,
print and a one-ink copier.  Nothing is told by colour alone: the shapes of
``harmonykit.draw.base.marks`` carry the role.
"""

from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass, fields, replace


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
