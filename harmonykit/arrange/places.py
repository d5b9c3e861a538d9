"""What could stand at a place of an arrangement, with what it costs elsewhere.

All else stays as it is, chord by chord; the shapes around the place are found anew.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.functions import often_at
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.offering import standing
from harmonykit.arrange.search import search_space
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.errors import HarmonyError, need_whole


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way to fill a place.

    Parameters
    ----------
    arrangement : Arrangement
        The whole, with it.
    steps : tuple of Step
        What stands at the place.
    extra : int
        By how much the whole costs more than the cheapest; 0 for that one.
    """

    arrangement: Arrangement
    steps: tuple[Step, ...]
    extra: int

    @property
    def chords(self) -> str:
        """The chords at the place, in order."""
        return " ".join(step.chord.unicode if step.chord else "N.C." for step in self.steps)

    @property
    def reason(self) -> str:
        """Why they may stand there; empty for the tune's own."""
        return " ".join(dict.fromkeys(step.reason for step in self.steps if step.reason))

    @property
    def often(self) -> str:
        """How often the first added chord was heard between its neighbours; empty for none."""
        steps = self.arrangement.steps
        added = (place for place, step in enumerate(steps) if step in self.steps and step.move)
        place = next(added, None)
        return "" if place is None else often_at(self.arrangement, place)

    def __str__(self) -> str:
        why = self.reason or "As written."
        return f"{self.chords} (+{self.extra}): {why}"


def alternatives(
    way: Arrangement, bar: int, chord: int = 1, moves: Iterable[str] | None = None, most: int = 12
) -> tuple[Alternative, ...]:
    """Return what could stand in the place of a chord of the tune, the cheapest first.

    Parameters
    ----------
    way : Arrangement
    bar : int
        A bar as played, from 1.
    chord : int
        Which chord of the tune in that bar, from 1.
    moves : iterable of str, optional
        Moves and idioms by name; all moves where not given.
    most : int
        How many, at most.

    Returns
    -------
    tuple of Alternative
        Those with other chords; the tune's own is among them.

    Raises
    ------
    HarmonyError
        If there is no such bar or chord.

    Examples
    --------
    >>> (way,) = hk.reharmonise("| Dm7 | G7 | C6 | C6 |", "ukulele", k=1)
    >>> found = hk.arrange.alternatives(way, bar=2, moves=["rootless dominant"])
    >>> sorted(each.chords for each in found)
    ['B°7', 'G7', 'G7 B°7', 'G7 F♯°7 G7']
    """
    place, slot = _slot_at(way, need_whole(bar, "bar", 1), need_whole(chord, "chord", 1))
    slots = slots_of(way.tune)
    names = tuple(dict.fromkeys([*way.moves, *(MOVES if moves is None else moves)]))
    chosen = {n: standing(way, one) for n, one in enumerate(slots) if n != place}
    space = search_space(way.tune, way.instrument, names, replace(way.asked, chosen=chosen))
    ways = space.network.cheapest(need_whole(most, "most", 1), apart=slot)
    found = []
    for cost, each in ways:
        whole = space.arrangement(cost, each, way.name)
        steps = tuple(s for s in whole.steps if slot.onset <= s.onset < slot.end)
        found.append(Alternative(whole, steps, cost - ways[0][0]))
    return tuple(found)


def _slot_at(way: Arrangement, bar: int, chord: int) -> tuple[int, Slot]:
    inside = [
        (place, slot)
        for place, slot in enumerate(slots_of(way.tune))
        if any(piece.bar == bar - 1 for piece in slot.pieces)
    ]
    if not inside:
        raise HarmonyError(
            f"bar {bar} is not in {way.tune.title!r}", rule=f"bars 1 to {len(way.tune.playing)}"
        )
    if chord > len(inside):
        raise HarmonyError(f"bar {bar} has no chord {chord}", rule=f"chords 1 to {len(inside)}")
    return inside[chord - 1]
