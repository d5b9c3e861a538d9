"""The levels of a lesson file, read and checked; ``front`` reads all the rest of its front matter.

Every error is placed at its key.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from harmonykit.arrange.demands import PREFERS, style_named
from harmonykit.arrange.moves import move_named
from harmonykit.draw.base.glyphs import check_printable, index_of
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import check_line
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.fretboard.hands.limits import Limits, limits_at
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import USUAL, LessonError, Level
from harmonykit.tune.tune import Tune

LEAST_SECONDS = (2.0, 1.0, 0.5)
"""How long a chord must last, by the number of the hand."""

_KEYS: dict[str, type] = {
    "name": str, "moves": list, "prefer": str, "preset": str, "hand": int, "max_fret": int,
    "stretch_mm": float, "barre": str, "least_seconds": float, "tempo": float, "watch": str,
}  # fmt: skip
# What a level may say of the hand, for what belongs to its number.
_HAND_KEYS = ("max_fret", "stretch_mm", "barre")
# What a sheet prints as paragraphs, and what it cannot do without.
_SEVERAL_LINES = ("watch", "rights")
_NEVER_EMPTY = ("title", "name")
_WORDS = {
    str: "text in quotes",
    int: "a whole number",
    float: "a number",
    list: "a list",
    dict: "a table",
}


def check_table(
    table: Mapping[str, Any], keys: Mapping[str, type], places: TomlPlaces, at: tuple[str, int]
) -> None:
    """Check that a table has keys that are known and values of their kinds.

    Parameters
    ----------
    table : mapping
    keys : mapping of str to type
        The keys that are known.
    places : TomlPlaces
    at : tuple of (str, int)
        Which table of the file it is.

    Raises
    ------
    LessonError
        Placed at the first key that is wrong.
    """
    for key, value in table.items():
        place = places.key((*at, key))
        if key not in keys:
            near = difflib.get_close_matches(key, keys, 1) or [", ".join(keys)]
            raise LessonError(f"unknown key {key!r}", place=place, mend=near[0])
        wanted = (int, float) if keys[key] is float else keys[key]
        if not isinstance(value, wanted) or isinstance(value, bool):
            raise LessonError(
                f"{key} is {value!r}",
                place=place,
                rule=_WORDS[keys[key]],
                mend=_as_typed(key, value, keys[key]),
            )


def _as_typed(key: str, value: Any, kind: type) -> str:
    """Return the line as it is typed, where the value needs other signs alone; else nothing."""
    if kind is str and isinstance(value, int | float):
        return f'{key} = "{str(value).lower()}"'
    if kind is list and isinstance(value, str):
        return f'{key} = ["{value}"]'
    if kind in (int, float) and isinstance(value, str) and value.strip().isdigit():
        return f"{key} = {int(value)}"
    return ""


def check_prints(
    table: Mapping[str, Any], keys: Iterable[str], places: TomlPlaces, at: tuple[str, int]
) -> None:
    """Refuse a table with a text that no sheet can print, at its place.

    Raises
    ------
    HarmonyError
        With the key and the sign, placed at the sign.
    """
    for key in keys:
        text = table.get(key, "")
        if key in table and key not in _SEVERAL_LINES:
            check_line(text, key, places.key((*at, key)), LessonError, needed=key in _NEVER_EMPTY)
        check_printable(text, key, places.within((*at, key), index_of(text)))


@dataclass(frozen=True, slots=True)
class LevelReader:
    """Reads one ``[[levels]]`` table, the one at an index counted from 0."""

    places: TomlPlaces
    index: int
    table: Mapping[str, Any]
    tune: Tune
    instrument: Instrument

    def level(self) -> Level:
        """Return the level.

        Raises
        ------
        HarmonyError
            Placed at its key.
        """
        check_table(self.table, _KEYS, self.places, ("levels", self.index))
        check_prints(self.table, ("name", "watch"), self.places, ("levels", self.index))
        hand = self.table.get("hand", min(self.index + 1, len(LEAST_SECONDS)))
        moves = self._read("moves", _moves) or ()
        prefer = self._read("prefer", _moves)
        cares = self._read("preset", style_named) or USUAL
        return Level(
            name=self.table.get("name", f"Level {self.index + 1}"),
            moves=moves,
            prefer=prefer[0] if prefer else _preferred(cares, moves),
            limits=self._limits(hand),
            least_seconds=self._number("least_seconds", LEAST_SECONDS[hand - 1], 0.2, 10, ""),
            tempo=self._number("tempo", self.tune.tempo, 20, 400, " quarters a minute"),
            watch=self.table.get("watch", ""),
            preset=cares,
        )

    def _limits(self, hand: int) -> Limits:
        try:
            found = limits_at(hand, self.instrument)
        except HarmonyError as error:
            raise error.at(self._place("hand")) from None
        for key in _HAND_KEYS:
            found = self._read(key, lambda own, k=key, at=found: replace(at, **{k: own})) or found
        if self.table.get("max_fret", 0) > self.instrument.frets:
            raise LessonError(
                f"max_fret is {found.max_fret}",
                place=self._place("max_fret"),
                rule=f"the {self.instrument.name} has {self.instrument.frets} frets",
            )
        return found

    def _number(self, key: str, usual: float, least: float, most: float, unit: str) -> float:
        value = float(self.table.get(key, usual))
        if not least <= value <= most:
            rule = f"{least:g} to {most:g}{unit}"
            raise LessonError(f"{key} is {value:g}", place=self._place(key), rule=rule)
        return value

    def _read(self, key: str, read: Any) -> Any:
        """Read a value; ``None`` where there is none."""
        if key not in self.table:
            return None
        try:
            return read(self.table[key])
        except HarmonyError as error:
            raise error.at(self._place(key)) from None

    def _place(self, key: str) -> Place:
        return self.places.key(("levels", self.index, key))


def _preferred(cares: str, moves: tuple[str, ...]) -> str:
    """Return the move that a style prefers, if it may be used."""
    return move if (move := PREFERS.get(cares, "")) in moves else ""


def _moves(value: Any) -> tuple[str, ...]:
    names = [value] if isinstance(value, str) else value
    return tuple(move_named(str(name)).name for name in names if name)
