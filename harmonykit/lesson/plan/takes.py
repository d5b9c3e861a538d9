"""Which play-along files a lesson wants, and how they are played.

A file is named by its kind, with what is particular to it in front::

    mid                 the performance as MIDI
    wav, mp3            the performance as sound
    loops               each section as a WAV file whose end meets its start
    slow ..., bass ..., slow bass ...      any of these slowly, over a bass, or both
    parts mp3, parts wav                   each part for everyone, where the lesson has them
    tuning              the open strings, once for the whole lesson

All files with the same words in front have the same timing: tuning notes, count-in and strokes are
at the same moments in ``mid``, ``wav`` and ``mp3``, and in ``slow mid`` and ``slow mp3``.  Loops
are not made as MP3 files: an MP3 player leaves a gap where the end meets the start.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass, fields, replace

KINDS = ("mid", "wav", "mp3", "loops")
TUNING = "tuning"
_FRONTS = ("", "slow ", "bass ", "slow bass ")
_PARTS = "parts "
PART_FILES = (_PARTS + "mp3", _PARTS + "wav")
FILES = (*(front + kind for front in _FRONTS for kind in KINDS), *PART_FILES, TUNING)
# What phones play, a tenth as large as a WAV file.
DEFAULT = ("mid", "mp3")
SLOWEST = 0.3


@dataclass(frozen=True, slots=True)
class PlayAlong:
    """What is wanted of the play-along.

    Parameters
    ----------
    files : tuple of str
        Of ``FILES``.
    slow : float
        The slow tempo as a part of the level's own, 0.3 to 1.
    tuning : bool
        Whether the open strings are played before each count-in.  They are wanted once before a
        lesson, not each time that a tune is played, and so have a file of their own.
    click : bool
        Whether a soft click goes on through the tune.
    melody : bool
        Whether the tune's melody sounds too, where it is known.
    percussion : bool
        Whether the small percussion of the groove sounds, where it has any.

    Raises
    ------
    HarmonyError
        For a file that is not known, or one that is named twice; for a slow tempo out of range.
    """

    files: tuple[str, ...] = DEFAULT
    slow: float = 0.7
    tuning: bool = False
    click: bool = True
    melody: bool = False
    percussion: bool = True

    def __post_init__(self) -> None:
        for index, name in enumerate(self.files):
            _check_file(name, self.files[:index])
        if not SLOWEST <= self.slow <= 1:
            raise HarmonyError(
                f"a slow tempo of {self.slow:g} is out of range",
                rule=f"a share of the tempo, {SLOWEST:g} to 1",
                mend="0.7",
            )

    @classmethod
    def of(cls, table: Mapping[str, Any]) -> PlayAlong:
        """Read what is wanted from a table, as in the header of a lesson.

        Raises
        ------
        HarmonyError
            For a key that is not known or a value of the wrong kind too.

        Examples
        --------
        >>> PlayAlong.of({"files": ["mp3", "slow bass mp3"], "slow": 0.6}).slow
        0.6
        """
        known = {field.name for field in fields(cls)}
        for key, value in table.items():
            if key not in known:
                near = difflib.get_close_matches(key, known, 1) or sorted(known)
                raise HarmonyError(f"{key!r} is not a sound setting", mend=", ".join(near))
            _check_kind(key, value)
        values: dict[str, Any] = dict(table)
        if "files" in values:
            values["files"] = tuple(values["files"])
        return cls(**values)

    @property
    def with_wav(self) -> PlayAlong:
        """The same, with a WAV file beside each MP3.

        Examples
        --------
        >>> PlayAlong(("mp3", "slow mp3", "slow wav")).with_wav.files
        ('mp3', 'slow mp3', 'slow wav', 'wav')
        """
        names = [name.replace("mp3", "wav") for name in self.files if name.endswith("mp3")]
        more = tuple(name for name in names if name not in self.files)
        return replace(self, files=(*self.files, *more))

    @property
    def part_kinds(self) -> tuple[str, ...]:
        """The kinds of files that each part for everyone is written as, beside MIDI."""
        return tuple(name.removeprefix(_PARTS) for name in PART_FILES if name in self.files)

    @property
    def takes(self) -> tuple[Take, ...]:
        """What is to be played, in the order of ``FILES``."""
        found = []
        for front in _FRONTS:
            kinds = tuple(kind for kind in KINDS if front + kind in self.files)
            if kinds:
                found.append(Take("slow" in front, "bass" in front, kinds))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Take:
    """One way of playing, and the kinds of files that are made of it.

    Examples
    --------
    >>> for take in PlayAlong(("wav", "slow bass mp3", "slow bass mid")).takes:
    ...     print(repr(take.suffix), take.kinds)
    '' ('wav',)
    '-slow-bass' ('mid', 'mp3')
    """

    slow: bool
    bass: bool
    kinds: tuple[str, ...]

    @property
    def suffix(self) -> str:
        """What is added to the stem of the files' names."""
        return "-slow" * self.slow + "-bass" * self.bass

    @property
    def words(self) -> str:
        """What is added to a title: ``" (slow, with bass)"``."""
        found = ["slow"] * self.slow + ["with bass"] * self.bass
        return f" ({', '.join(found)})" if found else ""


def _check_file(name: str, before: tuple[str, ...]) -> None:
    if name not in FILES:
        near = difflib.get_close_matches(name, FILES, 1)
        raise HarmonyError(
            f"{name!r} is not a play-along file",
            rule=f"{', '.join(KINDS)}, each alone or after slow, bass or both; "
            f"{', '.join(PART_FILES)}; or {TUNING}",
            mend=f'"{near[0]}"' if near else "",
        )
    if name in before:
        raise HarmonyError(f"{name!r} is named twice", rule="each file once")


def _check_kind(key: str, value: object) -> None:
    if key == "files":
        right = isinstance(value, list | tuple) and all(isinstance(name, str) for name in value)
        rule = "a list of texts in quotes"
    elif key == "slow":
        right, rule = isinstance(value, int | float) and not isinstance(value, bool), "a number"
    else:
        right, rule = isinstance(value, bool), "true or false"
    if not right:
        raise HarmonyError(f"{key} is {value!r}", rule=rule)
