"""The k best ways against brute force: every variant and every shape, with costs stated anew.

What the moves offer is taken from them (they have tests of their own); which shapes there are, what
may follow what, and what all of it costs is stated here a second time, in plain Python.  What comes
too often is made dearer in rounds: that has its own tests, and is left out here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

import pytest
from brute_arrangements import (
    Chosen,
    Row,
    Shape,
    UnfitError,
    all_shapes,
    all_ways,
    is_step,
    pitches,
)
from hypothesis import assume, given
from hypothesis import strategies as st
from small_tunes import tune_of, tunes

from harmonykit.arrange.arrangement import ORNAMENTS, Arrangement
from harmonykit.arrange.moves import (
    MOVES,
    USUAL,
    Part,
    Refused,
    Setting,
    Variant,
)
from harmonykit.arrange.places import alternatives
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import Slot, phrasing, slots_of
from harmonykit.arrange.unusual import counted_style, extra_bits
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.marks import judge
from harmonykit.fretboard.shapes.textures import same_family, textures_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Interval
from harmonykit.tune.tune import Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
THREE = Instrument.parse("C4 E4 A4", name="three strings")
Class = tuple[tuple[Fraction, Chord | None, tuple[int, ...]], ...]


def cost(
    tune: Tune,
    told: list[Chosen],
    rows: list[Row],
    instrument: Instrument,
    weights: Weights,
    prefer: str,
    places: Mapping[int, int],
) -> int:
    """Return what an arrangement costs, stated anew; marks, textures and bits have own tests."""
    total = sum(slot_cost(tune, each, weights, prefer, places) for each in told)
    for part, shape in rows:
        if shape is not None and part.chord is not None:
            total += shape_cost(part.chord, shape, instrument, weights)
    ends = {each.slot.onset: each.slot for each in told}
    for before, after in pairwise(rows):
        total += change_cost(before, after, instrument, weights, tune.tempo)
        total += ending_cost(before, after, ends.get(after[0].onset), instrument, weights)
    if weights.straight:
        return total + phrased_cost(tune, rows, instrument, weights)
    return total + line_cost(rows, instrument, weights)


def slot_cost(
    tune: Tune, each: Chosen, weights: Weights, prefer: str, places: Mapping[int, int]
) -> int:
    slot, variant = each.slot, each.variant
    percent = (40, 100, 60, 120)[places.get(slot.pieces[-1].bar, 0) % 4]
    chance = 4 * weights.chance if prefer else weights.chance * percent // 100
    put = 0 if variant.free else sum(bool(part.move) for part in variant.parts)
    first, moves = variant.parts[0].chord, {part.move for part in variant.parts if part.move}
    total = (chance if each.missed else 0) + (weights.change - weights.wish) * put
    if put:
        for part in variant.parts:
            ornament = part.move in ORNAMENTS and part.chord is not None
            if ornament and part.chord.semitones == (0, 3, 6, 9):
                total += round(weights.linger * max(0, part.beats * 60 / tune.tempo - 1))
    seventh = first is not None and first.semitones == (0, 3, 6, 9)
    total += weights.whole if seventh and first != slot.chord else 0
    led = slot.before is not None and slot.before.semitones == (0, 3, 6, 9)
    if led and first is not None and slot.chord is not None:
        root, other = slot.chord.root.pitch_class, first.root.pitch_class
        tops = {(pc + 1) % 12 for pc in slot.before.pcs}
        total += weights.loose if root in tops and root != other else 0
    if not moves <= ORNAMENTS:
        bits = extra_bits(tune, counted_style(tune), variant, [slot])
        total += round(weights.harmony * max(0, bits))
    return total


@lru_cache(maxsize=1 << 14)
def shape_cost(chord: Chord, shape: Shape, instrument: Instrument, weights: Weights) -> int:
    total = round(weights.mark * judge(chord, instrument).mark(shape))
    fretted = [fret for fret in shape if fret]
    if fretted:
        near, far = (2 ** (-fret / 12) for fret in (min(fretted), max(fretted)))
        total += weights.stretch * round(instrument.scale_mm * (near - far))
        aloft = weights.aloft if len(instrument.midi) > 4 else 0
        total += (weights.height + aloft) * max(fretted)
    # Common practice, no source: no second below E flat 3 (51), no third below C3 (48).
    for low, high in pairwise(pitches(instrument, shape)):
        least = {1: 51, 2: 51, 3: 48, 4: 48}.get(high - low, low)
        total += weights.register * min(12, max(0, least - low))
    return total


@lru_cache(maxsize=1 << 16)
def change_cost(
    before: Row, after: Row, instrument: Instrument, weights: Weights, tempo: float
) -> int:
    (last, a), (first, b) = before, after
    if a is None or b is None or last.chord is None or first.chord is None:
        return 0
    low, high = pitches(instrument, a), pitches(instrument, b)
    shapes = Voicing(instrument, a), Voicing(instrument, b)
    moved = joined(low, high)
    hurry = max(4, round(4 / (float(last.beats) * 60 / tempo)))
    kinds = [textures_of(v, c)[0] for v, c in zip(shapes, (last.chord, first.chord), strict=True)]
    leaves = len(instrument.midi) > 4 and not same_family(*kinds)
    rises = min(instrument.midi) < 52  # a bass below E3
    return (
        weights.semitone * (moved + moved**2 // (4 * max(len(low), len(high))))
        + weights.top * abs(low[-1] - high[-1])
        + weights.travel * round(travel_mm(*shapes)) * hurry // 4
        + weights.string * sum(x != y for x, y in zip(a, b, strict=True))
        + weights.sounding * ([x is None for x in a] != [y is None for y in b])
        + weights.texture * leaves
        + weights.outer * (rises and (high[0] - low[0]) * (high[-1] - low[-1]) > 0)
        + weights.guide * is_unled(last.chord, first.chord, shapes)
    )


def is_unled(last: Chord, first: Chord, shapes: tuple[Voicing, Voicing]) -> bool:
    """Whether a root falls a fifth and no voice takes the seventh by step to the third."""
    third = next((n for n in (3, 4) if n in first.semitones), None)
    seventh = next((n for n in (10, 11) if n in last.semitones), None)
    falls = (last.root.pitch_class - first.root.pitch_class) % 12 == 7
    if not falls or third is None or seventh is None or not {3, 4} & {*last.semitones}:
        return False
    leaves = (last.root.pitch_class + seventh) % 12
    comes = (first.root.pitch_class + third) % 12
    one, two = shapes
    pairs = [(a, b) for a, b in zip(one.midi, two.midi, strict=True) if None not in (a, b)]
    pairs += [*zip(sorted(one.sounding), sorted(two.sounding), strict=False)] * (
        len(one.sounding) == len(two.sounding)
    )
    return not any(a % 12 == leaves and b % 12 == comes and abs(a - b) < 3 for a, b in pairs)


def ending_cost(
    before: Row, after: Row, slot: Slot | None, instrument: Instrument, weights: Weights
) -> int:
    """A diminished seventh that leads on: parallel, resolved, or neither."""
    (last, a), (first, b) = before, after
    if last.into is None or last.scale is not None or a is None or b is None:
        return 0
    assert first.chord is not None and slot is not None
    if is_resolved(a, b, instrument, first.chord.root.pitch_class - 1):
        return 0
    if any(is_step(a, b, last.into, way, instrument) for way in (1, -1)):
        rests = slot.final or slot.at_edge or slot.ends_sound
        return weights.parallel if rests else 0
    return weights.loose


@lru_cache(maxsize=1 << 14)
def is_resolved(a: Shape, b: Shape, instrument: Instrument, leading: int) -> bool:
    """Leading tone up (or kept), seventh and ninth down, the fifth to a neighbour."""
    tends = {0: {0, 1}, 3: {-2, -1, 0, 1, 2}, 6: {-1, -2}, 9: {-1}}
    if [x is None for x in a] != [y is None for y in b] or a == b:
        return False
    pairs = [(s, x, y) for s, x, y in zip(instrument.midi, a, b, strict=True) if x is not None]
    return all((y or 0) - x in tends[(s + x - leading) % 12] for s, x, y in pairs if x is not None)


def line_cost(rows: list[Row], instrument: Instrument, weights: Weights) -> int:
    """The highest pitch: leaps over a fourth, and what goes against what the ear expects."""
    runs: list[list[int]] = [[]]
    for _, shape in rows:
        if shape is None:
            runs.append([])
        else:
            runs[-1].append(pitches(instrument, shape)[-1])
    return sum(min(turned(run, up, weights) for up in (True, False)) for run in runs)


def phrased_cost(tune: Tune, rows: list[Row], instrument: Instrument, weights: Weights) -> int:
    """The highest pitch where phrases are to turn: each begins anew and costs if it does not."""
    ends, total = phrasing(tune)[0], 0
    up: bool | None = None
    turned = False
    tops = [None if shape is None else pitches(instrument, shape)[-1] for _, shape in rows]
    for place, (low, high) in enumerate(pairwise(tops)):
        silent = low is None or high is None
        gap = 0 if low is None or high is None else high - low
        leaps = abs(gap) > 5
        total += weights.leap * leaps
        if ends & set(range(rows[place][0].bar, rows[place + 1][0].bar)):
            total += 0 if turned or (silent and up is None) else weights.straight
            up, turned = None, False
        elif silent:
            up = None
        elif gap:
            turns = up is not None and up != (gap > 0)
            total += weights.turn * turns
            up, turned = (gap > 0) != leaps, turned or turns
    return total + (0 if turned else weights.straight)


def turned(run: list[int], up: bool, weights: Weights) -> int:
    total = 0
    for low, high in pairwise(run):
        if low != high:
            leaps = abs(high - low) > 5
            total += (weights.leap if leaps else 0) + (weights.turn if up != (high > low) else 0)
            up = (high > low) != leaps
    return total


def joined(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return the least semitones, spare voices joined to others, by recursion from the top."""
    if len(a) == len(b):
        return sum(abs(x - y) for x, y in zip(a, b, strict=True))
    return _staircase(a, b)


def _staircase(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    shorter = [(a[:-1], b), (a, b[:-1]), (a[:-1], b[:-1])]
    ways = [_staircase(x, y) for x, y in shorter if x and y]
    return abs(a[-1] - b[-1]) + (min(ways) if ways else 0)


def best_classes(
    tune: Tune,
    instrument: Instrument,
    limits: Limits,
    moves: list[str],
    prefer: str,
    weights: Weights,
    demands: Demands,
) -> dict[Class, int]:
    """Return what each class of arrangements that sound the same costs at least."""
    found: dict[Class, int] = {}
    places = phrasing(tune)[2]
    for told, rows in all_ways(tune, instrument, limits, moves, prefer, demands):
        clashing = sum(new_clashes(tune, p, pitches(instrument, s)) for p, s in rows if s)
        if not keeps(tune, rows, instrument, demands) or (demands.no_added_clashes and clashing):
            continue
        key = tuple(
            (part.onset, part.chord, () if shape is None else pitches(instrument, shape))
            for part, shape in rows
        )
        price = cost(tune, told, rows, instrument, weights, prefer, places)
        price += weights.clash * clashing
        found[key] = min(price, found.get(key, price))
    return found


def keeps(tune: Tune, rows: list[Row], instrument: Instrument, demands: Demands) -> bool:
    """Whether refused chords, shapes at both ends and the chords in each bar are as demanded."""
    for slot in slots_of(tune):
        no = [set(c.pcs) for at, c in demands.refused if slot.onset <= at < slot.end]
        for part, _ in rows:
            if slot.onset <= part.onset < slot.end and part.move and part.chord != slot.chord:
                if part.chord is not None and set(part.chord.pcs) in no:
                    return False
    shapes = [shape for _, shape in rows if shape is not None]
    ends = ((demands.first, shapes[:1]), (demands.last, shapes[-1:]))
    if any(asked is not None and found and [asked.frets] != found for asked, found in ends):
        return False
    if demands.changes_a_bar is None:
        return True
    counts = Counter(part.bar for part, _ in rows)
    put = {part.bar for part, _ in rows if part.move}
    return all(counts[bar] <= demands.changes_a_bar for bar in put)


def new_clashes(tune: Tune, part: Part, sounding: tuple[int, ...]) -> int:
    """Count the melody notes that rub with a shape and would not with the chord as written.

    A minor ninth (or a semitone, or two octaves and a semitone) upward from either, the flat ninth
    of a dominant excepted; or a note of the key, in a chord of the key, a semitone above a tone of
    the chord, or a minor chord's natural sixth.
    """
    (written,) = (c.chord for c in tune.changes if c.onset <= part.onset < c.onset + c.beats)
    if part.chord is None or part.chord == written:
        return 0
    found = 0
    for sung in tune.melody:
        if sung.onset >= part.onset + part.beats or sung.onset + sung.beats <= part.onset:
            continue
        played = max((p for p in tune.playing if p.onset <= sung.onset), key=lambda p: p.onset)
        meter = played.bar.meter
        beat = Fraction(12 if meter[1] == 8 and meter[0] in (6, 9, 12) else 4, meter[1])
        on_beat = ((sung.onset - played.onset) / beat).denominator == 1
        if not on_beat and sung.beats * 2 < beat:
            continue
        pitch = sung.note.midi
        if written is not None and (rubs_above(pitch, written) or schooled(pitch, written, tune)):
            continue
        known = set() if written is None else set(written.pcs)
        rub = any(
            max(pitch, tone) % 12 == (min(pitch, tone) + 1) % 12
            and not (dominant(part.chord) and min(pitch, tone) % 12 == part.chord.root.pitch_class)
            for tone in sounding
            if tone % 12 not in known
        )
        found += rub or schooled(pitch, part.chord, tune)
    return found


def dominant(chord: Chord) -> bool:
    return {4, 10} <= set(chord.semitones) and Degree(3) in chord.degrees


def rubs_above(pitch: int, chord: Chord) -> bool:
    allowed = dominant(chord) and (pitch - chord.root.pitch_class) % 12 == 1
    return (pitch - 1) % 12 in chord.pcs and not allowed


def schooled(pitch: int, chord: Chord, tune: Tune) -> bool:
    key = {note.pitch_class for note in tune.key.scale}
    if not {pitch % 12, *chord.pcs} <= key or pitch % 12 in chord.pcs or len(chord.pcs) < 3:
        return False
    sixth = (pitch - chord.root.pitch_class) % 12 == 9
    dorian = sixth and 3 in chord.semitones and 6 not in chord.semitones
    return (pitch - 1) % 12 in chord.pcs or dorian


def class_of(arrangement: Arrangement) -> Class:
    return tuple((step.onset, step.chord, step.sounds) for step in arrangement.steps)


def check(
    tune: Tune,
    instrument: Instrument,
    limits: Limits,
    moves: list[str],
    ks: Iterable[int],
    prefer: str = "",
    weights: Weights | None = None,
    demands: Demands | None = None,
) -> dict[Class, int]:
    """Check the k best against all there are, for each k; return all there are."""
    prices, asked = weights or Weights(), demands or Demands()
    every = best_classes(tune, instrument, limits, moves, prefer, prices, asked)
    for k in ks:
        if not every:
            with pytest.raises(HarmonyError, match="no arrangement meets all demands"):
                reharmonise(tune, instrument, moves, k, wishes=Wishes(limits=limits, demands=asked))
            continue
        found = reharmonise(
            tune,
            instrument,
            moves,
            k,
            wishes=Wishes(limits=limits, weights=prices, prefer=prefer, demands=asked),
        )
        assert [a.cost for a in found] == sorted(every.values())[:k]
        assert len({class_of(a) for a in found}) == len(found)
        for arrangement in found:
            assert every[class_of(arrangement)] == arrangement.cost
    return every


few = st.integers(0, 9)
small_weights = st.builds(
    Weights, few, few, few, few, few, few, few, st.sampled_from((0, 3, 40, 700)), *[few] * 7,
    contour=st.just(0), whole=few, harmony=few, texture=few, wish=few,
)  # fmt: skip
pools: st.SearchStrategy[tuple[str, ...]] = st.sampled_from(
    [
        ("C6", "Dm7", "G7 C6", "Am7", "A7 Dm7"),
        ("C6", "E7 Am", "F6", "G7", "N.C."),
        ("F", "Gb7 Fm", "C7 Db", "Bbm6", "Fm"),
        ("G#dim7", "G7 C6", "Bdim7", "Am7", "E7b9 Am"),
    ]
)
small_tunes = pools.flatmap(lambda phrases: tunes(phrases, meters=((4, 4), (3, 4), (6, 8)), bars=3))


@pytest.fixture(autouse=True, scope="module")
def unbalanced() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("harmonykit.arrange.search.balance", lambda *_: None)
        yield


def test_what_comes_again_costs_the_same_each_time() -> None:
    """Three late notes in three bars: with the rounds each costs more, by itself it does not."""
    moves = ["appoggiatura", "leading-tone diminished"]
    refused = Demands(refused=((Fraction(0), Chord.parse("C6sus4")),))
    for demands in (Demands(), refused):
        check(
            tune_of("| C6 | Dm7 | C6 | Dm7 |"), UKULELE, Limits(3), moves, (1, 3), "", None, demands
        )


@pytest.mark.slow
@given(
    tune=small_tunes,
    max_fret=st.sampled_from((3, 4)),
    moves=st.lists(st.sampled_from(list(MOVES)), unique=True, max_size=3),
    k=st.integers(1, 5),
    data=st.data(),
    weights=st.just(Weights()) | small_weights,
)
def test_the_k_best_are_those_of_brute_force(
    tune: Tune, max_fret: int, moves: list[str], k: int, data: st.DataObject, weights: Weights
) -> None:
    prefer = data.draw(st.sampled_from(["", *moves]))
    try:
        check(tune, UKULELE, Limits(max_fret), moves, (k,), prefer, weights)
    except UnfitError:
        assume(False)


@pytest.mark.parametrize("prefer", ["", *USUAL])
@pytest.mark.parametrize(
    ("changes", "meter", "frets"),
    [
        ("| C6 | A7 | Dm7 |", "4/4", 5),
        ("| C6 | C6 | G7 |", "3/4", 5),
        ("| Am7 | D7 G7 | C6 |", "4/4", 3),
        ("| G7 | C7 | F6 | N.C. | Dm7 |", "6/8", 5),
        ("| F6 | F6 | Bb6 |", "4/4", 5),
    ],
)
def test_tunes_with_every_constraint(prefer: str, changes: str, meter: str, frets: int) -> None:
    """Targets that must stay, climbs on their own chains, silence, two moves for one slot."""
    tune = tune_of(changes, meter=meter)
    every = check(tune, UKULELE, Limits(frets), list(USUAL), range(1, 6), prefer)
    assert len(every) > 5


@pytest.mark.parametrize("changes", ["| C6 | F/G |", "| Dm7 | G7 |", "| Am | Dm |"])
def test_a_climb_keeps_to_the_chain_that_it_began_on(changes: str) -> None:
    """On the whole neck many chains start; a cheaper shape of another chain may not be taken."""
    no_travel = Weights(travel=0, semitone=0, chance=5000)
    for weights in (Weights(), no_travel):
        check(tune_of(changes), UKULELE, Limits(12), ["ascending walk"], (1, 3, 5), weights=weights)


@dataclass(frozen=True)
class Odd:
    """A move for the test alone: it asks for all that a move may ask, and keeps no rule."""

    name: str = "odd"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        if slot.chord is None or len(slot.pieces) > 1:
            return
        other = Chord.of(slot.chord.root, "dim7")
        for early in (slot.beats / 2, slot.beats / 4):
            written = Part(slot.chord, slot.onset, early, slot.bar)
            put = Part(other, slot.onset + early, slot.beats - early, slot.bar, "odd")
            yield Variant((written, put), needs_next=early == slot.beats / 2)
            put = Part(other, slot.onset, early, slot.bar, "odd")
            written = Part(slot.chord, slot.onset + early, slot.beats - early, slot.bar)
            yield Variant((put, written), keeps_first=early == slot.beats / 2)
        sixth = Part(Chord.of(slot.chord.root, "m6"), slot.onset, slot.beats, slot.bar, "odd")
        yield Variant((sixth,), keeps_first=False)
        # C6 has the notes of Am7: one sound under two names is two arrangements.
        relative = Chord.of(slot.chord.root.transpose(Interval.parse("M6")).at(None), "m7")
        renamed = Part(relative, slot.onset, slot.beats, slot.bar, "odd")
        yield Variant((renamed,), keeps_first=False)


@pytest.mark.parametrize("prefer", ["", "odd"])
@pytest.mark.parametrize(
    "changes",
    ["| C6 | C6 G7 |", "| G#dim7 | G7 |", "| Am7 D7 | N.C. | C6 |", "| Bdim7 Ddim7 | F |"],
)
def test_a_move_that_asks_for_anything(
    changes: str, prefer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the three moves' own rules never ask for: one sound at two times, doubled chords."""
    monkeypatch.setitem(MOVES, "odd", Odd())
    for weights in (Weights(), Weights(chance=0, change=0)):
        check(tune_of(changes), UKULELE, Limits(3), ["odd"], (1, 4, 12), prefer, weights)


@pytest.mark.parametrize(
    ("instrument", "limits", "changes"),
    [
        (GUITAR, Limits(3, 67.0, "none"), "| C | A7 | Dm7 |"),
        (GUITAR, Limits(3), "| Am | Dm |"),
        (THREE, Limits(5), "| C6 | A7 | Dm7 |"),
    ],
)
def test_other_numbers_of_strings(instrument: Instrument, limits: Limits, changes: str) -> None:
    """Six strings may be muted, so that the number of voices differs; three leave tones out."""
    check(tune_of(changes), instrument, limits, list(USUAL), range(1, 6))


@pytest.mark.parametrize(
    ("changes", "moves"),
    [
        ("| C6 | Dm7 |", ["suspension", "descending walk"]),
        ("| C6 | C6 | F |", ["common-tone diminished", "ascending walk"]),
        ("| G7 | C6 |", ["tritone substitution", "four dominants", "rootless ninth"]),
        (
            "| Em7 | Dm7 G7 |",
            ["descending passing diminished", "chord synonym", "leading-tone diminished"],
        ),
        ("| Gm6 | Gm7 | A7 |", ["pedal point", "chord synonym"]),
        ("| Gm6 | A7 | Dm |", ["chord synonym", "suspension"]),
    ],
)
@pytest.mark.parametrize("prefer", [True, False])
def test_each_move_in_the_search(changes: str, moves: list[str], prefer: bool) -> None:
    every = check(
        tune_of(changes), UKULELE, Limits(4), moves, (1, 4, 9), moves[0] if prefer else ""
    )
    assert len(every) >= 3


demanded = st.builds(
    Demands,
    st.none() | st.integers(1, 3),
    st.none() | st.sampled_from(("0000", "0232", "2210")).map(lambda t: Voicing.parse(t, UKULELE)),
    st.none() | st.sampled_from(("0000", "0212", "2000")).map(lambda t: Voicing.parse(t, UKULELE)),
    st.frozensets(st.integers(0, 3), max_size=2),
    st.sampled_from(((), (("A", ("leading-tone diminished",)),), (("A", ()),))),
    st.booleans(),
)


@given(
    tune=small_tunes,
    demands=demanded,
    moves=st.lists(st.sampled_from(list(MOVES)), unique=True, max_size=3),
    weights=st.just(Weights(clash=50)) | small_weights,
)
def test_demands_are_kept_and_nothing_else_is_lost(
    tune: Tune, demands: Demands, moves: list[str], weights: Weights
) -> None:
    try:
        check(tune, UKULELE, Limits(3), moves, (1, 3), weights=weights, demands=demands)
    except UnfitError:
        assume(False)


@given(
    tune=small_tunes,
    moves=st.lists(st.sampled_from(list(MOVES)), unique=True, min_size=1, max_size=3),
    data=st.data(),
)
def test_what_is_refused_or_wanted_at_a_place(
    tune: Tune, moves: list[str], data: st.DataObject
) -> None:
    """An added chord refused, or one of the alternatives demanded: the best of the others."""
    limits = Limits(3)
    try:
        best = reharmonise(
            tune, UKULELE, moves, 1, wishes=Wishes(limits=limits, weights=Weights(chance=700))
        )[0]
    except HarmonyError:
        assume(False)
    step = data.draw(st.sampled_from([s for s in best.steps if s.chord != s.written] or best.steps))
    if step.added and step.chord is not None and data.draw(st.booleans()):
        demands = Demands(refused=((step.onset, step.chord),))
    else:
        found = alternatives(best, step.bar + 1, moves=moves)
        demands = Demands(wanted=(data.draw(st.sampled_from(found)).chosen,))
    try:
        every = check(tune, UKULELE, limits, moves, (1, 3), demands=demands)
    except UnfitError:
        assume(False)
    assert every


def test_two_shapes_that_sound_the_same_count_once() -> None:
    """On two strings tuned alike a chord has shapes that differ and sound the same."""
    twins = Instrument.parse("C4 E4 E4 A4", name="twins")
    tune = tune_of("| C | Am | C |")
    every = check(tune, twins, Limits(5), [], (1, 3, 5))
    shapes = all_shapes(Chord.parse("C"), twins, Limits(5))
    assert len(shapes) > len({pitches(twins, s) for s in shapes if s is not None})
    assert len(every) > 5


def test_more_are_asked_for_than_there_are() -> None:
    tune = tune_of("| C6 | Bdim7 |")
    every = check(tune, UKULELE, Limits(2), [], (50,))
    assert len(every) == 1
