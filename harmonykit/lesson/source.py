"""A lesson file: TOML front matter between lines of ``+++``, then Markdown.

The front matter, whole::

    +++
    format = 1
    title = "..."
    subtitle = "..."             # at choice, as are the next two
    group = "..."                # the class it is for
    sheet = "4"                  # its number in the course
    tune = "net_loft_shuffle"    # a shipped tune's name, or a path beside this file
    instrument = "ukulele"       # a name, or strings such as "G4 C4 E4 A4"
    shape = "2323"               # the shape that the lesson starts from, ...
    chord = "Adim7"              # ... and what it is called
    scale = "C major"            # a sixth-diminished scale, ...
    from = "0000"                # ... and the shape that is carried up it
    paper = "a4"                 # or "letter"
    rights = "..."

    [[levels]]
    name = "..."
    moves = ["approach"]
    prefer = "approach"          # at choice: the move to be used wherever it fits
    hand = 1                     # 1 to 3: top fret, stretch, barre, least time of a chord
    max_fret = 5                 # at choice, for the hand's own
    tempo = 72
    watch = "..."                # at choice
    +++

In the Markdown, ``## `` begins a section, and ``{{ name(...) }}`` is a call (see ``calls``).
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from harmonykit.arrange.moves import move_named
from harmonykit.errors import HarmonyError, Place
from harmonykit.fretboard.hand import limits_at
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.model import Front, LessonError, Level
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.tune.toml_places import Address, TomlPlaces
from harmonykit.tune.tune import Tune

FENCE = "+++"
FORMAT = 1
MOST_BYTES = 1_000_000
MOST_LEVELS = 6
PAPERS = ("a4", "letter")
LEAST_SECONDS = (2.0, 1.0, 0.5)

_WORDS = {str: "text in quotes", int: "a whole number", float: "a number", list: "a list"}
_KEYS: dict[str, type] = {
    "format": int, "title": str, "subtitle": str, "group": str, "sheet": str, "tune": str,
    "instrument": str, "shape": str, "chord": str, "scale": str, "from": str, "paper": str,
    "rights": str, "levels": list,
}  # fmt: skip
_NEEDED = ("format", "title", "tune", "instrument", "shape", "chord", "scale", "from", "levels")
_LEVEL_KEYS: dict[str, type] = {
    "name": str, "moves": list, "prefer": str, "hand": int, "max_fret": int, "tempo": float,
    "watch": str,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Body:
    """The Markdown of a lesson file and the line of the file on which it begins."""

    name: str
    lines: tuple[str, ...]
    first_line: int

    def place(self, line: int, column: int) -> Place:
        """Return the place of a character; line and column count from 0 within the body."""
        return Place(self.name, self.first_line + line, column + 1, self.lines[line])


def read_lesson(
    path: Path, tune_path: Path | None = None, number: int | None = None
) -> tuple[Front, Body]:
    """Read a lesson file.

    Parameters
    ----------
    path : Path
    tune_path : Path, optional
        A tune to be used instead of the lesson's own.
    number : int, optional
        Which tune of a file that holds many.

    Raises
    ------
    HarmonyError
        With file, line, column and a caret.
    """
    lines = _read_lines(path)
    front, body = _split(path.name, lines)
    places = TomlPlaces.of(path.name, "\n" * (front[0] - 1) + "\n".join(front[1]))
    values = _load(places)
    reader = _Reader(path, places, values)
    return reader.front(tune_path, number), body


def _read_lines(path: Path) -> list[str]:
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise LessonError(f"{path} is too large", rule=f"{MOST_BYTES:,} bytes at most")
        return data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        raise LessonError(f"{path} is not UTF-8", rule=f"byte {error.start} fits none") from None
    except OSError as error:
        raise LessonError(f"{path} cannot be read: {error.strerror}") from None


def _split(name: str, lines: list[str]) -> tuple[tuple[int, list[str]], Body]:
    fences = [index for index, line in enumerate(lines) if line.strip() == FENCE]
    if len(fences) < 2 or any(line.strip() for line in lines[: fences[0]]):
        raise LessonError(
            f"{name} has no front matter",
            place=Place(name, 1, 1, lines[0] if lines else ""),
            rule=f"it stands between two lines of {FENCE} at the start of the file",
        )
    start, end = fences[0], fences[1]
    return (start + 2, lines[start + 1 : end]), Body(name, tuple(lines[end + 1 :]), end + 2)


def _load(places: TomlPlaces) -> dict[str, Any]:
    try:
        return tomllib.loads(places.source)
    except tomllib.TOMLDecodeError as error:
        raise LessonError(
            f"the front matter cannot be read: {error}", place=Place(places.name)
        ) from None


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the values of the front matter, each error placed at its key or value."""

    path: Path
    places: TomlPlaces
    values: Mapping[str, Any]

    def front(self, tune_path: Path | None, number: int | None) -> Front:
        self._check(self.values, _KEYS, ("", 0))
        for key in _NEEDED:
            if key not in self.values:
                raise LessonError(f"{key} is missing", place=Place(self.path.name), rule="needed")
        self._check_format()
        tune = self._tune(tune_path, number)
        instrument = self._at("instrument", _instrument)
        return Front(
            self.path,
            self.values["title"],
            self.values.get("subtitle", ""),
            self.values.get("group", ""),
            self.values.get("sheet", ""),
            tune,
            instrument,
            self._at("shape", lambda text: Voicing.parse(text, instrument)),
            self._at("chord", Chord.parse),
            self._at("scale", _scale),
            self._at("from", lambda text: Voicing.parse(text, instrument)),
            self._levels(tune, instrument),
            self._paper(),
            self.values.get("rights", ""),
        )

    def _check(
        self, table: Mapping[str, Any], keys: Mapping[str, type], at: tuple[str, int]
    ) -> None:
        for key, value in table.items():
            place = self.places.key((*at, key))
            if key not in keys:
                near = difflib.get_close_matches(key, keys, 1) or [", ".join(keys)]
                raise LessonError(f"{key!r} is no key of a lesson", place=place, mend=near[0])
            wanted = (int, float) if keys[key] is float else keys[key]
            if not isinstance(value, wanted) or isinstance(value, bool):
                raise LessonError(f"{key} is {value!r}", place=place, rule=_WORDS[keys[key]])

    def _check_format(self) -> None:
        if self.values["format"] != FORMAT:
            raise LessonError(
                f"format {self.values['format']} is not known here",
                place=self.places.key(("", 0, "format")),
                rule=f"this version reads format {FORMAT}",
            )

    def _at(self, key: str, read: Any) -> Any:
        """Read a value, and place what is wrong with it inside the file."""
        try:
            return read(self.values[key])
        except HarmonyError as error:
            inner = error.place.column if error.place and error.place.column else 1
            raise error.at(self._within(("", 0, key), inner - 1)) from None

    def _within(self, address: Address, offset: int) -> Place:
        return self.places.within(address, offset)

    def _tune(self, tune_path: Path | None, number: int | None) -> Tune:
        if tune_path is not None:
            return Tune.read(tune_path, number)
        name = self.values["tune"]
        beside = self.path.parent / name
        try:
            return Tune.read(beside if beside.is_file() else find_data("tunes", name), number)
        except HarmonyError as error:
            raise error if error.place else error.at(self._within(("", 0, "tune"), 0)) from None

    def _paper(self) -> str:
        paper = str(self.values.get("paper", PAPERS[0])).lower()
        if paper not in PAPERS:
            place = self.places.key(("", 0, "paper"))
            raise LessonError(f"{paper!r} is no paper", place=place, mend=" or ".join(PAPERS))
        return paper

    def _levels(self, tune: Tune, instrument: Instrument) -> tuple[Level, ...]:
        tables = self.values["levels"]
        if not 1 <= len(tables) <= MOST_LEVELS or not all(isinstance(t, dict) for t in tables):
            place = self.places.key(("", 0, "levels"))
            raise LessonError(f"{len(tables)} levels", place=place, rule=f"1 to {MOST_LEVELS}")
        return tuple(self._level(i, t, tune, instrument) for i, t in enumerate(tables))

    def _level(
        self, index: int, table: Mapping[str, Any], tune: Tune, instrument: Instrument
    ) -> Level:
        self._check(table, _LEVEL_KEYS, ("levels", index))
        hand = table.get("hand", min(index + 1, len(LEAST_SECONDS)))
        moves = self._level_at(index, "moves", table, _moves)
        prefer = self._level_at(index, "prefer", table, _moves)
        limits = self._level_at(index, "hand", {"hand": hand}, lambda n: limits_at(n, instrument))
        if "max_fret" in table:
            limits = self._level_at(
                index, "max_fret", table, lambda fret: replace(limits, max_fret=fret)
            )
        tempo = float(table.get("tempo", tune.tempo))
        if not 20 <= tempo <= 400:
            place = self.places.key(("levels", index, "tempo"))
            raise LessonError(
                f"a tempo of {tempo:g}", place=place, rule="20 to 400 quarters a minute"
            )
        return Level(
            table.get("name", f"Level {index + 1}"),
            moves or (),
            prefer[0] if prefer else "",
            limits,
            LEAST_SECONDS[hand - 1],
            tempo,
            table.get("watch", ""),
        )

    def _level_at(self, index: int, key: str, table: Mapping[str, Any], read: Any) -> Any:
        if key not in table:
            return None
        try:
            return read(table[key])
        except HarmonyError as error:
            raise error.at(self.places.key(("levels", index, key))) from None


def _moves(value: Any) -> tuple[str, ...]:
    names = [value] if isinstance(value, str) else value
    return tuple(move_named(str(name)).name for name in names if name)


def _instrument(text: str) -> Instrument:
    try:
        return Instrument.named(text)
    except HarmonyError:
        if any(letter.isdigit() for letter in text):
            return Instrument.parse(text)
        raise


def _scale(text: str) -> SixthDiminished:
    tonic, _, kind = text.strip().partition(" ")
    if kind.strip() not in KINDS:
        raise HarmonyError(
            f"{text!r} is no sixth-diminished scale",
            rule="a tonic, then " + ", ".join(KINDS),
            mend='"C major"',
        )
    return SixthDiminished(tonic, kind.strip())
