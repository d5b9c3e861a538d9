"""What is played, and when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.events import loop_bars, play, play_loops, play_strings
from harmonykit.sound.performance import Event, count_in_bars
from harmonykit.sound.stage import RING_SECONDS
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.bar import BarNote
from harmonykit.tune.form import Form
from harmonykit.tune.groove.value import Groove, plain
from harmonykit.tune.playing import play_bars
from harmonykit.tune.tune import Bar, PlayedBar, Section, Tune

Arranged = Callable[..., Arrangement]


def onsets(events: tuple[Event, ...], string: int) -> list[float]:
    return [round(e.onset, 6) for e in events if e.string == string]


def test_four_downs_start_on_the_beat_with_the_first_string(arranged: Arranged) -> None:
    # At 120 a bar of 4/4 lasts 2 s, less than 2.5: two bars are counted in.
    performance = play(arranged("C=0003 | F=2010"))
    assert performance.count_in_seconds == 4.0
    assert onsets(performance.tones, 0)[:4] == [4.0, 4.5, 5.0, 5.5]
    first = [e for e in performance.tones if e.onset < 4.4]
    # g C E A, open but for the third fret on A.
    assert [e.midi for e in first] == [67, 60, 64, 72]
    assert 0.015 <= first[-1].onset - first[0].onset <= 0.035
    assert [e.onset for e in first] == sorted(e.onset for e in first)


def test_every_string_rings_until_it_is_struck_again(arranged: Arranged) -> None:
    tones = play(arranged("C=0003 | F=2010 | C=000x")).tones
    for string in range(4):
        mine = [e for e in tones if e.string == string]
        for now, after in zip(mine[:-1], mine[1:], strict=True):
            assert now.end == pytest.approx(after.onset)


def test_the_last_chord_is_struck_once_and_held(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | F=2010"))
    last = [e for e in performance.tones if e.onset >= 6.0 - 1e-9]
    assert len(last) == 4
    # Two bars of count-in, two of music, and the ring.
    assert performance.seconds == 8.0 + RING_SECONDS
    assert all(e.end == pytest.approx(performance.seconds) for e in last)


@pytest.mark.parametrize(
    ("meter", "tempo", "bars"),
    [((4, 4), 96, 1), ((4, 4), 97, 2), ((3, 4), 72, 1), ((3, 4), 73, 2), ((6, 8), 60, 1)],
)
def test_one_bar_is_counted_in_if_it_lasts_2_5_seconds(
    meter: tuple[int, int], tempo: float, bars: int
) -> None:
    assert count_in_bars(meter, tempo) == bars


def test_a_pickup_enters_inside_the_count_in(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | F=2010", pickup=Fraction(1), tempo=60))
    # One bar of 4 s is counted; the pick-up's one beat is its last.
    assert performance.bars == ((0, 3.0), (1, 4.0))
    assert onsets(performance.tones, 0)[0] == 3.0
    assert [e.onset for e in performance.clicks] == [0, 1, 2, 3, 4, 5, 6, 7]


def test_no_chord_silences_the_strings_and_not_the_click(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 NC:2 | F=2010", tempo=60))
    before = [e for e in performance.tones if e.onset < 6]
    assert all(e.end <= 6.0 + 1e-9 for e in before)
    assert not [e for e in performance.tones if 6.0 <= e.onset < 8.0]
    assert [e.onset for e in performance.clicks] == list(range(12))


def test_a_tune_that_ends_without_a_chord_ends_with_its_bar(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | NC", tempo=60), count_in=False)
    assert performance.seconds == 8.0
    assert max(e.end for e in performance.tones) == pytest.approx(4.0)


def test_a_chord_off_the_strokes_is_struck_where_it_enters(arranged: Arranged) -> None:
    swung = replace(plain((4, 4)).exact, swing=2)
    bars = "C=0003 F:5/2=2010 | C=0003"
    performance = play(arranged(bars, tempo=60, groove=swung), count_in=False)
    # The second half of a beat is swung two to one, and struck up: from the last string on.
    assert onsets(performance.tones, 3)[:2] == [pytest.approx(0.025), pytest.approx(1.025)]
    assert onsets(performance.tones, 3)[3] == pytest.approx(2 + 2 / 3, abs=1e-5)
    assert performance.steps[1] == (1, pytest.approx(2 + 2 / 3))


def test_an_up_stroke_takes_the_strings_the_other_way(arranged: Arranged) -> None:
    waltz = Groove.parse("D - D U D U", "3/4").exact
    performance = play(arranged("C=0003 | F=2010", (3, 4), 60, groove=waltz), count_in=False)
    up = [e.string for e in performance.tones if 1.49 < e.onset < 1.9]
    assert up == [3, 2, 1, 0]


def test_muted_strings_do_not_sound(arranged: Arranged) -> None:
    performance = play(arranged("C=x003 | F=2010"), count_in=False, click=False)
    assert {e.string for e in performance.events if e.onset < 1.9} == {1, 2, 3}


def test_the_tempo_can_be_another(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010")
    slow = play(arrangement, 60)
    assert slow.tempo == 60 and slow.bars == ((1, 4.0), (2, 8.0))
    assert play(arrangement).tempo == 120


def test_the_same_arrangement_gives_the_same_list(arranged: Arranged) -> None:
    assert play(arranged("C=0003 | F=2010")) == play(arranged("C=0003 | F=2010"))


def test_metres_change_where_the_bars_say(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010", tempo=60)
    bars = arrangement.tune.bars
    three = Bar.of((3, 4), [(Chord.parse("F"), Fraction(0))])
    tune = replace(arrangement.tune, sections=(Section("A", (bars[0], three)),))
    performance = play(replace(arrangement, tune=tune), count_in=False)
    assert performance.meters == ((0.0, (4, 4)), (4.0, (3, 4)))
    assert len(performance.clicks) == 7


def test_a_pickup_without_a_count_in_is_a_bar_of_its_own(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010", tempo=60)
    tune = Tune.parse("| {1 quarter} C | F |")
    way = replace(arrangement, tune=replace(tune, title=arrangement.tune.title))
    assert play(way, count_in=False).meters == ((0.0, (1, 4)), (1.0, (4, 4)))
    # A count-in leaves room for it.
    assert play(way).meters == ((0.0, (4, 4)),)


def test_a_melody_sounds_when_asked_for(arranged: Arranged) -> None:
    arrangement = arranged("C=0003", tempo=60)
    sung = BarNote(Note.parse("E5"), Fraction(1), Fraction(2))
    bar = replace(arrangement.tune.bars[0], melody=(sung,))
    arrangement = replace(
        arrangement, tune=replace(arrangement.tune, sections=(Section("A", (bar,)),))
    )
    (note,) = (e for e in play(arrangement, melody=True).tones if e.string is None)
    assert (note.midi, note.onset, note.length) == (76, 4.0 + 1.0, 2.0)
    assert not [e for e in play(arrangement).tones if e.string is None]


def in_sections(arrangement: Arrangement, *sections: tuple[str, int], form: str) -> Arrangement:
    """Return an arrangement whose bars, as written, are those of sections: names and lengths."""
    left = list(arrangement.tune.bars)
    found = []
    for name, count in sections:
        found.append(Section(name, tuple(left[:count])))
        del left[:count]
    tune = replace(arrangement.tune, sections=tuple(found), order=tuple(form))
    return replace(arrangement, tune=tune)


def test_each_section_is_a_loop_without_count_in_and_nothing_is_held(arranged: Arranged) -> None:
    whole = arranged("C=0003 | F=2010 | G7=0212", tempo=60)
    loops = play_loops(in_sections(whole, ("A", 2), ("B", 1), form="AB"))
    assert [(name, loop.seconds, loop.count_in_seconds) for name, loop in loops] == [
        ("A", 8.0, 0.0),
        ("B", 4.0, 0.0),
    ]
    for _, loop in loops:
        assert loop.around
        assert onsets(loop.tones, 0) == list(range(int(loop.seconds)))
        assert [e.onset for e in loop.clicks] == list(range(int(loop.seconds)))
    # The bars keep their numbers, the steps their places in the arrangement.
    assert (loops[1][1].bars, loops[1][1].steps) == (((3, 0.0),), ((2, 0.0),))


def test_in_a_loop_every_string_rings_on_to_the_next_round(arranged: Arranged) -> None:
    ((_, loop),) = play_loops(arranged("C=0003 | F=2010 | C=000x"), bass=True)
    for string in range(4):
        mine = [e for e in loop.tones if e.string == string]
        again = [*mine[1:], replace(mine[0], onset=mine[0].onset + loop.seconds)]
        if string == 3:
            # The last chord leaves the A string out: it is damped when that is struck, after 4 s.
            assert mine.pop().end == pytest.approx(4.0)
            again.pop()
        for now, after in zip(mine, again, strict=True):
            assert now.end == pytest.approx(after.onset)
    low = [e for e in loop.events if e.kind == "bass"]
    assert low[-1].end == pytest.approx(loop.seconds)


@pytest.mark.parametrize(
    ("form", "bars"), [("AABA", (0, 2)), ("ABAA", (3, 5)), ("ABA", (0, 2)), ("BA", (1, 3))]
)
def test_a_loop_is_of_the_section_that_leads_to_itself(
    form: str, bars: tuple[int, int], arranged: Arranged
) -> None:
    tune = in_sections(arranged("C=0003 | F=2010 | G7=0212"), ("A", 2), ("B", 1), form=form).tune
    found = dict(loop_bars(tune))
    assert (found["A"].start, found["A"].stop) == bars and len(found["B"]) == 1


def test_a_loop_is_one_whole_way_through_a_section_that_repeats(arranged: Arranged) -> None:
    one, two, three, four = arranged("C=0003 | F=2010 | G7=0212 | C=0003").tune.bars
    tune = arranged("C=0003").tune
    # Two bars played twice with two endings; then one bar, and back to the beginning.
    section = Section("A", (one, replace(two, closes=2, ending=(1,)), replace(three, ending=(2,))))
    tune = replace(
        tune, sections=(section, Section("B", (replace(four, signs=("D.C.",)),))), order=()
    )
    assert [p.bar.number for p in tune.playing] == [1, 2, 1, 3, 4, 1, 3, 4]
    # The first ending leads back to the start.
    assert loop_bars(tune) == (("A", range(0, 2)), ("B", range(4, 5)))


def test_a_silent_pickup_is_no_section(arranged: Arranged) -> None:
    tune = arranged("C=0003 | F=2010").tune
    first, second = tune.bars
    rest = Bar.of((4, 4), [], Fraction(1))
    sections = (Section("pick-up", (rest,)), Section("A", (first, second)))
    assert loop_bars(replace(tune, sections=sections, order=())) == (("A", range(1, 3)),)
    short = Bar.of((4, 4), [(Chord.parse("C"), Fraction(0))], Fraction(3))
    sections = (Section("pick-up", (rest,)), Section("A", (first, short)))
    assert loop_bars(replace(tune, sections=sections, order=())) == (("A", range(0, 3)),)


def test_a_pickup_is_in_the_loop_where_the_last_bar_leaves_room(arranged: Arranged) -> None:
    pickup = arranged("C=0003 | F=2010 | C=0003", pickup=Fraction(1), tempo=60)
    # Whole last bar: the round goes from the first whole bar.
    ((_, loop),) = play_loops(pickup)
    assert loop.bars == ((1, 0.0), (2, 4.0)) and loop.seconds == 8.0
    # A last bar of three: with the pick-up the round is of whole bars again.
    first, second, last = pickup.tune.bars
    short = Bar.of((4, 4), [(Chord.parse("C"), Fraction(0))], Fraction(3))
    tune = replace(pickup.tune, sections=(Section("A", (first, second, short)),))
    steps = (*pickup.steps[:2], replace(pickup.steps[2], beats=Fraction(3)))
    ((_, loop),) = play_loops(replace(pickup, tune=tune, steps=steps))
    assert loop.bars == ((0, 0.0), (1, 1.0), (2, 5.0)) and loop.seconds == 8.0
    assert [e.midi for e in loop.clicks] == [77, 76, 77, 77, 77, 76, 77, 77]
    assert last.length == 4


def test_a_slow_loop_is_longer_and_its_melody_stays_inside(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010", tempo=100)
    sung = BarNote(Note.parse("E5"), Fraction(2), Fraction(2), tied=True)
    tied = BarNote(Note.parse("E5"), Fraction(0), Fraction(1))
    one, two = arrangement.tune.bars
    bars = (replace(one, melody=(sung,)), replace(two, melody=(tied,)))
    sections = (Section("A", bars[:1]), Section("B", bars[1:]))
    tune = replace(arrangement.tune, sections=sections, order=())
    arrangement = replace(arrangement, tune=tune)
    (_, a), (_, b) = play_loops(arrangement, 60, melody=True)
    (note,) = (e for e in a.tones if e.string is None)
    assert (note.onset, note.length, a.seconds) == (2.0, 2.0, 4.0)
    assert not [e for e in b.tones if e.string is None]


def test_open_strings_are_played_to_tune_by(arranged: Arranged) -> None:
    guitar = arranged("C=x32010", instrument="guitar").instrument
    performance = play_strings(guitar)
    # E A D G B E, E2 to E4 (Carcassi 1836, from memory); each twice, 2.5 s each.
    pitches = [midi for midi in (40, 45, 50, 55, 59, 64) for _ in range(2)]
    assert [e.midi for e in performance.events] == pitches
    assert [e.onset for e in performance.events] == [2.5 * i for i in range(12)]
    assert performance.seconds == 30 and not performance.clicks


def test_a_tune_is_unfolded_as_often_whatever_its_length(
    arranged: Arranged, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once for each step would make three hundred bars take minutes."""
    unfolded: list[int] = []

    def count(bars: Sequence[Bar], form: Form) -> tuple[PlayedBar, ...]:
        unfolded.append(len(bars))
        return play_bars(bars, form)

    short, long = arranged("C=0003 | F=2010"), arranged(" | ".join(["C=0003 | F=2010"] * 10))
    monkeypatch.setattr("harmonykit.tune.playing.play_bars", count)
    play(short)
    play(long)
    assert unfolded.count(2) == unfolded.count(20) > 0


def test_a_tune_is_played_round_with_its_melody_only_where_that_is_asked(
    arranged: Arranged,
) -> None:
    plain = arranged("C=0003")
    (section,) = plain.tune.sections
    (bar,) = section.bars
    sung = replace(bar, melody=(BarNote(Note.parse("E5"), Fraction(0), Fraction(4)),))
    tune = replace(plain.tune, sections=(replace(section, bars=(sung,)),))
    ((_, without),) = play_loops(replace(plain, tune=tune))
    ((_, within),) = play_loops(replace(plain, tune=tune), melody=True)
    assert [e.midi for e in without.tones if e.string is None] == []
    assert [e.midi for e in within.tones if e.string is None] == [76]
