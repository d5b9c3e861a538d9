"""A bass that walks: the root where a chord enters, a note that leads there before it.

Conventions.  The groove says where the bass plays and what each note is to the harmony; the pitches
are the cheapest way through all that may stand there.  What a way costs: leaps, notes that come
twice, turns, going back, notes outside of the chord on heavy beats, and straying from the register.
No leap is wider than an octave.  Under a slash chord the root is its bass.  All of it is common
practice without a published source.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from random import Random
from typing import Any

from harmonykit.arrange import arrangement, slots
from harmonykit.sound.performance import BASS, Event
from harmonykit.sound.stage import Stage
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.tune.groove.strokes import FIFTH, LEAD, ROOT, STOP, THIRD, WALK, Low
from harmonykit.values import dataclass

# The first beat of the bar is the heaviest.
_FIRST, _LATER = 92, 80
# Where a groove has no line, the bass plays where the bar is heavy.
_HEAVY = 2
# The line begins here: E1 of a bass, raised up to E2 where that is still an octave below the lowest
# open string, so that a small loudspeaker can be heard to play it; and reaches so much higher.
_LOWEST, _HIGHEST, _REACH = 28, 40, 16
# An inner note is left out where a chord enters less than this after it or before it.
_APART = Fraction(1, 2)

_OCTAVE = 12
# What a move costs by its semitones.
_MOVES = (700, 0, 0, 40, 50, 100, 600, 130, 700, 700, 800, 900, 500)
_TURN, _BACK, _FAR, _OUTSIDE, _PASSING, _CHANCE = 90, 160, 12, 350, 70, 80
_HIGH_ROOT = 150
# A half step below what comes next, above it, a whole step, and its fifth.
_LEADS = {-1: 0, 1: 40, -2: 60, 2: 60, 7: 220, -5: 220}


@dataclass(frozen=True, slots=True)
class _Note:
    """A note of the line before it has a pitch; no chord is a silence."""

    onset: Fraction
    bar: int
    at: Fraction
    part: str
    chord: Chord | None


def bass_line(stage: Stage) -> Iterator[Event]:
    """Yield the bass: each note lasts until the next, or until no chord sounds."""
    notes = _ready(list(_notes(stage)))
    if not notes:
        return
    groove = stage.arrangement.strum
    low = _floor(min(stage.arrangement.instrument.midi))
    ends_low = not stage.around and notes[-1].chord is not None
    pitches = _pitches(notes, stage.arrangement.tune.key, low, groove.seed, ends_low=ends_low)
    human = stage.human(BASS)
    moments = []
    for note in notes:
        late = human[note.bar].late(note.bar, note.at) * (note.chord is not None)
        moments.append(max(stage.within(note.at, note.bar) + late, 0.0))
    ends = [*moments[1:], stage.end + moments[0] if stage.around else stage.ring_end]
    for note, pitch, begin, end in zip(notes, pitches, moments, ends, strict=True):
        if pitch is not None:
            louder = human[note.bar].louder(note.bar, note.at)
            hard = (_LATER if note.at else _FIRST) + louder
            yield Event(begin, end - begin, pitch, None, BASS, min(max(hard, 1), 127))


def _floor(lowest_string: int) -> int:
    return min(max(lowest_string - _OCTAVE, _LOWEST), _HIGHEST)


# ------------------------------------------------------------------ what is played, and where


def _notes(stage: Stage) -> Iterator[_Note]:
    steps = [step for _, step in stage.steps]
    previous: arrangement.Step | None = None
    for step, after in pairwise([*steps, None]):
        if step is None:
            continue
        origin = stage.origin(step.bar)
        if step.chord is None:
            yield _Note(step.onset, step.bar, step.onset - origin, STOP, None)
        else:
            entered = previous is None or previous.chord != step.chord
            for low in _lows(stage, step, entered=entered):
                onset = origin + low.at
                ahead = (
                    after
                    if low.push and after and after.onset == stage.next_beat(step, onset)
                    else None
                )
                chord = ahead.chord if ahead and ahead.chord else step.chord
                yield _Note(onset, step.bar, low.at, low.part, chord)
        previous = step


def _lows(stage: Stage, step: arrangement.Step, *, entered: bool) -> list[Low]:
    """Return the notes inside a step, with its root where its chord enters."""
    start = step.onset - stage.origin(step.bar)
    root = Low(start)
    if step is stage.last:
        return [root]
    lows = [low for low in _of_bar(stage, step.bar) if start <= low.at < start + step.beats]
    if entered:
        lows = [root, *(low for low in lows if low.at - start >= _APART)]
    # Under a chord that is held one note is held.
    return stage.not_held(lows, step.bar)


def _of_bar(stage: Stage, bar: int) -> tuple[Low, ...]:
    lows = stage.lows(bar)
    if lows is not None:
        return lows
    meter = stage.meter_of(bar)
    beat = beat_length(meter)
    places = [number * beat for number in range(int(bar_length(meter) / beat))]
    return tuple(Low(at) for at in places if slots.beat_weight(meter, at) >= _HEAVY)


def _ready(notes: list[_Note]) -> list[_Note]:
    """Return the notes, each that walks into another chord leading to it."""
    found = []
    for note, after in pairwise([*notes, None]):
        if note is None:
            continue
        part = note.part
        changes = after is not None and after.chord is not None and after.chord != note.chord
        if part in (WALK, LEAD):
            part = LEAD if changes else WALK
        found.append(_Note(note.onset, note.bar, note.at, part, note.chord))
    return found


# ------------------------------------------------------------------ which pitches

_Costs = dict[int, int]
# A way by its last pitch and the way up to there; nothing before the first.
_Way = tuple[int, Any]
# By pitch and the direction in which it was reached: the cost, and the way.
_States = dict[tuple[int, int], tuple[int, _Way]]


def _pitches(
    notes: Sequence[_Note], key: Key, low: int, seed: int, *, ends_low: bool
) -> list[int | None]:
    """Return the pitch of each note: the cheapest way through what may stand there."""
    range_ = range(low, low + _REACH + 1)
    states: _States = {}
    sounding = []
    for index, note in enumerate(notes):
        if note.chord is None or note.part == STOP:
            continue
        sounding.append(index)
        after = notes[index + 1].chord if index + 1 < len(notes) else None
        costs = _allowed(note, after, key, range_)
        if ends_low and index + 1 == len(notes):
            # A tune ends on its low root.
            costs = {pitch: cost for pitch, cost in costs.items() if pitch < low + _OCTAVE}
        chances = _chances(f"{seed} bass {note.bar} {note.at}")
        costs = {
            pitch: cost + chance
            for (pitch, cost), chance in zip(costs.items(), chances, strict=False)
        }
        states = _next_states(states, costs)
    least = min((cost for cost, _ in states.values()), default=0)
    ways = [list(_unrolled(way))[::-1] for cost, way in states.values() if cost == least]
    by_index = dict(zip(sounding, min(ways, default=[]), strict=True))
    return [by_index.get(index) for index in range(len(notes))]


@lru_cache(maxsize=1 << 11)
def _chances(named: str) -> tuple[int, ...]:
    """Return what is chance in the costs at a place, lowest pitch first: all levels have it."""
    chance = Random(named)
    return tuple(chance.randrange(_CHANCE) for _ in range(_REACH + 1))


def _unrolled(way: _Way | None) -> Iterator[int]:
    while way is not None:
        pitch, way = way
        yield pitch


def _next_states(states: _States, costs: _Costs) -> _States:
    if not states:
        return {(pitch, 0): (cost, (pitch, None)) for pitch, cost in costs.items()}
    found: _States = {}
    before = [
        (pitch, direction, cost, way, way[1][0] if way[1] else None)
        for (pitch, direction), (cost, way) in states.items()
    ]
    for pitch, own in costs.items():
        for last, direction, cost, way, earlier in before:
            leap = pitch - last
            if abs(leap) > _OCTAVE:
                continue
            now = (leap > 0) - (leap < 0)
            whole = cost + own + _MOVES[abs(leap)]
            if now and direction and now != direction:
                whole += _TURN
            if earlier == pitch:
                whole += _BACK
            known = found.get((pitch, now))
            if known is None or whole < known[0]:
                found[pitch, now] = (whole, (pitch, way))
    return found


def _allowed(note: _Note, after: Chord | None, key: Key, reach: range) -> _Costs:
    """Return the pitches that may stand at a note, with what each costs by itself."""
    chord = note.chord
    if chord is None:
        return {}
    bass = chord.bass.pitch_class
    if note.part == ROOT:
        wanted = {bass: 0}
    elif note.part == FIFTH:
        wanted = {_fifth(chord): 0}
    elif note.part == THIRD:
        wanted = {_third(chord): 0}
    elif note.part == LEAD and after is not None:
        wanted = _leading(chord, after, key)
    else:
        heavy = note.at.denominator == 1 and note.at % 2 == 0
        wanted = dict.fromkeys(_scale(chord, key), _OUTSIDE if heavy else _PASSING)
        wanted |= dict.fromkeys(chord.pcs, 0)
    high = _HIGH_ROOT if note.part == ROOT else 0
    middle = reach.start + _REACH // 2
    return {
        pitch: wanted[pitch % 12]
        + _FAR * abs(pitch - middle)
        + (high if pitch >= reach.start + _OCTAVE else 0)
        for pitch in reach
        if pitch % 12 in wanted
    }


def _leading(chord: Chord, after: Chord, key: Key) -> _Costs:
    """Return the pitch classes that lead to a chord's bass, with what each costs."""
    target = after.bass.pitch_class
    scale = _scale(chord, key) | _scale(after, key)
    return {
        pc: cost
        for step, cost in reversed(_LEADS.items())
        if (pc := (target + step) % 12) in scale or abs(step) == 1
    }


def _fifth(chord: Chord) -> int:
    """Return what a bass alternates with: the fifth; the root over a bass that is another."""
    root = chord.root.pitch_class
    if chord.bass.pitch_class != root:
        return root
    fifths = [(root + up) % 12 for up in (7, 6, 8)]
    return next((pc for pc in fifths if pc in chord.pcs), root)


def _third(chord: Chord) -> int:
    root = chord.root.pitch_class
    thirds = [(root + up) % 12 for up in (4, 3, 5, 2)]
    return next((pc for pc in thirds if pc in chord.pcs), root)


@lru_cache(maxsize=256)
def _scale(chord: Chord, key: Key) -> frozenset[int]:
    """Return the notes of the key, those of the chord in place of the same letter's."""
    letters = {note.letter: note.pitch_class for note in key.scale}
    letters |= {note.letter: note.pitch_class for note in chord.tones}
    return frozenset(letters.values())
