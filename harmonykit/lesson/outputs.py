"""Which play-along files a lesson wants.

An output is a kind of file with what is particular to it in front::

    mid                 the performance as MIDI
    wav, mp3            the performance as sound
    loops               each section as a WAV file whose end meets its start
    slow ..., bass ..., slow bass ...      any of these slowly, over a bass, or both
    tuning              the open strings, for the whole lesson

All of one name have the same timing: tuning notes, count-in and strokes are at the same moments in
``mid``, ``wav`` and ``mp3``, and in ``slow mid``, ``slow wav`` and ``slow mp3``.  Loops are not
made as MP3 files: an MP3 player leaves a gap where the end meets the start.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from harmonykit.errors import HarmonyError

KINDS = ("mid", "wav", "mp3", "loops")
TUNING = "tuning"
_FRONTS = ("", "slow ", "bass ", "slow bass ")
OUTPUTS = (*(front + kind for front in _FRONTS for kind in KINDS), TUNING)
DEFAULT = ("mid", "wav", "mp3", "slow mp3", TUNING)
SLOWEST = 0.3


@dataclass(frozen=True, slots=True)
class PlayAlong:
    """What is wanted of the play-along.

    Parameters
    ----------
    outputs : tuple of str
        Of ``OUTPUTS``.
    slow : float
        The slow tempo as a part of the level's own, 0.3 to 1.
    tuning : bool
        Whether the open strings are played before each count-in; they are wanted once before a
        lesson, not each time that a tune is played, and so have a file of their own.
    click : bool
        Whether a soft click goes on through the tune.
    melody : bool
        Whether the tune's melody sounds too, where it is known.

    Raises
    ------
    HarmonyError
        For an output that is not known, or one that is named twice; for a slow tempo out of range.
    """

    outputs: tuple[str, ...] = DEFAULT
    slow: float = 0.7
    tuning: bool = False
    click: bool = True
    melody: bool = False

    def __post_init__(self) -> None:
        for index, output in enumerate(self.outputs):
            _check(output, self.outputs[:index])
        if not SLOWEST <= self.slow <= 1:
            raise HarmonyError(
                f"a slow tempo of {self.slow:g}",
                rule=f"a part of the tempo, {SLOWEST:g} to 1",
                mend="0.7",
            )

    @property
    def takes(self) -> tuple[Take, ...]:
        """What is to be played, in the order of ``OUTPUTS``."""
        found = []
        for front in _FRONTS:
            kinds = tuple(kind for kind in KINDS if front + kind in self.outputs)
            if kinds:
                found.append(Take("slow" in front, "bass" in front, kinds))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Take:
    """One way of playing, and the kinds of files that are made of it.

    Examples
    --------
    >>> for take in PlayAlong(("wav", "slow bass mp3", "slow bass mid")).takes:
    ...     print(take.suffix, take.kinds)
     ('wav',)
    -slow-bass ('mid', 'mp3')
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
        """What is added to a title: ``" (slow, with a bass)"``."""
        found = ["slow"] * self.slow + ["with a bass"] * self.bass
        return f" ({', '.join(found)})" if found else ""


def _check(output: str, before: tuple[str, ...]) -> None:
    if output not in OUTPUTS:
        near = difflib.get_close_matches(output, OUTPUTS, 1)
        raise HarmonyError(
            f"{output!r} is no play-along output",
            rule=f"{', '.join(KINDS)}, each at choice after slow, bass or both; or {TUNING}",
            mend=f'"{near[0]}"' if near else "",
        )
    if output in before:
        raise HarmonyError(f"{output!r} is named twice", rule="each output once")
