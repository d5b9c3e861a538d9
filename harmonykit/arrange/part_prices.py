"""Layers of a network: the shapes of one part, where it is reached from, what it costs alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from harmonykit.arrange import arrangement, clashes, styles, wishes
from harmonykit.arrange.costs import Grips
from harmonykit.arrange.learning import Learning
from harmonykit.arrange.moves import Part, Setting, Variant
from harmonykit.arrange.shapes import Row
from harmonykit.arrange.slots import Slot, is_heard, melody_between
from harmonykit.arrange.weights import Weights
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.leading.staircase import Notes
from harmonykit.theory.leading.ways import FOREVER, Costs
from harmonykit.values import dataclass

URGENT = 4
"""So many times dearer is a chance not taken where a player asked for the move."""


class PartPrices:
    """What parts cost in a search.

    Parameters
    ----------
    weights : Weights
    demands : Demands, optional
    setting : Setting, optional
    line : Line, optional
        The wanted heights of the highest pitch.
    places : tuple of int
        How much is wanted in each bar of a phrase, in percent.
    extra : callable, optional
        By how many bits a variant makes the harmony more unusual.

    Attributes
    ----------
    urgent : bool
        Whether the player asked for a move wherever it fits.
    learning : Learning or None
        What grips cost that are yet to be learnt.
    """

    def __init__(
        self,
        weights: Weights,
        demands: wishes.Demands | None = None,
        setting: Setting | None = None,
        line: styles.Line | None = None,
        places: tuple[int, ...] = (100,),
        extra: Callable[[Variant, Sequence[Slot]], float] | None = None,
    ) -> None:
        self.weights, self.setting, self.line = weights, setting, line
        self.demands = demands or wishes.Demands()
        self.places, self.extra = places, extra
        self.urgent = False
        self.learning: Learning | None = None
        self._learnt: dict[Grips, Costs] = {}

    @property
    def tempo(self) -> float:
        """Quarters a minute."""
        return 120.0 if self.setting is None else self.setting.tempo

    def stands(self, part: Part, slot: Slot) -> bool:
        """Whether no demand keeps a part from its slot."""
        if part.move and part.chord is not None and part.chord != slot.chord:
            for moment, refused in self.demands.refused:
                if slot.onset <= moment < slot.end and part.chord.pcs == refused.pcs:
                    return False
        return True

    @property
    def put_in(self) -> int:
        """What an added chord costs, less what it is worth."""
        return self.weights.change - self.weights.wish

    def lingers(self, part: Part) -> int:
        """Return what it costs that the diminished seventh of an ornament is long."""
        seventh = part.chord is not None and part.chord.is_diminished_seventh
        if not seventh or part.move not in arrangement.ORNAMENTS:
            return 0
        seconds = float(part.beats) * 60 / self.tempo
        return round(self.weights.linger * max(0.0, seconds - 1))

    def chance(self, slot: Slot) -> int:
        """Return what a chance not taken costs in the last bar of a slot."""
        if self.urgent:
            return URGENT * self.weights.chance
        places = {} if self.setting is None else self.setting.places
        place = places.get(slot.pieces[-1].bar, 0)
        return self.weights.chance * self.places[place % len(self.places)] // 100

    def whole(self, slot: Slot, variant: Variant, *, begins: bool) -> int:
        """Return what it costs that the chord as written does not sound first.

        Dearer is what the tune leads to by a diminished seventh of its own.  ``begins`` says
        whether nothing sounded before.
        """
        first = variant.parts[0].chord
        if first is None or slot.chord is None or first == slot.chord:
            return 0
        cost = self.weights.whole if first.is_diminished_seventh else 0
        if _is_led_to(slot) and first.root.pitch_class != slot.chord.root.pitch_class:
            cost += self.weights.loose
        opens = begins and self.setting is not None and len(self.setting.rests) > 1
        moved = first.pcs != slot.chord.pcs and variant.parts[0].move not in arrangement.ORNAMENTS
        return cost + (self.weights.opening if opens and moved else 0)

    def unusual(self, slots: Sequence[Slot], variant: Variant) -> int:
        """Return what the harmony of a variant costs: too unusual, or with too little colour.

        What ornaments has none, since lead sheets do not write it.
        """
        moves = {part.move for part in variant.parts if part.move}
        if self.extra is None or not self.weights.harmony or not moves or variant.free:
            return 0
        bits = 0.0 if moves <= arrangement.ORNAMENTS else max(0.0, self.extra(variant, slots))
        return round(self.weights.harmony * abs(bits - self.weights.colour))

    def own(self, part: Part, slot: Slot, shapes: Row, *, begins: bool) -> Costs:
        """Return what each shape of a part costs there, clashes and demands in it.

        ``begins`` says whether nothing sounded before.
        """
        if shapes is None:
            return np.zeros(1, dtype=np.int64)
        own: Costs = shapes.own
        if self.learning is not None:
            if shapes.grips not in self._learnt:
                self._learnt[shapes.grips] = self.learning.extra(shapes)
            own = own + self._learnt[shapes.grips]
        if self.line is not None and self.weights.contour:
            own = own + self.weights.contour * self.line.off(part.onset, shapes.tops)
        added = self._added(part, slot, shapes)
        if added is not None:
            own = own + self.weights.clash * added
            if self.demands.no_added_clashes:
                own = np.where(added > 0, FOREVER, own)
        first = self.demands.first
        if first is not None and begins and part.onset == slot.onset:
            own = np.where([voicing == first for voicing in shapes.voicings], own, FOREVER)
        last = self.demands.last
        if last is not None and slot.ends_sound and part.onset + part.beats == slot.end:
            own = np.where([voicing == last for voicing in shapes.voicings], own, FOREVER)
        return own

    def _added(self, part: Part, slot: Slot, shapes: Row) -> Costs | None:
        setting = self.setting
        if setting is None or not setting.melody or shapes is None or part.chord is None:
            return None
        if part.chord == slot.chord:
            return None
        notes = _heard(part, slot, setting)
        resolves = clashes.goes_home(part.chord, slot.chord, slot.after)
        return clashes.count_added(
            part.chord, slot.chord, shapes.pitches, notes, setting.key, resolves=resolves
        )


def _is_led_to(slot: Slot) -> bool:
    """Whether the tune has the leading-tone diminished seventh of a slot's chord before it."""
    before, chord = slot.before, slot.chord
    if before is None or chord is None or not before.is_diminished_seventh:
        return False
    return (chord.root.pitch_class - 1) % 12 in before.pcs


def _heard(part: Part, slot: Slot, setting: Setting) -> list[int]:
    """Return the melody notes over a part that are on a beat or last half a beat or more."""
    piece = slot.piece_in(part.bar)
    found = melody_between(setting.melody, part.onset, part.onset + part.beats)
    start = piece.onset - piece.at
    return [sung.note.midi for sung in found if is_heard(sung, start, piece.meter)]


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
