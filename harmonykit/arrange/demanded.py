"""What is demanded at the places of a tune: checked, and told from what else is offered there."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange.moves import MoveRule, Part, Setting, Variant, Web, move_named, placing
from harmonykit.arrange.slots import Piece, Slot
from harmonykit.arrange.wishes import Chosen, Demands, as_moment
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import beat_length
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

CHOICE = "your choice"
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


@dataclass(frozen=True, slots=True)
class YourChoice:
    """Chords of a user's own choice in one slot, which no move need offer there."""

    row: Chosen
    name: str = CHOICE

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant]:
        """Yield the slot with the chords, where they are for it and none goes on over a bar."""
        inside = [piece for _, at, _ in self.row for piece in slot.pieces if _holds(piece, at)]
        if self.row[0][1] == slot.onset and len(inside) == len(self.row):
            parts = []
            for piece, (chord, at, beats) in zip(inside, self.row, strict=True):
                part = Part(chord, at, beats, piece.bar)
                if chord is not None and chord != slot.chord:
                    clash = placing.melody_clash(chord, at, beats, piece, setting)
                    reason = f"Your choice, although {clash}" if clash else "Your choice"
                    part = replace(part, move=self.name, reason=reason)
                parts.append(part)
            yield Variant(tuple(parts), keeps_first=self.row[0][0] == slot.chord)


def _holds(piece: Piece, at: Fraction) -> bool:
    return piece.onset <= at < piece.onset + piece.beats


def chosen_row(
    slot: Slot, bar: int, bars: Sequence[Sequence[Chord]], after: Fraction = Fraction(0)
) -> Chosen:
    """Return a slot with chords of one's own from a place on; its other bars stay as written.

    Parameters
    ----------
    slot : Slot
    bar : int
        The bar in which they begin, in playing order from 0.
    bars : sequence of sequence of Chord
        Bar after bar; those of a bar share its beats, the first has what is left over.
    after : Fraction
        How long after the start of the bar they begin, in quarters; before that stands what is
        written.

    Raises
    ------
    HarmonyError
        If they are more than the slot has bars, or beats.

    Examples
    --------
    >>> from harmonykit.arrange.slots import slots_of
    >>> (slot,) = slots_of(Tune.parse("| Dm7 | % |"))
    >>> row = chosen_row(slot, 0, [[Chord.parse(name) for name in ("Am7", "D7", "G7")]])
    >>> [(str(chord), int(at), int(beats)) for chord, at, beats in row]
    [('Am7', 0, 2), ('D7', 2, 1), ('G7', 3, 1), ('Dm7', 4, 4)]
    """
    held = slot.pieces[-1].bar + 1 - bar
    if len(bars) > held:
        raise HarmonyError(
            f"{len(bars)} bars of chords do not fit: the place has {counted(held, 'bar')} from "
            "there",
            rule="the chords of one bar stand between |",
        )
    own = dict(enumerate(bars, bar))
    return tuple(
        told
        for piece in slot.pieces
        for part, chords in _parted(piece, own.get(piece.bar), after * (piece.bar == bar))
        for told in _shared(part, chords or [slot.chord])
    )


def _parted(
    piece: Piece, chords: Sequence[Chord] | None, after: Fraction
) -> Iterator[tuple[Piece, Sequence[Chord] | None]]:
    """Yield a piece of a bar, in two where its chords begin later than it does."""
    early = after - piece.at
    if chords is None or early <= 0:
        yield piece, chords
        return
    yield replace(piece, beats=early), None
    rest = piece.beats - early
    yield replace(piece, onset=piece.onset + early, at=after, beats=rest), chords


def _shared(piece: Piece, chords: Sequence[Chord | None]) -> Iterator[_Told]:
    """Yield chords that share a piece beat by beat, the first with what is left over."""
    beat = beat_length(piece.meter)
    count = piece.beats / beat
    if len(chords) > 1 and (count.denominator != 1 or len(chords) > count):
        raise HarmonyError(
            f"{len(chords)} chords do not fit {float(count):g} beats", rule="one chord a beat"
        )
    each = beat * (count // len(chords)) if len(chords) > 1 else piece.beats
    end = piece.onset + piece.beats
    starts = [piece.onset, *(end - each * n for n in range(len(chords) - 1, 0, -1))]
    for chord, (start, stop) in zip(chords, pairwise([*starts, end]), strict=True):
        yield chord, start, stop - start


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
