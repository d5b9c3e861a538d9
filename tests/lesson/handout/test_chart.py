"""A level as a chart: nothing touches, beats stand in columns, the form stands in signs."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.passes import alike_each_time
from harmonykit.arrange.score import to_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.written import printed_numbers
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout import bars as sheet
from harmonykit.lesson.handout.chart import ROW_MM, Chart
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.bar import Bar, Meter
from harmonykit.tune.fold import write_out
from harmonykit.tune.tune import Section, Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
SHAPES = {
    UKULELE: ["0000", "1212", "9-9-8-10", "10-11-10-11", "2-2-1-3", "5-3-2-0"],
    GUITAR: ["x32010", "xx1212", "10-12-12-11-10-10", "x-5-7-6-7-5", "3x0001"],
}
NAMES = ["C6", "F#m7b5", "Bbm(maj7)", "C#dim7", "Dbmaj7#11", "G7b9/B"]
CHORD = st.sampled_from([Chord.parse(name) for name in NAMES])

# A pick-up, a repeat with two endings, a bridge, D.S. al fine; invented, with two verses.
SONG = """format = 1
title = "Nets"
key = "G"
meter = "3/4"
[[sections]]
name = "A"
changes = \"\"\"
{1 quarter} N.C. |: {segno} G | G | D7 | G | Em | Am | D7 |[1 G :|[2 {fine} G ||
\"\"\"
melody = \"\"\"
| D4 | G4 A4 B4 | D5:2 B4 | A4 C5 A4 | B4:2 D4 | G4:2 B4 | C5:2 A4 | D4 E4 F#4 | G4:2 D4 | G4:3 |
\"\"\"
words = ["| The | nets are hung | out to | dry in the | sun, and | gulls go | o- ver | the slip one | by The | . |",
"| . | tide has gone | out with | all that we | said, but | still it | comes to | its old sand- | . . | bed. |"]
[[sections]]
name = "B"
changes = "| C | G | A7 | D7 | {2 quarters} D7 {D.S. al fine} |"
melody = "| E5:3 | D5:3 | C#5:3 | D5:3 | r:2 |"
"""  # noqa: E501


def level(
    bars: list[list[tuple[Chord | None, str]]], neck: Instrument, meter: Meter
) -> Arrangement:
    """Return a tune whose bars share their chords equally, with the shapes given."""
    written, steps, onset = [], [], Fraction(0)
    whole = Fraction(4 * meter[0], meter[1])
    for index, bar in enumerate(bars):
        share = whole / len(bar)
        written.append(Bar.of(meter, [(c, share * i) for i, (c, _) in enumerate(bar)]))
        for chord, digits in bar:
            shape = Voicing.parse(digits, neck) if chord else None
            steps.append(Step(chord, shape, onset, share, index))
            onset += share
    tune = Tune("Tide", Key.parse("C"), meter, 120, (Section("A", tuple(written)),))
    return Arrangement(tune, neck, tuple(steps), 0, 120.0)


@pytest.fixture(scope="module")
def song() -> Arrangement:
    (way,) = reharmonise(Tune.parse(SONG), "ukulele", (), k=1)
    return alike_each_time(way)[0]


def bars_of(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [bar for row in data["rows"] for bar in row["bars"]]


def names_of(data: dict[str, Any]) -> list[str]:
    return [name["text"] for bar in bars_of(data) for name in bar["names"]]


@settings(max_examples=25)
@given(st.data())
def test_nothing_touches_and_nothing_runs_off(data: st.DataObject) -> None:
    """But where a single bar has more than the whole row holds."""
    neck = data.draw(st.sampled_from([UKULELE, GUITAR]))
    cell = st.tuples(st.none() | CHORD, st.sampled_from(SHAPES[neck]))
    bars = data.draw(st.lists(st.lists(cell, min_size=1, max_size=4), min_size=1, max_size=9))
    large = data.draw(st.booleans())
    drawn = Figures(left_handed=data.draw(st.booleans()), large=large)
    chart = Chart(level(bars, neck, (4, 4)), drawn).data()
    row_mm = ROW_MM / (LARGE if large else 1)
    size = chart["name"]
    for row in chart["rows"]:
        assert row["end"] <= row_mm + 1e-6
        boxes = [(box["x"], box["x"] + box["wide"]) for box in row["boxes"]]
        assert all(end < start for (_, end), (start, _) in pairwise(boxes))
        for bar in row["bars"]:
            spans = [(n["x"], n["x"] + text_width(n["text"], size, SEMIBOLD)) for n in bar["names"]]
            spans += [(x, x + 1.7) for x in bar["slashes"]]
            spans.sort()
            if len(row["bars"]) > 1 or size < 18:
                assert all(end < start for (_, end), (start, _) in pairwise(spans))
                assert bar["x"] < spans[0][0] and spans[-1][1] < bar["end"]
    merged = [
        chord.unicode if chord else "N.C."
        for bar in bars
        for index, (chord, shape) in enumerate(bar)
        if index == 0
        or (chord, shape if chord else "")
        != (bar[index - 1][0], bar[index - 1][1] if chord else "")
    ]
    assert names_of(chart) == merged


def test_a_phrase_is_a_row_and_every_bar_stands_in_its_column(song: Arrangement) -> None:
    """Behind a column of 12 mm for the pick-up four bars of 40.5 share 174 mm."""
    rows = Chart(song, Figures()).data()["rows"]
    assert [[bar["label"] for bar in row["bars"]] for row in rows] == [
        ["", "1", "2", "3", "4"], ["5", "6", "7", "8"], ["9"], ["10", "11", "12", "13"], ["14"],
    ]  # fmt: skip
    columns = [12, 52.5, 93, 133.5]
    assert [bar["x"] for bar in rows[0]["bars"][1:]] == pytest.approx(columns)
    # The second ending stands under the first.
    assert rows[2]["bars"][0]["x"] == rows[1]["bars"][3]["x"] == pytest.approx(133.5)
    # Two beats of three: drawn short.
    assert rows[4]["end"] - rows[4]["bars"][0]["x"] == pytest.approx(28.6, abs=0.2)


def test_the_form_stands_in_signs(song: Arrangement) -> None:
    bars = {bar["label"]: bar for bar in bars_of(Chart(song, Figures()).data())}
    assert [n for n, bar in bars.items() if bar["open"] == "repeat"] == ["1"]
    assert [n for n, bar in bars.items() if bar["close"] == "repeat"] == ["8"]
    assert {n: bar["ending"]["text"] for n, bar in bars.items() if bar["ending"]} == {
        "8": "1.", "9": "2.",
    }  # fmt: skip
    assert bars["1"]["over"] == ["segno"] and bars["9"]["after"] == ["Fine"]
    assert bars["14"]["after"] == ["D.S. al Fine"]
    # The piece ends at the Fine, not where the paper does.
    assert [n for n, bar in bars.items() if bar["close"] == "end"] == ["9"]


def test_music21_plays_the_score_to_the_bars_of_the_sheet(song: Arrangement) -> None:
    """Repeats and endings as music21 expands them, and the same numbers; D.S. by hand.

    It stops at a jump into a repeat that was played, so what stands after bar 14 is by the rule
    that repeats are not taken again (common practice, no source).
    """
    from music21 import converter, stream

    score = converter.parseData(to_musicxml(song), format="musicxml")
    part = score.parts[0]
    for measure in part.getElementsByClass(stream.Measure):
        measure.removeByClass("RepeatExpression")
    played = [m.number for m in part.expandRepeats().getElementsByClass(stream.Measure)]
    numbers = [number for number, _ in printed_numbers(song)]
    assert numbers[: len(played)] == played and len(played) == 1 + 8 + 8 + 5
    assert numbers[len(played) :] == [*range(1, 8), 9]


def test_words_and_melody_stand_on_their_beats(song: Arrangement) -> None:
    row = Chart(song, Figures(), boxes=False, melody=True).data()["rows"][0]
    bars = row["bars"]
    said = [[word["text"] for word in verse] for verse in row["words"]]
    assert said[0][:5] == ["1.", "The", "nets", "are", "hung"]
    assert said[1][:4] == ["2.", "tide", "has", "gone"]
    nets = row["words"][0][2]["x"]
    assert nets == bars[1]["names"][0]["x"] == row["words"][1][1]["x"]
    # g C E A by hand: D4 is fret 2 of the C string; G4 is fret 3 of the E string, for the g string
    # lies above its neighbour; A4 is open.  Lines are counted from the A string.
    frets = [(note["line"], note["text"]) for note in row["tab"][:4]]
    assert frets == [(2, "2"), (1, "3"), (0, "0"), (0, "2")]


def test_words_without_a_melody_begin_where_their_bars_begin() -> None:
    tune = Tune.parse("|: C | F G7 | C | C :|\n| row to | the lee | my | |\n| sail to | | |")
    (way,) = reharmonise(tune, "ukulele", (), k=1)
    row = Chart(way, Figures(), boxes=False).data()["rows"][0]
    said = [[word["text"] for word in verse] for verse in row["words"]]
    assert said == [["1.", "row to", "the lee", "my"], ["2.", "sail to"]]
    assert [word["x"] for word in row["words"][0][1:]] == [
        bar["names"][0]["x"] for bar in row["bars"][:3]
    ]


def test_a_diagram_stands_over_the_first_bar_of_its_shape_alone(song: Arrangement) -> None:
    figures = Figures()
    rows = Chart(song, figures).data()["rows"]
    drawn = [box["box"] for row in rows for box in row["boxes"]]
    assert len(drawn) == len(set(drawn)) == len(song.shapes)
    # Its first string stands on the beat.
    first = rows[0]["bars"][1]
    assert rows[0]["boxes"][0]["x"] == first["names"][0]["x"]


def test_a_diagram_never_stands_nearer_to_another_chord() -> None:
    """Boxes of six strings are wider than a beat: one without room waits till its shape returns."""
    c, f = Chord.parse("C"), Chord.parse("F")
    full = [(c, "x32010"), (f, "xx1212"), (c, "3x0001"), (f, "x-5-7-6-7-5")]
    bars: list[list[tuple[Chord | None, str]]] = [[*full], [*full], [full[1]], [full[3]]]
    (row,) = Chart(level(bars, GUITAR, (4, 4)), Figures()).data()["rows"]
    beats = [name["x"] for bar in row["bars"] for name in bar["names"]]
    own = [beats.index(box["at"]) for box in row["boxes"]]
    # Four in a bar have no room: two at its ends, and another where its shape comes again.
    assert own[0] == 0 and 3 <= len(own) == len({box["box"] for box in row["boxes"]})
    assert any(place > 3 for place in own)
    for box in row["boxes"]:
        assert min(beats, key=lambda x: abs(x - box["x"])) == box["at"]


@pytest.mark.parametrize("left", [False, True])
def test_the_number_of_a_fret_is_nearest_to_its_own_diagram(left: bool) -> None:
    """It stands 2.3 mm beside its strings and is 1.6 wide; a mark reaches 1.75 over a string."""
    c = Chord.parse("C")
    full: list[list[tuple[Chord | None, str]]] = [
        [(c, "0003"), (c, "9-9-8-10")], [(c, "10-11-10-11"), (c, "2010")],
    ]  # fmt: skip
    (row,) = Chart(level(full, UKULELE, (4, 4)), Figures(left_handed=left)).data()["rows"]
    for one, other in pairwise(row["boxes"]):
        numbered = one["number"] if left else other["number"]
        assert other["x"] - one["x"] - one["wide"] >= (2.3 + 1.6 + 2.3 + 1.75 if numbered else 5.2)
    assert [box["number"] for box in row["boxes"]] == [False, True, True, False]


def test_without_signs_all_is_written_out(song: Arrangement) -> None:
    """Another shape the second time: no repeat says that."""
    last = next(n for n, s in enumerate(song.steps) if s.bar == 9 and s.chord)
    other = Voicing.parse("7-7-7-10", UKULELE)
    steps = list(song.steps)
    steps[last] = Step(
        steps[last].chord, other, steps[last].onset, steps[last].beats, steps[last].bar
    )
    way = Arrangement(song.tune, UKULELE, tuple(steps), 0, 120.0)
    bars = bars_of(Chart(way, Figures()).data())
    assert [bar["label"] for bar in bars][1:] == [str(n) for n in range(1, len(bars))]
    assert not any(bar["open"] == "repeat" or bar["after"] for bar in bars)
    assert [bar["label"] for bar in bars if bar["close"] == "end"] == [bars[-1]["label"]]


@pytest.mark.parametrize(
    "meter, chords, slashes",
    [
        ((4, 4), 1, 3), ((4, 4), 2, 2), ((3, 4), 1, 2),
        # In 6/8 the beat is dotted (common practice, no source).
        ((6, 8), 1, 1), ((6, 8), 2, 0), ((5, 4), 1, 4),
    ],
)  # fmt: skip
def test_a_slash_for_each_beat_without_a_change(meter: Meter, chords: int, slashes: int) -> None:
    bar = [(Chord.parse("C"), "0003"), (Chord.parse("F"), "2010")][:chords]
    chart = Chart(level([bar], UKULELE, meter), Figures()).data()
    assert len(bars_of(chart)[0]["slashes"]) == slashes and not bars_of(chart)[0]["under"]


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("tight", [False, True])
def test_names_give_way_so_that_each_bar_has_a_mark_for_each_beat(tight: bool, large: bool) -> None:
    """Symbols as wide as a beat are set smaller; and none comes near what closes its bar."""
    text = "|: Dm6 | Gm6 C#dim7 | Am(maj7) | D7 F#dim7 | Bbmaj7 | E7 Am(maj7) | Dm6 | Gm6 E7 :|"
    (way,) = reharmonise(text, "ukulele", (), k=1)
    chart = Chart(way, Figures(large=large), boxes=False, tight=tight).data()
    for bar in bars_of(chart):
        names = bar["names"]
        assert len(names) + len(bar["slashes"]) + len(bar["under"]) == 4
        # Dots stand 1.25 mm before the line, 0.55 in radius (drawn so); a gap of 1 mm.
        reach = 1.8 if bar["close"] == "repeat" else 0.0
        assert names[-1]["x"] + names[-1]["wide"] <= bar["end"] - reach - 0.99
        assert all(b["x"] - a["x"] - a["wide"] > 1.4 for a, b in pairwise(names))
        # Only a name that is longer than a beat by 2 mm and its air covers one.
        covered = any(name["text"] in ("Am(maj7)", "B♭maj7") for name in names)
        assert covered or not bar["under"]


def test_a_new_metre_is_told_where_it_begins() -> None:
    bars = [Bar.of(meter, [(Chord.parse("C6"), Fraction(0))]) for meter in ((4, 4), (3, 4), (3, 4))]
    tune = Tune("Tide", Key.parse("C"), (4, 4), 120, (Section("A", tuple(bars)),))
    (way,) = reharmonise(tune, "ukulele", (), k=1)
    chart = Chart(way, Figures()).data()
    assert [bar["meter"] for bar in bars_of(chart)] == ["", "3/4", ""]


def test_two_bars_to_practise_are_a_loop(song: Arrangement) -> None:
    found = Chart(song, Figures(), boxes=False).two_bars(3, 60.0)
    assert [bar["label"] for bar in found["bars"]] == ["3", "4"]
    assert (found["bars"][0]["open"], found["bars"][1]["close"]) == ("repeat", "repeat")
    assert [count["text"] for count in found["counts"]] == ["1", "2", "3"] * 2
    assert found["bars"][0]["x"] == 60.0 and found["bars"][1]["end"] == pytest.approx(ROW_MM)


def test_numerals_stand_under_each_change_and_at_the_start_of_a_row() -> None:
    """By hand, in G major: G6 is I6, Em7 vi7, Am7 ii7, D7 V7 (common practice, no source)."""
    way = reharmonise("| G6 | G6 | Em7 | Am7 D7 | G6 | G6 | D7 | G6 |", "ukulele", (), k=1)[0]
    rows = Chart(way, Figures(), boxes=False, numerals=True).data()["rows"]
    said = [[one["text"] for one in row["numerals"]] for row in rows]
    assert said == [["I6", "vi7", "ii7", "V7"], ["I6", "V7", "I6"]]
    plain = Chart(way, Figures(), boxes=False).data()["rows"]
    for row, bare in zip(rows, plain, strict=True):
        starts = {name["x"] for bar in row["bars"] for name in bar["names"]}
        assert {one["x"] for one in row["numerals"]} <= starts and not bare["numerals"]
        assert row["down"] > row["numeralsAt"] > bare["down"]


def test_a_part_printed_once_has_the_words_of_every_time() -> None:
    text = "A:\n| C | F | G7 | C |\n| row to | | | |\n| sail to | | | |\nB:\n| F | C | G7 | C |\n"
    tune = Tune.parse(text + "Form: AABA")
    (way,) = reharmonise(tune, "ukulele", (), k=1)
    rows = Chart(way, Figures(), boxes=False).data()["rows"]
    said = [[[word["text"] for word in verse] for verse in row["words"]] for row in rows]
    assert said == [[["1.", "row to"], ["2.", "sail to"]], []]


def test_what_is_written_out_has_the_words_of_one_time_and_no_empty_line() -> None:
    tune = Tune.parse("|: C | F | G7 | C :|\n| row to | | | |\n| sail to | | | |")
    (way,) = reharmonise(replace(tune, sections=write_out(tune).sections), "ukulele", (), k=1)
    rows = Chart(way, Figures(), boxes=False).data()["rows"]
    said = [[[word["text"] for word in verse] for verse in row["words"]] for row in rows]
    assert said == [[["row to"]], [["sail to"]]]


def test_names_that_stand_well_are_not_tried_smaller(monkeypatch: pytest.MonkeyPatch) -> None:
    tried, beside = set[float](), sheet.slashes_in

    def slashes_in(bar: sheet.ChartBar, size: float) -> tuple[list[float], list[float]]:
        tried.add(size)
        return beside(bar, size)

    monkeypatch.setattr(sheet, "slashes_in", slashes_in)
    way = level([[(Chord.parse("C6"), "0000")]] * 4, UKULELE, (4, 4))
    assert Chart(way, Figures()).data()["name"] == 18.0 and tried == {18.0}
