"""The layers of a network: the shapes of one part, and where it can be reached from."""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.arrange.moves import Part
from harmonykit.arrange.shapes import Row
from harmonykit.arrange.slots import Slot
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.leading.staircase import Notes
from harmonykit.theory.leading.ways import Costs


@dataclass(frozen=True, slots=True)
class Choice:
    """A part of a way that was chosen, with its shape."""

    part: Part
    slot: Slot
    voicing: Voicing | None


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """The shapes of one part, what each costs by itself, and where it can be reached from.

    ``chained`` layers keep to the shape of the same place in their parent; ``index`` counts the
    network's layers.
    """

    index: int
    part: Part
    slot: Slot
    shapes: Row
    own: Costs
    parents: tuple[Layer, ...]
    chained: bool

    @property
    def sounds(self) -> list[Notes]:
        """The sounding pitches of each shape, sorted; silence is one way to play."""
        return [()] if self.shapes is None else self.shapes.sounds

    def node(self, voicing: Voicing | None) -> int | None:
        """Return which of the shapes one is, or None where it is not among them."""
        if self.shapes is None or voicing is None:
            return 0 if self.shapes is None and voicing is None else None
        places = (place for place, one in enumerate(self.shapes.voicings) if one == voicing)
        return next(places, None)

    def choice(self, node: int) -> Choice:
        """Return the part with one of its shapes."""
        voicing = None if self.shapes is None else self.shapes.voicings[node]
        return Choice(self.part, self.slot, voicing)


@dataclass(frozen=True, slots=True)
class End:
    """The last layer of a variant, what it asks of the slot that follows, and the bar's chords."""

    layer: Layer
    needs_next: bool
    in_bar: int


def size_of(row: Row) -> int:
    """Return how many ways there are to play a part: silence is one."""
    return 1 if row is None else len(row)
