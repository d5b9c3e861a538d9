"""What fermatas hold: common practice, no source (about twice as long, the beat waits)."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import mido
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.events import play, play_loops
from harmonykit.sound.files import write_midi
from harmonykit.sound.performance import Performance, holds_of
from harmonykit.theory.note import Note
from harmonykit.tune.bar import BarNote
from harmonykit.tune.tune import Bar, Section

Arranged = Callable[..., Arrangement]


def held(arrangement: Arrangement, bar: int, *places: float, melody: str = "") -> Arrangement:
    """Return an arrangement with fermatas in a bar, and a melody there: one note a quarter."""
    sung = tuple(
        BarNote(Note.parse(name), Fraction(at), Fraction(1))
        for at, name in enumerate(melody.split())
    )
    bars = list(arrangement.tune.bars)
    fermatas = tuple(map(Fraction, places))
    bars[bar] = replace(bars[bar], fermatas=fermatas, melody=sung)
    return _of(arrangement, *bars)


def _of(arrangement: Arrangement, *bars: Bar) -> Arrangement:
    tune = replace(arrangement.tune, sections=(Section("A", bars),))
    return replace(arrangement, tune=tune)


def strokes(performance: Performance) -> list[float]:
    return [round(e.onset, 6) for e in performance.tones if e.string == 0]


def test_a_chord_under_a_fermata_is_struck_once_and_held_twice_as_long(arranged: Arranged) -> None:
    whole = held(arranged("C=0003 F:2=2010 | G7=0212 | C=0003", tempo=60), 0, 2)
    performance = play(whole, count_in=False)
    # F lasts two beats of a second, held four; the next bar begins at 6 s instead of 4.
    assert strokes(performance) == [0, 1, 2, 6, 7, 8, 9, 10]
    assert performance.bars == ((1, 0), (2, 6), (3, 10)) and performance.seconds == 14 + 1.5
    (last,) = (e for e in performance.tones if e.onset == 2)
    assert last.end == 6.0
    # The click on its beat is heard, the one that would fall into it waits.
    assert [e.onset for e in performance.clicks] == [0, 1, 2, *range(6, 14)]
    assert performance.steps[2] == (2, 6.0)


def test_a_long_chord_is_held_two_beats_longer_at_most(arranged: Arranged) -> None:
    performance = play(held(arranged("C=0003 | F=2010", tempo=60), 0, 0), count_in=False)
    assert performance.bars[1] == (2, 6.0)
    dotted = arranged("C=0003 | F=2010 | F=2010", (12, 8), tempo=90)
    # 12/8 at 90: a dotted beat lasts one second; a bar of four of them is held for six.
    assert play(held(dotted, 0, 0), count_in=False).bars[1] == (2, 6.0)


def test_a_fermata_within_a_chord_strikes_it_again_and_holds_to_the_bars_end(
    arranged: Arranged,
) -> None:
    performance = play(held(arranged("C=0003 | F=2010", tempo=60), 0, 2), count_in=False)
    assert strokes(performance) == [0, 1, 2, 6]


def test_a_note_under_a_fermata_is_held_up_to_the_next(arranged: Arranged) -> None:
    whole = held(arranged("C=0003 | F=2010", tempo=60), 0, 1, melody="C5 D5 E5 F5")
    performance = play(whole, count_in=False, melody=True)
    sung = [(e.onset, e.length) for e in performance.melody]
    assert sung == [(0, 1), (1, 2), (3, 1), (4, 1)]
    assert strokes(performance) == [0, 1, 3, 4, 5]


def test_two_fermatas_in_a_bar_hold_each_its_own(arranged: Arranged) -> None:
    whole = held(arranged("C=0003 | F=2010", tempo=60), 0, 0, 2)
    assert [(h.onset, h.until, h.more) for h in holds_of(whole)] == [(0, 2, 2), (2, 4, 2)]
    assert play(whole, count_in=False).bars[1] == (2, 8.0)


def test_a_bass_is_held_too_and_a_loop_waits_as_the_whole_does(arranged: Arranged) -> None:
    whole = held(arranged("C=0003 | F=2010 | C=0003", tempo=60), 1, 0)
    performance = play(whole, count_in=False, bass=True)
    assert [(e.onset, e.length) for e in performance.bass] == [
        (0, 2), (2, 2), (4, 6), (10, 5.5),
    ]  # fmt: skip
    ((_, loop),) = play_loops(whole)
    assert loop.seconds == 14.0


def test_without_a_fermata_nothing_waits(arranged: Arranged) -> None:
    plain = arranged("C=0003 | F=2010")
    assert holds_of(plain) == () and play(plain).tempos == ((0.0, 120.0),)


@pytest.mark.parametrize("tempo", [57.0, 96.5, 133.0])
def test_in_the_midi_file_the_tempo_slows_and_bars_stay_bars(
    tempo: float, arranged: Arranged
) -> None:
    bars = "C=0003 F:5/2=2010 | G7=0212 | C=0003"
    performance = play(held(arranged(bars, tempo=tempo), 0, 2.5), bass=True)
    file = mido.MidiFile(file=io.BytesIO(write_midi(performance)))
    # A general library's own sum of tempo and ticks.
    now, onsets = 0.0, []
    for message in file:
        now += message.time
        if message.type == "note_on":
            onsets.append(now)
    half_a_tick = 60 / min(t for _, t in performance.tempos) / file.ticks_per_beat / 2
    meant = sorted(e.onset for e in performance.events)
    assert sorted(onsets) == pytest.approx(meant, abs=half_a_tick + 1e-6)
    assert file.length == pytest.approx(performance.seconds, abs=1e-3)
    # One bar is counted in (two at 133), then bar 2 begins four quarters later than bar 1.
    counted = 2 if tempo > 96.5 else 1
    ticks = [tick for tick, message in timed(file.tracks[1]) if message.type == "note_on"]
    second = (counted + 1) * 4 * file.ticks_per_beat
    assert any(abs(tick - second) <= 1 for tick in ticks)


def timed(track: mido.MidiTrack) -> list[tuple[int, mido.Message]]:
    now, found = 0, []
    for message in track:
        now += message.time
        found.append((now, message))
    return found
