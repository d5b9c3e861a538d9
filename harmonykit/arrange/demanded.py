"""What is demanded at the places of a tune: checked, and told from what else is offered there."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from harmonykit.arrange.moves import MoveRule, Variant, Web, move_named
from harmonykit.arrange.slots import Slot
from harmonykit.arrange.wishes import Chosen, Demands, as_moment
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

_Told = tuple[Chord | None, Fraction, Fraction]


def check_demands(
    demands: Demands, tune: Tune, instrument: Instrument, slots: Sequence[Slot]
) -> None:
    """Make sure that a tune and an instrument have what is demanded of them.

    Raises
    ------
    HarmonyError
        If a section, a shape or a place is not among theirs.
    """
    names = [section.name for section in tune.sections]
    for section, moves in demands.by_section:
        if section not in names:
            raise HarmonyError(
                f"{section!r} is not a section of the tune",
                rule=f"the sections are {', '.join(names)}",
            )
        for move in moves:
            move_named(move)
    for shape in (demands.first, demands.last):
        if shape is not None and shape.instrument != instrument:
            raise HarmonyError(
                f"{shape.digits} is a shape on {shape.instrument.name}",
                rule=f"the arrangement is for {instrument.name}",
            )
    for moment, chord in demands.refused:
        slot = slots[slot_at(slots, moment)]
        if chord == slot.chord:
            raise HarmonyError(
                f"bar {slot.pieces[0].number}: {chord.unicode} is the tune's own chord",
                rule="only an added chord can be refused",
            )
    for row in demands.wanted:
        start, end = row[0][1], row[-1][1] + row[-1][2]
        slot = slots[slot_at(slots, start)]
        if (start, end) != (slot.onset, slot.end):
            raise HarmonyError(
                f"bar {slot.pieces[0].number}: the wanted chords last from quarter note "
                f"{start} to {end}",
                rule=f"they must fill the place of a chord, here from {slot.onset} to {slot.end}",
            )


def slot_at(slots: Sequence[Slot], moment: object) -> int:
    """Return which slot sounds at a moment of the tune as played.

    Raises
    ------
    HarmonyError
        If it is before the tune or after it.
    """
    at = as_moment(moment)
    found = [place for place, slot in enumerate(slots) if slot.onset <= at < slot.end]
    if not found:
        raise HarmonyError(
            f"nothing sounds at quarter note {moment}",
            rule=f"the tune lasts from quarter note 0 to {slots[-1].end}",
        )
    return found[0]


def written_in(slot: Slot) -> Chosen:
    """Return what the tune has in a slot, as what is chosen for it."""
    return tuple((slot.chord, piece.onset, piece.beats) for piece in slot.pieces)


def is_allowed(slot: Slot, rule: MoveRule, demands: Demands) -> bool:
    """Whether demands let a move into a slot."""
    locked = any(piece.number in demands.locked for piece in slot.pieces)
    return not locked and demands.allows(slot.section, rule.name)


def as_chosen(
    variants: Iterable[tuple[str, Variant | Web]],
    may: Mapping[int, set[Chosen]],
    slots: Sequence[Slot],
    index: int,
) -> Iterator[tuple[str, Variant | Web]]:
    """Yield of all variants of a slot those with what may stand there, at its moments."""
    for move, each in variants:
        if isinstance(each, Web) and index not in may:
            yield move, each
            continue
        for row in each.rows() if isinstance(each, Web) else [each]:
            told = [(part.chord, part.onset, part.beats) for part in row.parts]
            covered = range(index, index + row.slots)
            if all(
                tuple(_inside(told, slots[place])) in may[place]
                for place in covered
                if place in may
            ):
                yield move, row


def _inside(row: Iterable[_Told], slot: Slot) -> Iterator[_Told]:
    return (told for told in row if slot.onset <= told[1] < slot.end)
