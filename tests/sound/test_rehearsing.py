"""The bars of a rehearsal: which sound, when, and how fast; against laws of time and of parts."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.errors import HarmonyError
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.sound.events import play
from harmonykit.sound.material import EARLY
from harmonykit.sound.performance import BASS, CLICK, TONE, Event, Performance
from harmonykit.sound.rehearsing import rehearse
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Bar, Section

LEAD_BAR = 4  # beats of common time


@cache
def way(name: str) -> Arrangement:
    if "|" in name:
        return reharmonise(name, "ukulele", moves=(), k=1)[0]
    return reharmonise(read_tune(find_data("tunes", name)), "ukulele", moves=(), k=1)[0]


@cache
def practised(name: str, line: str) -> Performance:
    return rehearse(way(name), line)


def bar_of(performance: Performance, event: Event) -> int:
    """Return in which of the bars played an event begins; -1 for the count-in."""
    return bisect_right([start for _, start in performance.bars], event.onset + EARLY) - 1


def in_bars(performance: Performance, kinds: tuple[str, ...]) -> set[int]:
    counted = performance.count_in_seconds - 1e-6
    return {
        bar_of(performance, event)
        for event in performance.events
        if event.kind in kinds and (event.kind != CLICK or event.onset >= counted)
    }


BLUES = "ropewalk_blues"


@pytest.mark.parametrize("name", [BLUES, "heron_landing", "slack_water_waltz", "bell_on_the_bar"])
def test_bars_follow_one_another_without_a_gap_each_at_its_tempo(name: str) -> None:
    plain, ladder = play(way(name)), practised(name, "bars 2-5, tempi 60-100, times 1")
    numbers = [number for number, _ in plain.bars]
    first = numbers.index(2)
    starts = [start for _, start in plain.bars]
    lengths = [b - a for a, b in zip(starts[first : first + 4], starts[first + 1 :], strict=False)]
    wanted = [ladder.count_in_seconds]
    for share in (0.6, 0.7, 0.8, 0.9, 1.0):
        for length in lengths:
            wanted.append(wanted[-1] + length / share)
    found = [start for _, start in ladder.bars]
    assert found == pytest.approx(wanted[:-1], abs=1e-9)
    assert [number for number, _ in ladder.bars] == [2, 3, 4, 5] * 5
    assert ladder.sections[-1][2] == pytest.approx(wanted[-1], abs=1e-9)
    # The tempi are those that were asked for, and each starts where its first bar does.
    assert [tempo / way(name).tempo for _, tempo in ladder.tempos] == pytest.approx(
        [0.6, 0.7, 0.8, 0.9, 1.0]
    )
    assert [start for start, _ in ladder.tempos[1:]] == pytest.approx(wanted[4:-1:4], abs=1e-9)
    # A click on every beat, from the first to the last: the pulse never stops.
    meter_beats = 3 if name == "slack_water_waltz" else 4
    clicks = [click.onset for click in ladder.clicks]
    beats = [wanted[0] / round(wanted[0] / (lengths[0] / meter_beats / 0.6))]
    steps = [b - a for a, b in zip(clicks, clicks[1:], strict=False)]
    assert max(steps) <= beats[0] * 1.0001
    assert len(clicks) == round(wanted[0] / beats[0]) + 5 * 4 * meter_beats


def test_each_bar_sounds_as_in_the_tune_only_slower() -> None:
    plain, half = play(way(BLUES), bass=True), practised(BLUES, "bars 3-6, tempo 50, times 1")
    starts = [start for _, start in plain.bars]
    begin, end = starts[2], starts[6]
    wanted = sorted(
        ((event.onset - begin) * 2, event.kind, event.midi, event.velocity)
        for event in plain.events
        if begin - EARLY <= event.onset < end - EARLY
    )
    since = half.count_in_seconds
    found = sorted(
        (event.onset - since, event.kind, event.midi, event.velocity)
        for event in half.events
        if event.onset >= since - EARLY * 2
    )
    assert [one[1:] for one in found] == [one[1:] for one in wanted]
    assert [one[0] for one in found] == pytest.approx([one[0] for one in wanted], abs=1e-9)


@pytest.mark.parametrize(
    "line, silent",
    [
        ("call and answer, times 1", {2, 3, 6, 7, 10, 11}),
        ("disappearing", {6, 7, 14, 15, 20, 21, 22, 23, 28, 29, 30, 31}),
        ("bars 3-4, call and answer, times 4", {2, 3, 6, 7}),
    ],
)
def test_what_is_left_to_the_class_has_clicks_and_nothing_else(line: str, silent: set[int]) -> None:
    performance = practised(BLUES, line)
    every = set(range(len(performance.bars)))
    assert in_bars(performance, (TONE, BASS)) == every - silent
    assert in_bars(performance, (CLICK,)) == every
    # Nothing rings into a silent bar either.
    starts = [start for _, start in performance.bars]
    for bar in silent - {place + 1 for place in silent}:
        assert all(
            event.end <= starts[bar] + 1e-9
            for event in performance.tones
            if event.onset < starts[bar] - EARLY
        )


@pytest.mark.parametrize("part", ["strum", "bass", "melody", "click"])
def test_any_part_may_be_left_out_and_the_others_stay(part: str) -> None:
    """Minus one: what is left is exactly what the whole has, without that part."""
    full = practised(BLUES, "bars 1-4, with melody")
    less = practised(BLUES, f"bars 1-4, with melody, without {part}")
    counted = full.count_in_seconds - 1e-6

    def is_it(event: Event) -> bool:
        return {
            "strum": event.kind == TONE and event.string is not None,
            "melody": event.kind == TONE and event.string is None,
            "bass": event.kind == BASS,
            # The count-in is always heard.
            "click": event.kind == CLICK and event.onset >= counted,
        }[part]

    assert any(map(is_it, full.events))
    assert less.events == tuple(event for event in full.events if not is_it(event))


def test_the_click_falls_on_two_and_four_alone() -> None:
    performance = practised(BLUES, "bars 1-4, click 2+4, tempi 80 100")
    beat = 60 / way(BLUES).tempo
    for event in performance.clicks:
        bar = bar_of(performance, event)
        if event.onset >= performance.count_in_seconds - 1e-6:
            share = 0.8 if bar < 16 else 1.0
            inside = (event.onset - performance.bars[bar][1]) * share / beat
            assert inside == pytest.approx(1, abs=1e-6) or inside == pytest.approx(3, abs=1e-6)
    through = [e for e in performance.clicks if e.onset >= performance.count_in_seconds - 1e-6]
    assert len(through) == 2 * len(performance.bars)
    with pytest.raises(HarmonyError, match="3 beats"):
        practised("slack_water_waltz", "click 2+4")


@pytest.mark.parametrize("bars", [1, 2])
def test_one_bar_or_two_are_counted_in_at_the_first_tempo(bars: int) -> None:
    performance = practised(BLUES, f"bars 9-10, tempi 50 100, count-in {bars}")
    beat = 60 / way(BLUES).tempo / 0.5
    counted = [e.onset for e in performance.clicks if e.onset < performance.count_in_seconds - 1e-6]
    assert counted == pytest.approx([index * beat for index in range(4 * bars)], abs=1e-9)
    assert performance.bars[0] == (9, pytest.approx(4 * bars * beat, abs=1e-9))


def test_a_pickup_is_heard_inside_the_count_in_and_again_where_there_is_room(
    arranged: Callable[..., Arrangement],
) -> None:
    pickup = arranged("C=0003 | F=2010 | C=0003", pickup=Fraction(1), tempo=60)
    performance = rehearse(pickup, "times 2")
    # By hand, a beat a second: a bar of 4 s is counted, and the pick-up is its last beat; the last
    # bar is whole, so that the second time goes on with bar 1.
    assert performance.bars == ((0, 3.0), (1, 4.0), (2, 8.0), (1, 12.0), (2, 16.0))
    # A last bar of three leaves room: the pick-up is its fourth beat.
    first, second, _ = pickup.tune.bars
    short = Bar.of((4, 4), [(Chord.parse("C"), Fraction(0))], Fraction(3))
    tune = replace(pickup.tune, sections=(Section("A", (first, second, short)),))
    steps = (*pickup.steps[:2], replace(pickup.steps[2], beats=Fraction(3)))
    performance = rehearse(replace(pickup, tune=tune, steps=steps), "times 2")
    assert performance.bars == (
        (0, 3.0), (1, 4.0), (2, 8.0), (0, 11.0), (1, 12.0), (2, 16.0),
    )  # fmt: skip


def test_the_last_chord_is_held_at_the_very_end_alone() -> None:
    arrangement = way("| C6 | Dm7 | G7 | C6 |")
    performance = rehearse(arrangement, "times 2, without bass")
    strums = [e for e in performance.strummed if e.string == 0]
    by_bar = [sum(bar_of(performance, e) == bar for e in strums) for bar in range(8)]
    assert by_bar[:7] == [by_bar[0]] * 7 and by_bar[7] < by_bar[0]
    # And rings, where nothing comes after it.
    assert performance.seconds > performance.sections[-1][2] + 1


def test_the_next_root_is_told_a_beat_before_and_the_second_time_not() -> None:
    arrangement = way("| C6 | Dm7 | G7 | C6 |")
    performance = rehearse(arrangement, "names once, times 2, without strum and bass")
    beat = 60 / arrangement.tempo
    starts = [start for _, start in performance.bars]
    # By hand: C before bar 1, D before bar 2, G before bar 3, C before bar 4.
    told = [(event.onset, event.midi) for event in performance.melody]
    assert [midi for _, midi in told] == [60, 62, 67, 60]
    assert [onset for onset, _ in told] == pytest.approx([start - beat for start in starts[:4]])


def test_bars_are_found_by_their_printed_numbers() -> None:
    with pytest.raises(HarmonyError, match="no bar 13"):
        practised(BLUES, "bars 12-13")
    with pytest.raises(HarmonyError, match="bars, by their numbers"):
        practised(BLUES, "hard change")


def test_midi_bars_stay_bars_through_a_ladder() -> None:
    """Each bar takes four quarters at its own tempo: the integral of the tempi says so."""
    performance = practised(BLUES, "bars 1-2, tempi 60-100, times 1")
    marks = [*performance.tempos, (math.inf, 0.0)]

    def quarters(until: float) -> float:
        return sum(
            max(min(until, end) - start, 0) * tempo / 60
            for (start, tempo), (end, _) in zip(marks, marks[1:], strict=False)
        )

    counted = quarters(performance.count_in_seconds)
    assert counted % LEAD_BAR == pytest.approx(0, abs=1e-6) or counted % LEAD_BAR > LEAD_BAR - 1e-6
    found = [quarters(start) - counted for _, start in performance.bars]
    assert found == pytest.approx([4 * index for index in range(10)], abs=1e-6)


BOSSA = "dry_dock_bossa"


def struck_at(performance: Performance, start: float, early: float) -> set[tuple[int, int]]:
    """Return the strings and pitches that are struck with a bar, or just before it."""
    return {
        (event.string, event.midi)
        for event in performance.strummed
        if event.string is not None and start - early <= event.onset < start + early
    }


@pytest.mark.parametrize(
    "line",
    [f"bars {first}-{first + length}" for first in (1, 4, 6, 13) for length in (0, 1, 3)]
    + ["call and answer", "disappearing", "whole tune", "intro 3"],
)
def test_no_chord_is_lost_or_doubled_where_a_push_meets_another_bar(line: str) -> None:
    """A chord that enters with a bar is struck once: on its beat, or half a beat before.

    What is struck last in a bar is of that bar, or of the one that is heard next.
    """
    whole, performance = way(BOSSA), practised(BOSSA, line)
    shapes: dict[int, set[tuple[int, int]]] = {}
    for step in whole.steps:
        if step.onset == whole.tune.playing[step.bar].onset and step.voicing is not None:
            tones = enumerate(step.voicing.midi)
            shapes[step.bar] = {(string, midi) for string, midi in tones if midi is not None}
    beat = 60 / whole.tempo
    starts = [*(start for _, start in performance.bars), performance.sections[-1][2]]
    numbers = [played.bar.number for played in whole.tune.playing]
    heard = in_bars(performance, (TONE,))
    at = [index for index, start in performance.steps if any(abs(start - s) < 0.03 for s in starts)]
    bars = [whole.steps[index].bar for index in at]
    assert [numbers[bar] for bar in bars] == [number for number, _ in performance.bars]
    for place, bar in enumerate(bars):
        if place not in heard:
            continue
        before = struck_at(performance, starts[place] - beat / 2, 0.1 * beat) if place else set()
        joined = place and place - 1 in heard and bars[place - 1] == bar - 1
        now = struck_at(performance, starts[place], 0.1 * beat)
        # It is heard from the bar line on, struck there or, as in the tune, before it.
        assert now == shapes[bar] or (joined and before == shapes[bar] and not now)
        after = struck_at(performance, starts[place + 1] - beat / 2, 0.1 * beat)
        goes_on = place + 1 < len(bars) and place + 1 in heard and bars[place + 1] == bar + 1
        own = {tone for step in whole.steps if step.bar == bar and step.voicing is not None
               for tone in enumerate(step.voicing.midi)}  # fmt: skip
        assert after <= own or (goes_on and after == shapes[bar + 1])


def test_an_intro_is_the_last_bars_once_without_the_melody_and_not_slowed() -> None:
    plain, opened = practised(BLUES, "with melody"), practised(BLUES, "intro, with melody")
    wanted = way(BLUES).strum.intro
    assert [number for number, _ in opened.bars[:wanted]] == [
        number for number, _ in plain.bars[-wanted:]
    ]
    assert opened.bars[wanted:] == tuple(
        (number, pytest.approx(start + opened.bars[wanted][1] - plain.bars[0][1]))
        for number, start in plain.bars
    )
    begin, over = opened.bars[0][1], opened.bars[wanted][1]
    # What leads into the tune begins before its bar line.
    assert not any(begin <= event.onset < over - EARLY for event in opened.melody)
    assert len(opened.melody) == len(plain.melody)
    beat = 60 / way(BLUES).tempo
    assert over - begin == pytest.approx(wanted * LEAD_BAR * beat)
    assert {event.string for event in opened.strummed if begin <= event.onset < over} == {
        0,
        1,
        2,
        3,
    }


@pytest.mark.parametrize("line", ["intro, bars 3-4", "intro, hard change", "intro 0", "intro 9"])
def test_an_intro_that_cannot_be_is_refused(line: str) -> None:
    with pytest.raises(HarmonyError):
        rehearse(way(BLUES), line)
