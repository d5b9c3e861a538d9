"""A walk on the cube of the sixteen chords that alternate with a diminished seventh.

The pure part of the cube panel: its state, and what the state comes to.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from harmonykit.draw.cube import chords_of, neighbours
from harmonykit.errors import HarmonyError
from harmonykit.theory.alternation import Cube, alternation_cube
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import diminished_sevenths
from harmonykit.theory.spelling import need_diminished
from harmonykit.workbook.base.names import count, list_notes, note_of

CHORDS = tuple(chord.symbol for chord in diminished_sevenths())
LONGEST = 16


@dataclass(frozen=True, slots=True)
class CubeState:
    """What the panel's controls set.

    Parameters
    ----------
    chord : str
        The diminished seventh with which the sixteen alternate.
    walked : tuple of str
        The corners that were walked, each as the notes raised: ``"0110"``.
    """

    chord: str = "Cdim7"
    walked: tuple[str, ...] = ("0000",)

    def __post_init__(self) -> None:
        need_diminished(Chord.parse(self.chord))
        if not 1 <= len(self.walked) <= LONGEST:
            raise HarmonyError(f"{len(self.walked)} corners walked", rule=f"1 to {LONGEST}")
        for corner in self.walked:
            if len(corner) != 4 or set(corner) - set("01"):
                raise HarmonyError(f"{corner!r} is no corner", mend="0110")
        for one, other in pairwise(self.walked):
            if not neighbours(one, other):
                raise HarmonyError(f"no edge from {one} to {other}", rule="one note at a time")


@dataclass(frozen=True, slots=True)
class Walk:
    """What a state comes to: the cube, and the chord of each corner by its name."""

    state: CubeState
    cube: Cube
    chords: dict[str, Chord]

    @property
    def here(self) -> Chord:
        """The chord that was reached."""
        return self.chords[self.state.walked[-1]]

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        walked = self.state.walked
        names = " – ".join(self.chords[corner].unicode for corner in walked)
        steps = count(len(walked) - 1, "semitone")
        last = ""
        if len(walked) > 1:
            before, after = self.chords[walked[-2]], self.here
            (old,), (new,) = before.pcs - after.pcs, after.pcs - before.pcs
            verb = "rises" if (new - old) % 12 == 1 else "falls"
            last = f", {note_of(old, before).unicode} {verb} to {note_of(new, after).unicode}"
        return (
            f"{names}: {steps}{last}; {self.here.unicode} is "
            f"{list_notes(self.here.pcs, self.here)}, {walked[-1].count('1')} of 4 notes raised"
        )


def compute(state: CubeState) -> Walk:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(CubeState("Cdim7", ("0000", "0001"))).facts)
    E°7 – C♯m7♭5: 1 semitone, B♭ rises to B; C♯m7♭5 is C♯, E, G and B, 1 of 4 notes raised
    """
    cube = alternation_cube(Chord.parse(state.chord))
    return Walk(state, cube, chords_of(state.chord))
