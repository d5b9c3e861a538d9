"""Grooves as they sound: where strokes fall, how human they are, and that every chord is heard.

The bounds are those of the data; what is counted comes from the events alone.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from statistics import mean, pstdev

import pytest
from scipy.stats import linregress

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.sound.events import play, play_loops
from harmonykit.sound.files import write_midi
from harmonykit.sound.performance import Event, Performance
from harmonykit.sound.strums import ratio_of, swung, velocity
from harmonykit.tune.bar import bar_length
from harmonykit.tune.groove.shelf import grooves
from harmonykit.tune.groove.strokes import STOPPED
from harmonykit.tune.groove.value import Groove

BARS = 33


def one_chord(groove: Groove, tempo: float = 100, bars: int = BARS) -> Arrangement:
    """Return a chord held for many bars, in a groove without a ritard and an ending."""
    from small_arrangements import _arranged

    steady = replace(groove, ritard=1.0, ending=())
    return _arranged(" | ".join(["C=0003"] * bars), groove.meter, tempo, groove=steady)


def strokes(performance: Performance) -> list[tuple[float, int]]:
    """Return the moment and the loudness of each stroke: of the first of its strings."""
    found: list[Event] = []
    for event in performance.strummed:
        if not found or event.onset - found[-1].onset > 0.13:
            found.append(event)
    return [(event.onset, event.velocity) for event in found]


@pytest.mark.parametrize("name", grooves())
def test_strokes_fall_where_the_data_has_them_and_no_two_bars_are_alike(name: str) -> None:
    groove, tempo = grooves()[name], 100.0
    performance = play(one_chord(groove, tempo), count_in=False, click=False)
    quarter, whole = 60 / tempo, float(bar_length(groove.meter))
    bound = min(groove.timing / 1000, 0.05 * quarter) + 1e-9
    # Where the data has strokes, written straight; where they fall by the swing, in seconds.
    ratio = ratio_of(groove, tempo)
    meant = [
        {swung(s.at, groove.meter, ratio) * quarter: velocity(s) for s in bar if s.how != STOPPED}
        for bar in groove.bars
    ]
    histogram: Counter[tuple[int, float]] = Counter()
    late: dict[int, list[float]] = defaultdict(list)
    loud: dict[int, list[int]] = defaultdict(list)
    # The last bar holds its chord.
    for onset, hard in strokes(performance)[:-1]:
        bar = int((onset + bound) / (whole * quarter))
        inside = onset - bar * whole * quarter
        place = min(meant[bar % len(meant)], key=lambda at: abs(at - inside))
        assert (
            abs(inside - place) <= bound
            and abs(hard - meant[bar % len(meant)][place]) <= groove.dynamics
        )
        histogram[bar % len(meant), place] += 1
        late[bar].append(inside - place)
        loud[bar].append(hard)
    turns = [len(range(turn, BARS - 1, len(meant))) for turn in range(len(meant))]
    asked = {(n, at): turns[n] for n, bar in enumerate(meant) for at in bar}
    # A groove may begin a bar with a silence: the first chord of all is struck nevertheless.
    assert histogram == asked
    # Bars differ, within the bounds; and nothing drifts: the slope is noise.
    assert all(late[n] != late[n + 8] for n in range(8)) and loud[1] != loud[9]
    moments = [onset for onset, _ in strokes(performance)[:-1]]
    flat = [value for bar in sorted(late) for value in late[bar]]
    slope = linregress(moments, flat)
    assert abs(slope.slope) < 4 * slope.stderr and abs(mean(flat)) < bound / 4
    assert pstdev(flat) > bound / 10


@pytest.mark.parametrize("name", [name for name in grooves() if grooves()[name].ending])
def test_the_bar_before_the_last_chord_has_the_strokes_of_the_ending(name: str) -> None:
    groove = grooves()[name].exact
    ending = replace(one_chord(groove, 60, 5), groove=groove)
    performance = play(ending, count_in=False, click=False)
    begin, over = (start for _, start in performance.bars[-2:])
    ratio = ratio_of(groove, 60)
    meant = [(s.at, velocity(s)) for s in groove.ending if s.how != STOPPED]
    length = float(bar_length(groove.meter))
    # A ritard stretches the bar, and nothing in it changes its place among the others.
    found = [one for one in strokes(performance) if begin - 1e-9 <= one[0] < over - 1e-9]
    places = [swung(at, groove.meter, ratio) / length for at, _ in meant]
    assert [hard for _, hard in found] == [hard for _, hard in meant]
    assert [(at - begin) / (over - begin) for at, _ in found] == pytest.approx(places, abs=1e-9)
    # A round has no last chord: it goes on.
    ((_, loop),) = play_loops(ending, click=False)
    assert strokes(loop)[: len(groove.bars[0])] != found


def test_one_seed_gives_the_same_bytes_and_another_does_not() -> None:
    groove = grooves()["swing"]
    files = [write_midi(play(one_chord(replace(groove, seed=n)), bass=True)) for n in (1, 1, 2)]
    assert files[0] == files[1] != files[2]


def test_an_exact_groove_has_no_chance_in_it() -> None:
    performance = play(one_chord(grooves()["calypso"].exact, 60), count_in=False, click=False)
    # Down on 1, 2 and 4, an up after 2, 3 and 4, a quarter a second; ups begin on the last string.
    firsts = [round(onset % 4, 9) for onset, _ in strokes(performance)[:-1]]
    assert set(firsts) == {0, 1, 1.5, 2.5, 3, 3.5}
    assert len({hard for _, hard in strokes(performance)[:-1]}) == 3


def test_a_bar_sounds_alike_in_the_whole_and_in_its_loop() -> None:
    way = one_chord(grooves()["calypso"], bars=4)
    whole = play(way, count_in=False, click=False)
    ((_, loop),) = play_loops(way, click=False)
    second = [(e.onset, e.midi, e.velocity) for e in whole.strummed if 2.3 < e.onset < 4.7]
    again = [(e.onset, e.midi, e.velocity) for e in loop.strummed if 2.3 < e.onset < 4.7]
    assert second == again and len(second) == 24


def test_what_stops_is_silent_and_what_is_muted_is_short() -> None:
    way = one_chord(Groove.parse("D . X -").exact, 60, 2)
    performance = play(way, count_in=False, click=False)
    ((first, last),) = {
        (e.onset, e.end) for e in performance.strummed if e.string == 0 and e.onset < 1
    }
    assert (first, last) == (0, 1)
    muted = [e for e in performance.strummed if 2 <= e.onset < 3]
    assert len(muted) == 4 and all(e.length < 0.1 for e in muted)


def test_a_pushed_stroke_has_the_next_chord_and_takes_its_place() -> None:
    from small_arrangements import _arranged

    groove = Groove.parse("D - D - D - D U~ | - - D - D - D -").exact
    way = _arranged("C=0003 | F=2010 | C=0003 | C=0003", (4, 4), 60, groove=groove)
    performance = play(way, count_in=False, click=False)
    firsts = {round(e.onset, 3): e.midi for e in performance.strummed if e.string == 3}
    # F on A is open, 69; C has its third fret, 72.  F sounds from 3.5 on, and is not struck at 4.
    assert firsts[3.5] == 69 and not any(3.6 < at < 4.9 for at in firsts)
    # C has no stroke of its own at 8 but that of the groove; the last chord is never early.
    assert firsts[8.025] == 72


@cache
def plain_way(name: str, moves: tuple[str, ...] = ()) -> Arrangement:
    return reharmonise(read_tune(find_data("tunes", name)), "ukulele", moves, k=1)[0]


@pytest.mark.parametrize("name", shipped("tunes"))
def test_every_change_of_shape_is_heard(name: str) -> None:
    moves = ("ascending walk", "descending walk", "leading-tone diminished")
    for way in (plain_way(name), plain_way(name, moves)):
        performance = play(way, count_in=False, click=False)
        early = way.strum.timing / 1000 + 1e-9
        pushes = any(stroke.push for bar in way.strum.bars for stroke in bar)
        starts = dict(performance.steps)
        before = None
        for index, step in enumerate(way.steps):
            if step.voicing is not None and step.voicing != before:
                first = starts[index] - (30 / performance.tempo if pushes else 0) - early
                after = starts.get(index + 1, performance.seconds)
                heard = {
                    (e.string, e.midi) for e in performance.strummed if first <= e.onset < after
                }
                meant = {(s, m) for s, m in enumerate(step.voicing.midi) if m is not None}
                assert meant <= heard, (step.bar, str(step.chord))
                reached = min(e.onset for e in performance.strummed if first <= e.onset)
                assert reached <= starts[index] + early
            before = step.voicing


def test_a_ritard_takes_as_much_longer_as_it_says_and_no_bar_else() -> None:
    way = plain_way("lamp_for_the_late_boat")
    performance = play(way, count_in=False)
    lengths = [after - start for (_, start), (_, after) in pairwise(performance.bars)]
    bar = 4 * 60 / performance.tempo
    assert lengths[:-1] == pytest.approx([bar] * (len(lengths) - 1))
    assert lengths[-1] == pytest.approx(bar * way.strum.ritard)
    clicks = [e.onset for e in performance.clicks if performance.bars[-2][1] <= e.onset + 1e-9]
    gaps = [b - a for a, b in zip(clicks[:4], clicks[1:5], strict=True)]
    assert gaps == sorted(gaps) and gaps[-1] > gaps[0]
    assert Fraction(0) == way.steps[-1].onset % 4
