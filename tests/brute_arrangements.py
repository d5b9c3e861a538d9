"""Every arrangement of a small tune, by trying all: what the searches are held against.

What the moves offer is taken from them (they have tests of their own); which shapes there are and
what may follow what is stated here a second time, in plain Python.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise, product
from typing import NamedTuple

from harmonykit.arrange.left_alone import left_alone_in
from harmonykit.arrange.moves import (
    MOVES,
    Part,
    Refused,
    Setting,
    Variant,
    Web,
    as_written,
    move_named,
)
from harmonykit.arrange.slots import Slot, phrasing, slots_of
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.wishes import Demands
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.tones import usual_omissions
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.bar import beat_length
from harmonykit.tune.tune import Tune

MOST_WAYS = 30_000

Shape = tuple[int | None, ...]
Row = tuple[Part, Shape | None]


class UnfitError(Exception):
    """The tune has too many ways to try them all, or a chord without a shape within the limits."""


def pitches(instrument: Instrument, shape: Shape) -> tuple[int, ...]:
    pairs = zip(instrument.midi, shape, strict=True)
    return tuple(sorted(string + fret for string, fret in pairs if fret is not None))


@lru_cache(maxsize=512)
def all_shapes(
    chord: Chord | None, instrument: Instrument, limits: Limits, *, any_bass: bool = False
) -> list[Shape | None]:
    """Return every shape of a chord, by trying all frets on all strings.

    A 13 with a major third has no eleventh; a shape without the root lacks no more than it must;
    on four strings and fewer as many tones sound as can.  In a walk on more than four strings
    any tone may be the lowest where four strings sound four tones.
    """
    if chord is None:
        return [None]
    strings = len(instrument.midi)
    frets: list[int | None] = list(range(limits.max_fret + 1))
    mutes: list[int | None] = [None] if strings > 4 else []
    thirteenth = {(3, 0), (11, 0), (13, 0)} <= {(d.number, d.alter) for d in chord.degrees}
    tones = set(chord.semitones) - ({5} if thirteenth else set())
    wanted = {(chord.root.pitch_class + n) % 12 for n in tones}
    spare = {(chord.root.pitch_class + n) % 12 for n in usual_omissions(chord, strings)}
    found: list[Shape | None] = []
    for shape in product(mutes + frets, repeat=strings):
        fretted = [fret for fret in shape if fret]
        sounding = pitches(instrument, shape)
        if not sounding or fretted and max(fretted) - min(fretted) > 3:
            continue
        heard = {pitch % 12 for pitch in sounding}
        if heard - wanted or wanted - spare - heard:
            continue
        lacking = len(wanted - heard)
        if chord.root.pitch_class not in heard and lacking > max(1, len(wanted) - strings):
            continue
        if strings > 4 and not is_full(shape):
            continue
        inverted = sounding[0] % 12 != chord.bass.pitch_class
        if strings > 4 and inverted and not (any_bass and len(sounding) == len(heard) == 4):
            continue
        if can_hold(shape, instrument, limits):
            found.append(shape)
    if strings > 4:
        return found
    counts = [len({n % 12 for n in pitches(instrument, shape)}) for shape in found if shape]
    return [shape for shape, n in zip(found, counts, strict=True) if n == max(counts)]


def is_full(shape: Shape) -> bool:
    places = [place for place, fret in enumerate(shape) if fret is not None]
    return len(places) >= 4 and places == list(range(places[0], places[-1] + 1))


def all_rows(variant: Variant, instrument: Instrument, limits: Limits) -> list[tuple[Row, ...]]:
    """Return every way to play a variant; a walk goes by steps of its scale."""
    if variant.scale is not None and variant.parts[0].delayed is not None:
        return borrowed_rows(variant, instrument, limits)
    found: list[tuple[Row, ...]] = [()]
    for part in variant.parts:
        walks = part.scale is not None or part.into is not None
        shapes = all_shapes(part.chord, instrument, limits, any_bass=walks)
        found = [
            (*row, (part, shape))
            for row in found
            for shape in shapes
            if not row or is_linked(row[-1], (part, shape), instrument)
        ]
    return found


def is_linked(before: Row, after: Row, instrument: Instrument) -> bool:
    """Whether a walk may go from a shape to a shape, and something is heard to change."""
    (last, low), (first, high) = before, after
    if is_unheard(before, after, instrument):
        return False
    if last.slides:
        pairs = [*zip(low or (), high or (), strict=True)]
        moved = [None if a is None else a + last.slides for a, _ in pairs]
        return moved == [b for _, b in pairs] and not any(0 in (a, b) for a, b in pairs)
    if last.into is not None and last.scale is not None:
        scale, ways = last.into, last.ways
    elif last.scale is not None and last.scale == first.scale and last.away != first.away:
        if first.delayed is not None or last.into is not None:
            return True
        scale, ways = last.scale, first.ways
    else:
        return True
    return any(is_step(low, high, scale, way, instrument) for way in ways)


def is_unheard(before: Row, after: Row, instrument: Instrument) -> bool:
    """Whether a move adds what sounds as the chord beside it; a synonym is another name of it."""
    (last, low), (first, high) = before, after
    moves = {last.move, first.move}
    if last.chord == first.chord or moves == {""} or "chord synonym" in moves:
        return False
    return bool(low and high) and pitches(instrument, low or ()) == pitches(instrument, high or ())


@lru_cache(maxsize=1 << 16)
def is_step(
    low: Shape | None, high: Shape | None, scale: SixthDiminished, way: int, instrument: Instrument
) -> bool:
    """Whether every string goes one scale step; both sound the same strings."""
    if low is None or high is None or len(low) != len(high):
        return False
    for string, a, b in zip(instrument.midi, low, high, strict=True):
        if (a is None) != (b is None):
            return False
        if a is not None and b is not None:
            notes = sorted(n for n in range(130) if n % 12 in set(scale.pcs))
            if string + a not in notes:
                return False
            if notes[notes.index(string + a) + way] != string + b:
                return False
    return True


def borrowed_rows(
    variant: Variant, instrument: Instrument, limits: Limits
) -> list[tuple[Row, ...]]:
    """Return a chord whose one note comes late, on the strings that sound it, and that chord."""
    first, *rest = variant.parts
    assert variant.scale is not None
    found = []
    for start in all_shapes(rest[-1].chord, instrument, limits):
        assert start is not None and rest[-1].chord is not None
        if {pitch % 12 for pitch in pitches(instrument, start)} != set(rest[-1].chord.pcs):
            continue
        late = tuple(
            f
            if f is None or (string + f) % 12 != first.delayed
            else variant.scale.step(string + f) - string
            for string, f in zip(instrument.midi, start, strict=True)
        )
        if can_hold(late, instrument, limits):
            found.append(((first, late), *((part, start) for part in rest)))
    return found


def all_ways(
    tune: Tune,
    instrument: Instrument,
    limits: Limits,
    moves: list[str],
    prefer: str,
    demands: Demands,
) -> Iterator[tuple[list[Chosen], list[Row]]]:
    """Yield every arrangement: what was chosen of each slot, and the rows of all."""
    named = frozenset(moves)
    setting = Setting(tune.key, tune.melody, tune.tempo, 0.5, True, False, named, *phrasing(tune))
    # Where a move is asked for wherever it fits, nothing is left alone; else by the usual style.
    alone = {} if prefer else left_alone_in(tune, STYLES["usual"].heeds)
    slots = [
        _filled(slot, setting, instrument, limits, [] if place in alone else moves, demands)
        for place, slot in enumerate(slots_of(tune))
    ]
    count = 1
    for offered in slots:
        count *= sum(len(rows) for _, _, rows, _ in offered)
    if count > MOST_WAYS:
        raise UnfitError
    for chosen in product(*slots):
        if (
            all(may_follow(a[1], b[1], b[3]) for a, b in pairwise(chosen))
            and not chosen[-1][1].needs_next
        ):
            told = []
            for (move, variant, _, slot), offered in zip(chosen, slots, strict=True):
                names = {name for name, *_ in offered if name}
                chance = any(name and not other.free for name, other, *_ in offered)
                at_rest = not move or (variant.free and prefer not in names)
                missed = chance if at_rest else prefer in names and move != prefer
                told.append(Chosen(slot, variant, bool(missed)))
            for rows in product(*(rows for _, _, rows, _ in chosen)):
                flat = [row for part in rows for row in part]
                if all(is_linked(a, b, instrument) for a, b in pairwise(flat)):
                    yield told, flat


class Chosen(NamedTuple):
    """What was chosen of a slot, and whether a chance was not taken."""

    slot: Slot
    variant: Variant
    missed: bool


Filled = tuple[str, Variant, list[tuple[Row, ...]], Slot]


def _filled(
    slot: Slot,
    setting: Setting,
    instrument: Instrument,
    limits: Limits,
    moves: list[str],
    demands: Demands,
) -> list[Filled]:
    """Return how a slot may be filled, with all the ways to play each."""
    written = all_rows(as_written(slot), instrument, limits)
    if not written:
        raise UnfitError
    found: list[Filled] = [("", as_written(slot), written, slot)]
    wanted = [row for row in demands.wanted if row[0][1] == slot.onset]
    if any(piece.number in demands.locked for piece in slot.pieces) and not wanted:
        return found
    allowed = [m for m in moves if m in dict(demands.by_section).get(slot.section, (m,))]
    # Where it is demanded what stands, every move may put it there.
    allowed = list(dict.fromkeys((*moves, *MOVES))) if wanted else allowed
    here = replace(setting, moves=frozenset(allowed))
    for move in allowed:
        for offered in move_named(move).offer(slot, here):
            if isinstance(offered, Refused):
                continue
            variants = [*offered.rows()] if isinstance(offered, Web) else [offered]
            variants = [each for each in variants if not wanted or row_of(each) == wanted[0]]
            if (
                variants
                and isinstance(offered, Web)
                and not all(
                    all_rows(Variant((part,)), instrument, limits) for part in offered.parts
                )
            ):
                continue
            for variant in variants:
                if rows := all_rows(variant, instrument, limits):
                    found.append((move, variant, rows, slot))
    return [each for each in found if not wanted or row_of(each[1]) == wanted[0]]


def row_of(variant: Variant) -> tuple[tuple[Chord | None, Fraction, Fraction], ...]:
    return tuple((part.chord, part.onset, part.beats) for part in variant.parts)


def may_follow(before: Variant, after: Variant, slot: Slot) -> bool:
    """A chord that is led to is there; two diminished sevenths follow only where the tune's do."""
    last, first = before.parts[-1], after.parts[0]
    if before.needs_next and not after.keeps_first:
        return False
    if before.needs_next and first.chord != slot.chord:
        if last.into is None or first.scale != last.into or first.away:
            return False
    if after.rested and last.chord is not None and last.beats < 2 * _beat(before, slot):
        return False
    if last.into is not None and last.scale is not None:
        return first.chord is not None and set(first.chord.pcs) == set(last.into.chord.pcs)
    both = all(p.chord and p.chord.semitones == (0, 3, 6, 9) for p in (last, first))
    return not both or not (last.move or first.move)


def _beat(before: Variant, slot: Slot) -> Fraction:
    return beat_length(slot.pieces[0].meter)
