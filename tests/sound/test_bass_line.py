"""The bass over all tunes that ship: roots by music21, leading notes and leaps counted."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from music21 import harmony

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.sound.events import play
from harmonykit.sound.performance import Event
from harmonykit.theory.chord import Chord
from harmonykit.tune.groove.shelf import grooves
from harmonykit.tune.groove.strokes import lows_of


@cache
def way_of(name: str) -> Arrangement:
    return reharmonise(read_tune(find_data("tunes", name)), "ukulele", (), k=1)[0]


@cache
def bass_of(chord: Chord) -> int:
    """Return the pitch class of a chord's bass as music21 reads its symbol."""
    symbol = str(chord)
    root = symbol[:2].replace("b", "-") if symbol[1:2] in ("b", "#") else symbol[:1]
    rest = symbol[len(root) :]
    figure = root + rest.replace("maj7", "M7").replace("7alt", "7")
    return int(harmony.ChordSymbol(figure).bass().pitchClass)


def line(way: Arrangement) -> list[tuple[float, int]]:
    """Return the bass as quarters and pitches."""
    steady = replace(way, groove=replace(way.strum, ritard=1.0, swing=1.0).exact)
    performance = play(steady, count_in=False, click=False, bass=True)
    return [(round(e.onset * performance.tempo / 60, 6), e.midi) for e in performance.bass]


@pytest.mark.parametrize("name", shipped("tunes"))
def test_every_change_has_its_root_on_the_beat_and_no_leap_is_over_an_octave(name: str) -> None:
    way = way_of(name)
    notes = dict(line(way))
    before = None
    for step in way.steps:
        if step.chord is not None and step.chord != before:
            assert notes[float(step.onset)] % 12 == bass_of(step.chord), (step.bar, str(step.chord))
        before = step.chord
    pitches = list(notes.values())
    assert max(abs(b - a) for a, b in pairwise(pitches)) <= 12
    # From E2, the lowest that a small loudspeaker gives, to below the ukulele's C4.
    assert 40 <= min(pitches) and max(pitches) < 60
    # The tune ends on its low root.
    assert pitches[-1] < 52


@pytest.mark.parametrize("name", ["mud_berth_blues", "ropewalk_blues", "heron_landing"])
def test_a_walking_bass_plays_every_beat_and_leads_to_each_change(name: str) -> None:
    way = way_of(name)
    notes = line(way)
    last = way.steps[-1].onset
    assert [at for at, _ in notes] == [float(n) for n in range(int(last) + 1)]
    places = dict(notes)
    changes = [
        float(b.onset) for a, b in pairwise(way.steps) if a.chord != b.chord and b.chord is not None
    ]
    # By a half step or a whole one; now and then from the fifth above or the fourth below.
    steps = [abs(places[at] - places[at - 1]) for at in changes]
    assert sum(1 <= step <= 2 for step in steps) >= 0.8 * len(steps)
    assert all(step in (1, 2, 5, 7) for step in steps)
    # It moves: hardly a note comes twice, and most moves are steps or thirds.
    moves = [abs(b - a) for (_, a), (_, b) in pairwise(notes)]
    assert moves.count(0) <= 0.03 * len(moves)
    assert sum(move <= 4 for move in moves) >= 0.6 * len(moves)


def test_root_and_fifth_of_a_march_and_of_a_waltz_are_written_out_by_hand() -> None:
    # A: A and E; D: D and A; F#7: F# and C#; B minor and E lead on in half a bar each.
    names = [midi % 12 for _, midi in line(way_of("tugboat_muster"))]
    assert names[:16] == [9, 4, 9, 4, 2, 9, 9, 4, 9, 4, 6, 1, 11, 4, 9, 4]
    # The root in the first bar of each pair, the fifth in the second: F C, D A, G D, C G.
    waltz = {at: midi % 12 for at, midi in line(way_of("slack_water_waltz"))}
    assert [waltz[3.0 * bar] for bar in range(8)] == [5, 0, 2, 9, 7, 2, 0, 7]


def test_a_slash_chord_has_its_bass_and_a_groove_may_have_any_line() -> None:
    from small_arrangements import _arranged

    groove = replace(grooves()["plain"].exact, low=lows_of("R 5 3 .", (4, 4)))
    way = _arranged("C=0003 | C/E=0003 | G7=0212", (4, 4), 60, groove=groove)
    found = [(at, midi % 12) for at, midi in line(way)]
    # Over another bass the fifth gives way to the root.
    assert found == [(0, 0), (1, 7), (2, 4), (4, 4), (5, 0), (6, 4), (8, 7)]
    performance = play(way, count_in=False, click=False, bass=True)
    assert [e.end for e in performance.bass][2] == pytest.approx(3.0)


def test_the_line_varies_with_the_seed_and_keeps_to_it() -> None:
    way = way_of("mud_berth_blues")
    groove = way.strum
    one, again, other = (
        [midi for _, midi in line(replace(way, groove=replace(groove, seed=n)))] for n in (1, 1, 2)
    )
    assert one == again != other


def held_to_next(notes: list[Event]) -> bool:
    return all(a.end == pytest.approx(b.onset) for a, b in pairwise(notes))


def test_each_note_lasts_until_the_next() -> None:
    performance = play(way_of("heron_landing"), bass=True)
    assert held_to_next(list(performance.bass))
