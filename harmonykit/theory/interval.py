"""Intervals: so many letters and so many semitones, up or down.

Conventions.  A second is one letter step, an octave seven; a falling interval has both counts
negative and is written with a minus sign before it (``-m3``).  P is perfect, M major, m minor,
A augmented, d diminished.
"""

from __future__ import annotations

import re
from functools import lru_cache

from harmonykit.errors import HarmonyError, need_text, wrong_kind
from harmonykit.values import dataclass

LETTERS = "CDEFGAB"
# Semitones of the perfect or major interval on each number, 1 to 7: those of the letters from C.
SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_PERFECT = (0, 3, 4)
_INTERVAL = re.compile(r"(-?)(P|M|m|A{1,3}|d{1,3})([0-9]{1,2})")


@dataclass(frozen=True, slots=True)
class Interval:
    """A spelled interval: letters moved and semitones moved, both signed.

    Parameters
    ----------
    steps : int
        Letters moved; less than 0 goes down.
    semitones : int
        Semitones moved.

    Examples
    --------
    >>> hk.Interval.parse("m3"), hk.Interval.parse("-M2").semitones
    (Interval.parse('m3'), -2)
    >>> down = -hk.Interval.parse("P5")
    >>> down.steps, down.semitones, str(down)
    (-4, -7, '-P5')
    """

    steps: int
    semitones: int

    @classmethod
    def parse(cls, text: str) -> Interval:
        """Read ``"P5"``, ``"m3"``, ``"A4"``, ``"-M2"`` (down) and the like.

        Parameters
        ----------
        text : str

        Returns
        -------
        Interval

        Raises
        ------
        HarmonyError
            If the quality does not go with the number (there is no perfect third).

        Examples
        --------
        >>> hk.Interval.parse("m3").semitones, hk.Interval.parse("-P5").semitones
        (3, -7)
        """
        return cls(*_read(need_text(text, "the name of an interval", '"m3"')))

    @property
    def name(self) -> str:
        """The usual short name, ``"-"`` before it when the interval falls."""
        down = self.steps < 0 or (self.steps == 0 and self.semitones < 0)
        steps, semitones = (-self.steps, -self.semitones) if down else (self.steps, self.semitones)
        octaves, place = divmod(steps, 7)
        alter = semitones - 12 * octaves - SEMITONES[place]
        return f"{'-' if down else ''}{_alter_quality(alter, place)}{steps + 1}"

    def __neg__(self) -> Interval:
        return Interval(-self.steps, -self.semitones)

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Interval.parse({self.name!r})"


def as_interval(given: Interval | str) -> Interval:
    """Return an interval that was handed in as such or as text.

    Examples
    --------
    >>> as_interval("-m3").semitones
    -3
    """
    if isinstance(given, Interval):
        return given
    if isinstance(given, str):
        return Interval.parse(given)
    mend = '"m3" up, "-m3" down'
    if isinstance(given, int) and abs(given) < len(_BY_SEMITONES):
        mend = f'"{"-" * (given < 0)}{_BY_SEMITONES[abs(given)]}"'
    raise wrong_kind(given, "an interval, or its name as text", mend)


_BY_SEMITONES = "P1 m2 M2 m3 M3 P4 A4 P5 m6 M6 m7 M7 P8".split()


@lru_cache(maxsize=256)
def _read(text: str) -> tuple[int, int]:
    """Return letter steps and semitones of the name of an interval."""
    found = _INTERVAL.fullmatch(text.strip())
    number = int(found[3]) if found else 0
    alter = _quality_alter(found[2], (number - 1) % 7) if found and number else None
    if found is None or alter is None:
        raise HarmonyError(
            f"{text!r} is not an interval",
            rule="P with 1, 4, 5, 8; M or m with 2, 3, 6, 7; A or d with any; - for down",
            mend='"M2", "m3", "P5" or "-m3"',
        )
    octaves, place = divmod(number - 1, 7)
    semitones = 12 * octaves + SEMITONES[place] + alter
    sign = -1 if found[1] else 1
    return sign * (number - 1), sign * semitones


def _quality_alter(quality: str, place: int) -> int | None:
    """Return semitones away from the perfect or major interval, or None if there is none such."""
    perfect = place in _PERFECT
    if quality == ("P" if perfect else "M"):
        return 0
    if quality == "m" and not perfect:
        return -1
    if quality[0] == "A":
        return len(quality)
    if quality[0] == "d":
        return -len(quality) if perfect else -len(quality) - 1
    return None


def _alter_quality(alter: int, place: int) -> str:
    perfect = place in _PERFECT
    if alter == 0:
        return "P" if perfect else "M"
    if alter > 0:
        return "A" * alter
    if alter == -1 and not perfect:
        return "m"
    return "d" * (-alter if perfect else -alter - 1)
