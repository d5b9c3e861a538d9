"""Every arrangement of a small tune, by trying all: what the searches are held against.

What the moves offer is taken from them (they have tests of their own); which shapes there are and
what may follow what is stated here a second time, in plain Python.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product

from harmonykit.arrange.demands import Demands
from harmonykit.arrange.moves import Part, Setting, Variant, as_written, move_named
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.tones import usual_omissions
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

MOST_WAYS = 30_000

Shape = tuple[int | None, ...]
Row = tuple[Part, Shape | None]


class UnfitError(Exception):
    """The tune has too many ways to try them all, or a chord without a shape within the limits."""


def pitches(instrument: Instrument, shape: Shape) -> tuple[int, ...]:
    pairs = zip(instrument.midi, shape, strict=True)
    return tuple(sorted(string + fret for string, fret in pairs if fret is not None))


def all_shapes(chord: Chord | None, instrument: Instrument, limits: Limits) -> list[Shape | None]:
    """Return every shape of a chord, by trying all frets on all strings.

    A 13 with a major third has no eleventh; a shape without the root lacks no more than it must;
    on four strings and fewer as many tones sound as can.
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
        if strings > 4 and (not is_full(shape) or sounding[0] % 12 != chord.bass.pitch_class):
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
    """Return every way to play a variant; a climb goes on from its first shape."""
    if variant.scale is not None and variant.parts[0].delayed is not None:
        return borrowed_rows(variant, instrument, limits)
    if variant.scale is None:
        choices = [all_shapes(part.chord, instrument, limits) for part in variant.parts]
        return [tuple(zip(variant.parts, shapes, strict=True)) for shapes in product(*choices)]
    found = []
    for start in all_shapes(variant.parts[0].chord, instrument, limits):
        assert start is not None
        heard = {pitch % 12 for pitch in pitches(instrument, start)}
        if len(heard) < min(4, len(pitches(instrument, start))):
            continue  # A diminished seventh is whole on four strings.
        chain = [
            tuple(
                None if f is None else variant.scale.step(open_string + f, part.steps) - open_string
                for open_string, f in zip(instrument.midi, start, strict=True)
            )
            for part in variant.parts
        ]
        on_neck = all(f is None or f >= 0 for shape in chain for f in shape)
        if on_neck and all(can_hold(shape, instrument, limits) for shape in chain):
            found.append(tuple(zip(variant.parts, chain, strict=True)))
    return found


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
) -> Iterator[tuple[int, int, list[Row]]]:
    """Yield every arrangement as its rows, with the chances not taken and the chords put in."""
    setting = Setting(tune.key, tune.melody, tune.tempo, 0.5)
    slots = [_filled(slot, setting, instrument, limits, moves, demands) for slot in slots_of(tune)]
    count = 1
    for offered in slots:
        count *= sum(len(rows) for *_, rows in offered)
    if count > MOST_WAYS:
        raise UnfitError
    for chosen in product(*slots):
        if (
            all(may_follow(a[1], b[1]) for a, b in pairwise(chosen))
            and not chosen[-1][1].needs_next
        ):
            missed = put = 0
            for (move, variant, _), offered in zip(chosen, slots, strict=True):
                names = {name for name, *_ in offered if name}
                chance = any(name and not other.free for name, other, _ in offered)
                at_rest = not move or (variant.free and prefer not in names)
                missed += chance if at_rest else prefer in names and move != prefer
                put += 0 if variant.free else sum(bool(part.move) for part in variant.parts)
            for rows in product(*(rows for *_, rows in chosen)):
                yield missed, put, [row for part in rows for row in part]


def _filled(
    slot: Slot,
    setting: Setting,
    instrument: Instrument,
    limits: Limits,
    moves: list[str],
    demands: Demands,
) -> list[tuple[str, Variant, list[tuple[Row, ...]]]]:
    """Return how a slot may be filled, with all the ways to play each."""
    written = all_rows(as_written(slot), instrument, limits)
    if not written:
        raise UnfitError
    found = [("", as_written(slot), written)]
    if any(piece.number in demands.locked for piece in slot.pieces):
        return found
    for move in moves:
        if move not in dict(demands.by_section).get(slot.section, (move,)):
            continue
        for variant in move_named(move).offer(slot, setting):
            if isinstance(variant, Variant) and (rows := all_rows(variant, instrument, limits)):
                found.append((move, variant, rows))
    return found


def may_follow(before: Variant, after: Variant) -> bool:
    """A chord that is led to is there; two diminished sevenths follow only where the tune's do."""
    last, first = before.parts[-1], after.parts[0]
    if before.needs_next and not after.keeps_first:
        return False
    both = all(p.chord and p.chord.semitones == (0, 3, 6, 9) for p in (last, first))
    return not both or not (last.move or first.move)
