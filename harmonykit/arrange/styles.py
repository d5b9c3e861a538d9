"""Styles: what the search looks for, by name.

``styles.toml`` beside this file is the table; a style is weights, and what is wanted of the line
and of the places where something is added.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from harmonykit.arrange.costs import Weights
from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.files.toml import read_toml_file
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
        From which string a contour starts, counted from the highest, where some may be left out.
    heeds : tuple of str
        The rules of ``hk.arrange.LEFT_ALONE`` that are heeded, unless a move is asked for
        wherever it fits.
    moves : tuple of str
        The moves and idioms of the offered arrangement; empty for those of the diminished seventh.
    texture : str
        Which shapes it takes, of ``fretboard.row_textures``; any where empty.
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


def _read_styles() -> dict[str, Style]:
    table, _ = read_toml_file(_TABLE, "the styles")
    styles = {}
    for row in table["style"]:
        lists = {
            key: tuple(row[key]) for key in ("places", "contours", "heeds", "moves") if key in row
        }
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
