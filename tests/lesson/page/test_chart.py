"""A level's chart: slashes by the beat, sections, and how many bars stand in a row."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.passes import alike_each_time
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.page.chart import (
    ChartView,
    view_bars,
    view_chart,
)
from harmonykit.lesson.page.figures import Figures, Styles
from harmonykit.lesson.page.printed import Printed
from harmonykit.lesson.page.rows import fit_css
from harmonykit.lesson.page.sounds import music, sung_times
from harmonykit.lesson.plan.model import Level, Played
from harmonykit.lesson.plan.takes import PlayAlong
from harmonykit.sound.events import play
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.bar import BarNote, bar_length
from harmonykit.tune.tune import Bar, Section, Tune

UKULELE = Instrument.named("ukulele")
C, F = Voicing.parse("0003", UKULELE), Voicing.parse("2010", UKULELE)


def played(
    meter: tuple[int, int],
    *bars: tuple[str, ...],
    tempo: float = 60,
    form: tuple[str, ...] = (),
    pickup: Fraction | None = None,
) -> Played:
    """Return a level of one section or two; a bar is its chords' places in quarters."""
    lengths = [pickup if pickup and index == 0 else bar_length(meter) for index in range(len(bars))]
    changes = [[(Chord.parse("CF"[i % 2]), Fraction(at)) for i, at in enumerate(b)] for b in bars]
    written = [Bar.of(meter, *each) for each in zip(changes, lengths, strict=True)]
    half = len(bars) // 2 if form else len(bars)
    sections = [Section("one", tuple(written[:half])), Section("two", tuple(written[half:]))]
    parts = tuple(section for section in sections if section.bars)
    tune = Tune("Slack Rope", Key.parse("C"), meter, tempo, parts, form)
    steps = [
        Step(change.chord, (C, F)[i % 2], bar.onset + change.at, change.beats, number)
        for number, bar in enumerate(tune.playing)
        for i, change in enumerate(bar.bar.changes)
    ]
    arrangement = Arrangement(tune, UKULELE, tuple(steps), 0, tempo)
    level = Level("plain", (), "", limits_at(1, UKULELE), 1.0, tempo)
    return Played(level, arrangement, "level-1")


def chart(*arguments: object, **keywords: object) -> ChartView:
    return view_chart(0, played(*arguments, **keywords), Figures(Styles()))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "meter, places, slashes",
    [
        ((4, 4), ("0",), [3]),
        ((4, 4), ("0", "2"), [1, 1]),
        ((4, 4), ("0", "1", "2", "3"), [0, 0, 0, 0]),
        # A chord that enters between two beats has a slash for the beat that falls in it.
        ((4, 4), ("0", "3/2"), [1, 2]),
        ((3, 4), ("0", "2"), [1, 0]),
        # Two dotted beats.
        ((6, 8), ("0",), [1]),
        ((6, 8), ("0", "3/2"), [0, 0]),
    ],
)
def test_a_slash_for_each_beat_without_a_change(
    meter: tuple[int, int], places: tuple[str, ...], slashes: list[int]
) -> None:
    view = chart(meter, places)
    assert [cell.slashes for cell in view.bars[0].cells] == slashes


def test_steps_are_counted_through_and_bars_in_playing_order() -> None:
    level = played((4, 4), ("0", "2"), ("0",), form=("one", "two", "one"))
    bars = view_bars(level.arrangement, Figures(Styles()))
    assert [[cell.step for cell in bar.cells] for bar in bars] == [[0, 1], [2], [3, 4]]
    view = view_chart(0, level, Figures(Styles()))
    assert [bar.number for bar in view.bars] == ["1", "2", "3"]
    assert [bar.part for bar in view.bars] == ["one", "two", "one"]


def test_the_one_section_of_a_tune_is_not_named() -> None:
    assert [bar.part for bar in chart((4, 4), ("0",), ("0",)).bars] == ["", ""]


def test_a_pick_up_has_a_name_and_no_number() -> None:
    level = played((4, 4), ("0",), ("0",), pickup=Fraction(1))
    view = view_chart(0, level, Figures(Styles()))
    assert [(bar.number, bar.name) for bar in view.bars] == [
        ("pick-up", "the pick-up"),
        ("1", "bar 1"),
    ]


def test_what_may_go_round_is_the_tune_and_each_way_through_a_section() -> None:
    view = chart((4, 4), ("0",), ("0",), form=("one", "two", "one"))
    assert view.rounds == (
        ("the whole tune", 0, 2),
        ("one, bar 1", 0, 0),
        ("two, bar 2", 1, 1),
        ("one, bar 3", 2, 2),
    )
    assert chart((4, 4), ("0",), ("0",)).rounds == (("the whole tune", 0, 1),)
    # A round has no pick-up: its last bar is whole.
    level = played((4, 4), ("0",), ("0",), ("0",), pickup=Fraction(1))
    assert view_chart(0, level, Figures(Styles())).rounds == (("the whole tune", 1, 2),)


def test_a_chord_under_a_fermata_is_marked() -> None:
    level = played((4, 4), ("0", "2"), ("0",))
    bars = (replace(level.arrangement.tune.bars[0], fermatas=(Fraction(3),)),)
    tune = replace(
        level.arrangement.tune, sections=(Section("one", bars + level.arrangement.tune.bars[1:]),)
    )
    held = replace(level, arrangement=replace(level.arrangement, tune=tune))
    view = view_chart(0, held, Figures(Styles()))
    assert [cell.held for bar in view.bars for cell in bar.cells] == [False, True, False]
    plain = view_chart(0, level, Figures(Styles())).bars[0].cells[1]
    assert view.bars[0].cells[1].width >= plain.width


def test_click_and_bass_are_at_choice_and_a_melody_where_there_is_one() -> None:
    level = played((4, 4), ("0",), ("0",))
    wanted = PlayAlong(click=False, melody=True)
    assert view_chart(0, level, Figures(Styles())).parts == (
        ("strum", True),
        ("click", True),
        ("bass", False),
        ("percussion", True),
    )
    sung = BarNote(Note.parse("E5"), Fraction(0), Fraction(4))
    first, second = level.arrangement.tune.bars
    sections = (Section("one", (replace(first, melody=(sung,)), second)),)
    tune = replace(level.arrangement.tune, sections=sections)
    melodic = replace(level, arrangement=replace(level.arrangement, tune=tune))
    view = view_chart(0, melodic, Figures(Styles()), wanted)
    assert view.parts == (
        ("strum", True), ("click", False), ("bass", False), ("percussion", True), ("melody", True),
    )  # fmt: skip
    # E5 is MIDI 76, at the start of bar 1; without a melody no tone but the bass has no string.
    events = [event for bar in music(melodic)["events"] for event in bar]
    assert [e[:3] for e in events if e[4] == "tone" and e[3] is None] == [[4.0, 4.0, 76]]
    plain = [event for bar in music(level)["events"] for event in bar]
    assert not [e for e in plain if e[4] == "tone" and e[3] is None]
    assert {e[4] for e in plain} == {"tone", "bass", "click", "drum"}


def test_a_longer_chord_has_more_of_the_bar_and_none_less_than_its_box() -> None:
    styles = Styles()
    level = played((4, 4), ("0", "3"))
    view = view_chart(0, level, Figures(styles))
    rules = dict(re.findall(r"\.(\w+)\{([^}]*)\}", styles.css))
    long, short = (rules[cell.share] for cell in view.bars[0].cells)
    assert long.startswith("flex:3 0 ") and short.startswith("flex:1 0 ")
    for cell in view.bars[0].cells:
        assert cell.symbol and cell.width >= cell.symbol.width


def test_as_many_bars_in_a_row_as_there_is_room_for() -> None:
    # With four bars in a row a pick-up has a narrow column before them.
    # The column is 658 px wide, a phone's 328: four and two bars of 150, two and one of 200.
    narrow, broad = fit_css(150), fit_css(200)
    assert re.findall(r"@container \(min-width:(\d+)px\)", narrow) == ["301", "601", "601"]
    assert re.findall(r"@container \(min-width:(\d+)px\)", broad) == ["401", "801", "801"]
    # Only what does not fit goes beyond the column, and only on a screen.
    assert "@media" not in narrow and "@media screen and" in broad
    # It becomes as wide as four bars in a row ask for, no narrower and no wider.
    assert re.findall(r"\{width:(\d+)px", broad) == ["801"]


def test_a_chord_is_ready_a_dotted_beat_before_it_in_six_eight() -> None:
    # Tempo 90: a dotted quarter lasts one second, a bar two; two bars are counted in.
    level = music(played((6, 8), ("0",), ("0", "3/2"), tempo=90))
    assert level["steps"] == [[4, 3, 0], [6, 5, 1], [7, 6, 1]]
    assert level["bars"] == [4, 6] and level["seconds"] == pytest.approx(8 + 1.5)


SONG = """format = 1
title = "Nets"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "{1 quarter} N.C. |: C | G7 :|"
melody = "| G4 | C5:2 E4 G4~ | G4:2 r D4 |"
words = ["| The | nets are hung | out |", "| . | tide has gone | too |"]
"""


def test_words_and_melody_stand_under_the_bars_and_are_followed() -> None:
    """On g C E A by hand: G4 is fret 3 of the E string, C5 fret 3 of A, D4 fret 2 of C; the lines
    are counted from the A string.  At 60 quarters a minute a note begins where its quarter does."""
    (way,) = reharmonise(Tune.parse(SONG), "ukulele", (), k=1)
    way = alike_each_time(way)[0]
    printed = Printed(way, Styles())
    bars = printed.bars()
    assert [[number for _, number in bar.numbers] for bar in bars] == [["pick-up"], ["1"], ["2"]]
    # The pick-up stands before the row, which the bar after it begins.
    assert [bar.column for bar in bars] == [-1, 0, -1]
    sung = [[(n.line, n.fret, n.words) for n in bar.sung if n.line >= 0] for bar in bars]
    # "The" is sung once, before the repeat; below the first verse stands the second.
    assert sung == [
        [(1, "3", ("The", ""))],
        [(0, "3", ("nets", "tide")), (1, "0", ("are", "has")), (1, "3", ("hung", "gone"))],
        [(2, "2", ("out", "too"))],
    ]
    performance = play(way, 60)
    level = Played(Level("Sung", (), "", way.limits, 0.1, 60), way, "sung")
    times = sung_times(level, performance)
    start = times[1]
    assert [time - start for time in times] == pytest.approx(
        [-1, 0, 2, 3, 7, 8, 10, 11, 15], abs=1e-5
    )
    # A rest of the pick-up is none of the chords: N.C. stands in whole bars alone.
    view = view_chart(0, level, Figures(Styles()))
    assert [cell.name for cell in view.bars[0].cells] == ["–"]
    # Each is followed where it is printed, with the word of its verse.
    assert printed.notes == [
        (0, 0), (1, 0), (2, 0), (3, 0), (4, 0), (1, 1), (2, 1), (3, 1), (4, 1),
    ]  # fmt: skip
    assert printed.places == (0, 1, 2, 1, 2)


def test_the_page_has_the_bars_of_the_sheet_with_its_signs() -> None:
    """By hand: an ending each time, the second under the first; then a part that comes back."""
    tune = Tune.parse("|: C | F | [1 G7 | C :| [2 G7 | C ||")
    way = alike_each_time(reharmonise(tune, "ukulele", (), k=1)[0])[0]
    printed = Printed(way, Styles())
    bars = printed.bars()
    assert printed.places == (0, 1, 2, 3, 0, 1, 4, 5)
    assert [number for bar in bars for _, number in bar.numbers] == list("123456")
    assert [bar.column for bar in bars] == [0, -1, -1, -1, 2, -1]
    assert [bar.signs["opens"] for bar in bars] == [True] + 5 * [False]
    assert [bar.signs["close"] for bar in bars] == ["", "", "", "repeat", "", "end"]
    endings = [bar.signs["ending"]["text"] for bar in bars if bar.signs["ending"]]
    assert endings == ["1.", "", "2.", ""]

    level = played((4, 4), ("0",), ("0", "2"), form=("one", "one", "two", "one"))
    again = Printed(level.arrangement, Styles())
    one, two = again.bars()
    assert again.places == (0, 0, 1, 0) and again.order == ("one", "one", "two", "one")
    assert [number for _, number in one.numbers] == ["1", "2", "4"] and two.numbers == ((2, "3"),)
    assert one.signs["opens"] and one.signs["close"] == "repeat"
    assert (one.signs["after"], two.signs["after"]) == (["Fine"], ["D.C. al Fine"])
    # Three chords are printed; the first is heard three times.
    assert again.chords == [0, 0, 1, 2, 0]
    assert view_chart(0, level, Figures(Styles())).choices == ("1", "2", "3", "4")
