"""A level as it is practised: its hard change found, its leading tones sung over their roots."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from music21 import harmony, interval
from small_arrangements import Arranged
from small_tunes import tune_of

from harmonykit.arrange.search import reharmonise
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.sizes import check_sound
from harmonykit.lesson.playfiles import practice_files
from harmonykit.lesson.rehearsals import hard_span, led_of, rehearsed
from harmonykit.lesson.together.rescue import hard_changes
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.sound.performance import BASS, LEAST_COUNT_IN
from harmonykit.sound.rehearsal import Rehearsal

SHIPPED = ("heron_landing", "ropewalk_blues", "slack_water_waltz", "lamp_for_the_late_boat")


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("bars", [2, 4])
def test_a_loop_begins_with_the_chord_before_the_hard_change(name: str, bars: int) -> None:
    way = reharmonise(read_tune(find_data("tunes", name)), "ukulele", moves=(), k=1)[0]
    for which, hard in enumerate(hard_changes(way, way.tempo, 2), 1):
        how = Rehearsal.parse(f"hard change {which} {bars} bars")
        first, last = hard_span(way, how, way.tempo)
        count = len(way.tune.playing)
        assert last - first + 1 == min(bars, count - first)
        # The new chord is inside; before it, in the first bar, sounds the chord that it follows.
        begins = way.tune.playing[first].onset
        sounding = [step for step in way.steps if step.onset < hard.after.onset]
        before = sounding[-1]
        assert first <= hard.after.bar <= last and hard.after.onset > begins
        assert before.onset + before.beats > begins and before.voicing == hard.before.voicing
        played = rehearsed(way, how, way.tempo)
        assert {bar - first for bar in range(first, last + 1)} == set(range(last - first + 1))
        assert len(played.bars) == 4 * (last - first + 1)


def test_leading_tones_are_sung_a_third_over_the_root_and_rise_a_half_step() -> None:
    """Of a dominant seventh the leading tone is the third (music21 spells the chord)."""
    way = reharmonise("| Dm7 | G7 | C6 | A7 | Dm7 | G7 | C6 |", "ukulele", (), k=1)[0]
    found = led_of(way)
    assert [led.words for led in found] == [
        "G7 to C6: over G sing B, then C",
        "A7 to Dm7: over A sing C♯, then D",
    ]
    for led in found:
        third = harmony.ChordSymbol(str(led.chord)).third
        assert third is not None and third.name == led.tone.name.replace("b", "-")
        assert interval.Interval(third, third.transpose("m2")).semitones == 1
        assert third.transpose("m2").name == led.goal.name.replace("b", "-")


def test_the_tone_is_heard_a_bar_after_its_root_and_then_resolves() -> None:
    way = reharmonise("| Dm7 | G7 | C6 |", "ukulele", (), k=1)[0]
    performance = rehearsed(way, Rehearsal.parse("leading tones, tempo 50"), way.tempo)
    bar = 4 * 60 / (way.tempo / 2)
    since = performance.count_in_seconds
    # By hand: G under bars 1 and 2, C under bar 3, none under bar 4; B over bar 2, C over bar 3.
    roots = [{e.midi % 12 for e in performance.bass
              if since + n * bar <= e.onset < since + (n + 1) * bar} for n in range(4)]  # fmt: skip
    assert roots == [{7}, {7}, {0}, set()]
    assert [(e.midi, e.onset) for e in performance.melody] == [
        (59, pytest.approx(since + bar)),
        (60, pytest.approx(since + 2 * bar)),
    ]
    # The drone lies below what is sung, and never stops while it is sung.
    plucked = [e for e in performance.events if e.kind == BASS]
    assert max(e.midi for e in plucked) < 59 + 5
    assert all(e.length > 0 for e in plucked)


def test_what_a_tune_does_not_have_is_said() -> None:
    way = reharmonise("| C6 | C6 |", "ukulele", (), k=1)[0]
    with pytest.raises(HarmonyError, match="no dominant"):
        rehearsed(way, Rehearsal.parse("leading tones"), 80)
    with pytest.raises(HarmonyError, match="hard change 1: .* has 0"):
        rehearsed(way, Rehearsal.parse("hard change"), 80)


def test_a_levels_lines_are_files_that_sort(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    path = write_lesson(tmp_path)
    text = path.read_text("utf-8")
    line = 'practice = ["hard change, tempi 60-100", "call and answer, without bass"]'
    for former, now in {
        "format = 1": "format = 2", "group =": "class =", "\nshape =": "\nchord_shape =",
        "from =": "scale_shape =", "hand = 3": 'reach = "wide"',
        "tempo = 120": f"tempo = 120\n{line}",
    }.items():  # fmt: skip
        assert former in text
        text = text.replace(former, now, 1)
    path.write_text(text, encoding="utf-8")
    lesson = load_lesson(path)
    played = lesson.played[0]
    names = [
        file.name
        for number in (1, 2)
        for file in practice_files(played, number, lesson.front.playalong)
    ]
    assert names == sorted(names)
    stem = f"{played.stem}-practice"
    assert {name.rpartition(".")[0] for name in names} == {
        f"{stem}-1-hard-change-tempi-60-100",
        f"{stem}-2-without-bass-call-and-answer",
    }
    path.write_text(path.read_text("utf-8").replace("hard change,", "bars 30-31,"), "utf-8")
    with pytest.raises(HarmonyError) as refused:
        check_sound([load_lesson(path)])
    assert "practice 'bars 30-31, tempi 60-100'" in str(refused.value)
    said = path.read_text("utf-8").replace("bars 30-31,", "with melody,")
    path.write_text(said, "utf-8")
    # Its tune has chords alone: no file says that a melody is in it.
    with pytest.raises(HarmonyError, match="practice 'tempi 60-100, with melody'.*no melody"):
        check_sound([load_lesson(path)])
    path.write_text(said.replace("with melody,", "bras 3,"), "utf-8")
    with pytest.raises(HarmonyError) as unread:
        load_lesson(path)
    assert unread.value.place is not None and "practice = " in str(unread.value)


def test_a_drone_rings_until_it_is_plucked_again_and_no_longer_than_its_bar() -> None:
    """Root and octave by turns: each note has two beats, the last of a bar one."""
    for meter in (4, 3):
        way = reharmonise(tune_of("| Dm7 | G7 | C6 |", meter=f"{meter}/4"), "ukulele", (), k=1)[0]
        performance = rehearsed(way, Rehearsal.parse("leading tones"), way.tempo)
        beat = 60 / performance.tempo
        plucked = sorted((e for e in performance.events if e.kind == BASS), key=lambda e: e.onset)
        for place, event in enumerate(plucked):
            left = meter - place % meter
            assert event.length == pytest.approx(min(2, left) * beat)
            again = [e for e in plucked[place + 1 :] if e.midi == event.midi]
            assert all(e.onset >= event.onset + event.length - 1e-9 for e in again)
        octaves = [e.midi - plucked[0].midi for e in plucked[:meter]]
        assert octaves == [0, 12, 0, 12][:meter]


@pytest.mark.parametrize("meter", [4, 3])
def test_each_dominant_has_four_bars_of_its_own_behind_the_count_in(meter: int) -> None:
    """Three bars that sound and one to breathe: the clicks of every bar, the first one high."""
    way = reharmonise(
        tune_of("| Dm7 | G7 | C6 | A7 | Dm7 | G7 | C6 |", meter=f"{meter}/4"), "ukulele", (), k=1
    )[0]
    performance = rehearsed(way, Rehearsal.parse("leading tones"), way.tempo)
    beat = 60 / performance.tempo
    bar, since = meter * beat, performance.count_in_seconds
    assert [words for words, _, _ in performance.sections] == [led.words for led in led_of(way)]
    starts = [start for _, start, _ in performance.sections]
    ends = [end for _, _, end in performance.sections]
    assert starts == pytest.approx([since, since + 4 * bar])
    assert ends == pytest.approx([*starts[1:], performance.seconds])
    assert [number for number, _ in performance.bars] == [*range(1, 9)]
    assert [at for _, at in performance.bars] == pytest.approx([since + n * bar for n in range(8)])
    clicks = sorted((e.onset, e.midi, e.velocity) for e in performance.events if e.kind == "click")
    assert [at for at, _, _ in clicks] == pytest.approx(
        [n * beat for n in range(round(performance.seconds / beat))]
    )
    high, low = clicks[0][1], clicks[1][1]
    assert high != low
    assert [midi == high for _, midi, _ in clicks] == [n % meter == 0 for n in range(len(clicks))]
    # What counts in is louder than what goes on under the voice, its first beat loudest.
    counts = [velocity for at, _, velocity in clicks if at < since - beat / 2]
    after = {velocity for at, _, velocity in clicks if at >= since - beat / 2}
    assert counts[0] > counts[1] > max(after) and len(after) == 1
    assert len(counts) % meter == 0 and len(counts) * beat == pytest.approx(since)


def test_only_a_tritone_that_goes_on_to_a_chord_leads(arranged: Arranged) -> None:
    """G alone has no F, C sixth no tritone; and after G7 comes a silence (by hand)."""
    for text in ("G=0232 | C=0003", "C6=0000 | F=2010", "G7=0212 | NC", "NC | C=0003"):
        assert led_of(arranged(text)) == ()
    (led,) = led_of(arranged("G7=0212 | C=0003"))
    assert (led.tone.name, led.goal.name) == ("B", "C")


@pytest.mark.parametrize(("meter", "beats"), [("4/4", 4), ("3/4", 3), ("6/8", 2), ("2/2", 2)])
@pytest.mark.parametrize("tempo", [60, 240])
def test_each_dominant_s_notes_stand_in_its_own_four_bars(
    meter: str, beats: int, tempo: float
) -> None:
    """By hand: G, G and C, then A, A and D below; B and C, C sharp and D above, a bar each.

    The drone lies in the octave from E2 (40) on and the one above it; a voice sings from A3 (57).
    """
    changes = "| Dm7 | G7 | C6 | A7 | Dm7 | G7 | C6 |"
    way = reharmonise(tune_of(changes, meter=meter), "ukulele", (), k=1)[0]
    performance = rehearsed(way, Rehearsal.parse("leading tones"), tempo)
    beat = (1.5 if meter == "6/8" else 2 if meter == "2/2" else 1) * 60 / tempo
    bar, since = beats * beat, performance.count_in_seconds
    assert performance.meters == ((0.0, way.tune.meter),) and performance.meter == way.tune.meter
    assert performance.seconds == pytest.approx(since + 8 * bar)
    low = {0: (43, 55), 1: (43, 55), 2: (48, 60), 4: (45, 57), 5: (45, 57), 6: (50, 62)}
    plucked = sorted((e.onset, e.midi, e.velocity) for e in performance.events if e.kind == BASS)
    wanted = [
        (since + (number * beats + n) * beat, pair[n % 2])
        for number, pair in low.items()
        for n in range(beats)
    ]
    assert [midi for _, midi, _ in plucked] == [midi for _, midi in wanted]
    assert [at for at, _, _ in plucked] == pytest.approx([at for at, _ in wanted])
    sung = sorted((e.onset, e.midi, e.length, e.velocity) for e in performance.melody)
    assert [midi for _, midi, _, _ in sung] == [59, 60, 61, 62]
    assert [at for at, *_ in sung] == pytest.approx([since + n * bar for n in (1, 2, 5, 6)])
    assert [length for _, _, length, _ in sung] == pytest.approx([bar] * 4)
    # What is sung is louder than the drone, and both than the click beneath.
    clicks = sorted(
        (e.onset, e.velocity, e.length) for e in performance.events if e.kind == "click"
    )
    after = {velocity for at, velocity, _ in clicks if at > since - beat / 2}
    assert {v for *_, v in sung}.pop() > {v for *_, v in plucked}.pop() > max(after)
    counted = [velocity for at, velocity, _ in clicks if at < since - beat / 2]
    assert len(counted) * beat == pytest.approx(since) and min(counted) > max(after)
    assert all(0 < length < 0.1 for *_, length in clicks)
    # Two bars are counted where one would be over too soon.
    assert len(counted) == beats * (1 if bar >= LEAST_COUNT_IN else 2)
