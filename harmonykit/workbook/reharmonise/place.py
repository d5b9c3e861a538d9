"""A place of the chosen arrangement: what may be done with its chord, and what could stand there.

A place is a slot of the tune as played, counted from 0; its chords are counted from 0, too.
"""

from dataclasses import dataclass

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.functions import often_at
from harmonykit.arrange.left_alone import left_as_written
from harmonykit.arrange.places import Alternative, alternatives
from harmonykit.arrange.revising import chosen_at
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.errors import HarmonyError
from harmonykit.tune.tune import PICKUP
from harmonykit.workbook.reharmonise.decisions import Decisions

PLACE = "place-"
MOST_OTHERS = 12


@dataclass(frozen=True, slots=True)
class Place:
    """A chord of an arrangement that was pressed.

    Parameters
    ----------
    number, chord : int
        The slot, and which of its chords.
    slot : Slot
    index : int
        The step of the arrangement.
    """

    number: int
    chord: int
    slot: Slot
    index: int

    @property
    def id(self) -> str:
        """By what it is pressed."""
        return f"{PLACE}{self.number}-{self.chord}"


def places_of(way: Arrangement) -> tuple[Place, ...]:
    """Return the place of each step of an arrangement.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("| C6 A7 | Dm7 |", "ukulele", (), 1)
    >>> [place.id for place in places_of(way)]
    ['place-0-0', 'place-1-0', 'place-2-0']
    """
    slots, found = slots_of(way.tune), []
    number = chord = 0
    for index, step in enumerate(way.steps):
        while step.onset >= slots[number].end:
            number, chord = number + 1, 0
        found.append(Place(number, chord, slots[number], index))
        chord += 1
    return tuple(found)


def place_at(way: Arrangement, name: str) -> Place:
    """Return the place of an id; where the slot has fewer chords now, its last.

    Raises
    ------
    HarmonyError
        If there is none.
    """
    number, _, chord = name.removeprefix(PLACE).partition("-")
    inside = [each for each in places_of(way) if str(each.number) == number]
    if not inside or not chord.isdigit():
        raise HarmonyError(f"unknown part {name!r}")
    return inside[min(int(chord), len(inside) - 1)]


def bar_said(way: Arrangement, index: int) -> str:
    """Return the written bar of a step, and the quarter on which it does not begin the bar."""
    step = way.steps[index]
    played = way.tune.playing[step.bar]
    number, beat = played.bar.number, step.onset - played.onset + 1
    said = f"bar {number}" if number else f"the {PICKUP}"
    return said if beat == 1 else f"{said}, beat {beat.limit_denominator(99)}"


def others_at(way: Arrangement, place: Place) -> tuple[Alternative, ...]:
    """Return what could stand in the slot of a place, what stands there among it."""
    bar = place.slot.bar
    inside = [
        n for n, slot in enumerate(slots_of(way.tune)) if any(p.bar == bar for p in slot.pieces)
    ]
    return alternatives(way, bar + 1, inside.index(place.number) + 1, most=MOST_OTHERS)


def locked(decided: Decisions, way: Arrangement, slots: list[Slot]) -> Decisions:
    """Return the decisions with what stands in some slots locked."""
    return decided.want(chosen_at(way, slot.onset) for slot in slots)


def slots_in(way: Arrangement, bar: int) -> list[Slot]:
    """Return the slots that sound in a bar as played, counted from 0."""
    return [slot for slot in slots_of(way.tune) if any(piece.bar == bar for piece in slot.pieces)]


def held_bars(way: Arrangement, decided: Decisions) -> frozenset[int]:
    """Return the bars as played, counted from 0, in which all that stands is locked."""
    wanted = {each[0][1] for each in decided.wanted}
    free = {
        piece.bar
        for slot in slots_of(way.tune)
        for piece in slot.pieces
        if slot.onset not in wanted and piece.number not in decided.locked
    }
    return frozenset(range(len(way.tune.playing))) - free


def said_of(way: Arrangement, place: Place) -> tuple[str, str]:
    """Return why the chord of a place stands there, and how often it was heard so."""
    step: Step = way.steps[place.index]
    if not step.added:
        alone = left_as_written(way).get(place.number, "")
        said = f" The style adds nothing here: {alone}." if alone else ""
        return f"It is the tune's own chord.{said}", ""
    return step.reason or f"It goes on from the chord before: {step.move}.", often_at(
        way, place.index
    )
