"""What a survey has to do: one task for each tune, instrument and level, in all keys asked for.

A task takes a second or so.  Its name is a hash of all that goes into it: what has that name is
the same work, and need not be done again.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from harmonykit.arrange.moves import USUAL, move_named
from harmonykit.arrange.survey.keys import ALL
from harmonykit.arrange.survey.sources import Source
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.limits import LEVELS, limits_at
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.typed import as_typed

FORMAT = 1
# What the numbers of a survey depend on.
_FLOORS = ("theory", "fretboard", "tune", "arrange")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of every tune.

    Parameters
    ----------
    instruments : tuple of Instrument
    levels : tuple of int
        Levels of the hand, 1 to 3, as ``fretboard.hands.limits.limits_at`` has them.
    tonics : tuple of int
        Pitch classes of the keys' tonics; none for each tune's own key alone.
    moves : tuple of str
        The moves that the best arrangement may use.

    Raises
    ------
    HarmonyError
        If there is no instrument or level, one is asked for twice, or a level or move is unknown.
    """

    instruments: tuple[Instrument, ...]
    levels: tuple[int, ...] = (1, 2, 3)
    tonics: tuple[int, ...] = ALL
    moves: tuple[str, ...] = USUAL

    def __post_init__(self) -> None:
        for what, values in (("instrument", self.instruments), ("level", self.levels)):
            if not values or len(set(values)) < len(values):
                raise HarmonyError(f"{len(values)} {what}s", rule=f"each {what} once, at least one")
        for instrument in self.instruments:
            for level in self.levels:
                limits_at(level, instrument)
        for move in self.moves:
            move_named(move)


@dataclass(frozen=True, slots=True)
class Task:
    """A tune on an instrument at a level, in all keys asked for."""

    source: Source
    instrument: Instrument
    level: int
    name: str


@dataclass(frozen=True, slots=True)
class Plan:
    """All tasks of a survey, tune by tune."""

    sources: tuple[Source, ...]
    asked: Asked

    def tasks(self, source: Source) -> tuple[Task, ...]:
        """Return the tasks of one tune."""
        return tuple(
            Task(source, instrument, level, self._name(source, instrument, level))
            for instrument in self.asked.instruments
            for level in self.asked.levels
        )

    def unread_name(self, source: Source) -> str:
        """Return the name of the one part of a tune that cannot be read."""
        return hashed(source.digest, "unread")

    def _name(self, source: Source, instrument: Instrument, level: int) -> str:
        # Where a tuning is published changes nothing.
        strung = as_typed(replace(instrument, source=""))
        limits = repr(limits_at(level, instrument))
        asked = (self.asked.tonics, self.asked.moves)
        return hashed(source.digest, strung, str(level), limits, repr(asked))


def all_levels() -> tuple[int, ...]:
    """Return the levels that there are.

    Examples
    --------
    >>> all_levels()
    (1, 2, 3)
    """
    return tuple(range(1, 1 + max(map(len, LEVELS.values()))))


def hashed(*parts: str) -> str:
    """Return a hash of texts, and of the code that works on them."""
    text = "\0".join((str(FORMAT), code_mark(), *parts))
    return hashlib.sha256(text.encode()).hexdigest()[:32]


@lru_cache(maxsize=1)
def code_mark() -> str:
    """Return a hash of the code on which a survey's numbers depend."""
    package = Path(__file__).resolve().parents[2]
    sums = hashlib.sha256()
    for file in _code(package):
        sums.update(file.relative_to(package).as_posix().encode())
        sums.update(file.read_bytes().replace(b"\r\n", b"\n"))
    return sums.hexdigest()[:16]


def _code(package: Path) -> Iterable[Path]:
    return sorted(file for floor in _FLOORS for file in (package / floor).rglob("*.py"))
