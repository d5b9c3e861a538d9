"""How much room a row of a chart takes: for diagrams, signs, words, strings, numerals.

A millimetre is 2.83 points: a line of words of 13 points needs some 5 mm, a bracket with its number
some 8.  y runs up from the bar line for what stands over it, down for what stands below.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from small_arrangements import Arranged, played_plainly

from harmonykit.draw.base.fonts import text_width
from harmonykit.lesson.handout.chart import BAR_MM, LEAD_MM, NAMES, ROW_MM, WORDS, Chart
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.lesson.handout.over import SMALL, Over, frets_over
from harmonykit.tune.tune import Tune


def tune_of(changes: str, more: str = "", **head: str) -> Tune:
    lines = "".join(f"{name} = {value!r}\n" for name, value in {"meter": "4/4", **head}.items())
    return Tune.parse(
        f'format = 1\ntitle = "Slip"\nkey = "C"\n{lines}[[sections]]\nname = "A"\n'
        f'changes = "{changes}"\n{more}'
    )


def rows_of(tune: Tune, *, boxes: bool = False, **drawn: Any) -> list[dict[str, Any]]:
    large = drawn.pop("large", False)
    figures = Figures(large=large)
    data = Chart(played_plainly(tune), figures, boxes=boxes, **drawn).data()
    rows: list[dict[str, Any]] = data["rows"]
    return rows


def test_a_row_is_as_high_as_what_stands_over_it() -> None:
    (bare,) = rows_of(tune_of("| C | F |"))
    signed, coda = rows_of(tune_of("| C | {segno} F {to coda} | C {D.S. al coda} | {coda} C |"))
    first, second = rows_of(tune_of("|: C | F |[1 C :|[2 C |"))
    assert bare["up"] == pytest.approx(1)
    assert signed["up"] == coda["up"] > bare["up"] + 3.5
    assert first["up"] == second["up"] > signed["up"] + 2.5
    assert first["up"] < 10
    # Without anything below: a bar line and no more.
    assert {row["down"] for row in (bare, signed, first)} == {BAR_MM}


def test_diagrams_stand_over_signs_where_they_meet_and_near_their_bar_else() -> None:
    def of(changes: str) -> dict[str, Any]:
        row, *_ = rows_of(tune_of(changes), boxes=True)
        return row

    bare, met, ending = (
        of("| C | F |"),
        of("| {segno} C | F {D.S.} |"),
        of("|: N.C. |[1 F :|[2 G7 |"),
    )
    for row, place in ((bare, 0), (met, 0), (ending, 1)):
        (box,) = row["boxes"]
        assert row["up"] == pytest.approx(box["high"] + box["over"])
        assert box["x"] == row["bars"][place]["names"][0]["x"]
    over = [row["boxes"][0]["over"] for row in (bare, met, ending)]
    # 3 mm over its bar; over a sign by as much as signs are high; over a bracket likewise.
    plain = (
        rows_of(tune_of("| {segno} C | F {D.S.} |"))[0]["up"],
        rows_of(tune_of("|: C |[1 F :|[2 G7 |")),
    )
    assert over[0] == 3
    assert over[1] == pytest.approx(3 + plain[0])
    assert over[2] == pytest.approx(3 + plain[1][0]["up"])
    # Beside a bracket it stands near its bar.
    (box,) = of("|: C |[1 F :|[2 G7 |")["boxes"]
    assert box["over"] == 3


def test_a_shape_is_drawn_once_where_it_comes_first(arranged: Arranged) -> None:
    way = arranged("C=0003 F:2=2010 | C=0003 Am:2=2000 | NC | G7=0212 C:2=5433")
    data = Chart(way, Figures()).data()
    (row,) = data["rows"]
    names = [name for bar in row["bars"] for name in bar["names"]]
    first = [names[0], names[1], names[3], names[5], names[6]]
    assert [name["text"] for name in first] == ["C", "F", "Am", "G7", "C"]
    boxes = row["boxes"]
    assert len(boxes) == 5 and len({box["box"] for box in boxes}) == 5
    for box, name in zip(boxes, first, strict=True):
        assert abs(box["x"] - name["x"]) < 12
    for one, other in pairwise(boxes):
        # Outer sides of diagrams, with a finger's number beside the nut, keep clear.
        assert other["x"] - one["x"] - one["wide"] >= 2.6
    assert boxes[-1]["x"] + boxes[-1]["wide"] < ROW_MM - 1
    assert [box["high"] + box["over"] <= row["up"] + 1e-9 for box in boxes] == [True] * 5


MELODY = 'melody = "| C4 D4 E4 F4 | G4:2 A4:2 |"\n'


def test_strings_stand_under_the_names_and_words_under_them() -> None:
    """Four strings 2.9 mm apart; verses 5.6 mm apart; nothing stands on another."""
    words = 'words = ["| row to the lee | be- low |", "| sail to the bay | a- gain |"]\n'
    (sung,) = rows_of(tune_of("| C | F |", MELODY + words), melody=True)
    (said,) = rows_of(tune_of("| C | F |", MELODY + words))
    (played,) = rows_of(tune_of("| C | F |", MELODY), melody=True)
    (one,) = rows_of(tune_of("| C | F |", MELODY + 'words = "| row to the lee | be- low |"\n'))
    (bare,) = rows_of(tune_of("| C | F |", MELODY))
    assert [len(row["words"]) for row in (sung, said, played, one, bare)] == [2, 2, 0, 1, 0]
    assert [bool(row["tab"]) for row in (sung, said, played, one, bare)] == [
        True, False, True, False, False,
    ]  # fmt: skip
    strings = 3 * 2.9
    # Each row ends a little under its last line, and leaves no hole.
    assert BAR_MM + strings < played["down"] < BAR_MM + strings + 6
    assert played["down"] < sung["wordsAt"] < played["down"] + 8
    assert BAR_MM + 3 < said["wordsAt"] == one["wordsAt"] < BAR_MM + 8
    for row in (sung, said, one):
        last = row["wordsAt"] + (len(row["words"]) - 1) * 5.6
        assert 1 <= row["down"] - last < 2
    assert said["down"] - one["down"] == pytest.approx(5.6)
    assert bare["down"] == BAR_MM and bare["wordsAt"] == 0
    assert [note["line"] for note in sung["tab"]] == [2, 2, 1, 1, 1, 0]
    assert [note["text"] for note in sung["tab"]] == ["0", "2", "0", "1", "3", "0"]


def test_numerals_stand_under_the_bar_and_over_nothing() -> None:
    tune = tune_of("| C | F | G7 | C |")
    (plain,), (told,) = rows_of(tune), rows_of(tune, numerals=True)
    assert [one["text"] for one in told["numerals"]] == ["I", "IV", "V7", "I"]
    assert 3 < told["numeralsAt"] - BAR_MM < 5
    assert 0.5 < told["down"] - told["numeralsAt"] < 1.5
    assert plain["numerals"] == []
    # Under words and strings where there are any.
    words = tune_of("| C | F |", MELODY + 'words = "| row to the lee | be- low |"\n')
    for melody in (False, True):
        (without,) = rows_of(words, melody=melody)
        (under,) = rows_of(words, melody=melody, numerals=True)
        assert 3 < under["numeralsAt"] - without["down"] < 5


@pytest.mark.parametrize("large", [False, True])
def test_columns_share_the_row_behind_the_lead(large: bool) -> None:
    """Four columns, in large print two; a pick-up of half a bar widens the lead to hold it."""
    row, columns = (ROW_MM / LARGE, 2) if large else (ROW_MM, 4)
    tune = tune_of("| C | F | G7 | C | F | C | G7 | C |")
    for found in rows_of(tune, large=large):
        assert [bar["x"] for bar in found["bars"]] == pytest.approx(
            [LEAD_MM + n * (row - LEAD_MM) / columns for n in range(columns)]
        )
        assert found["end"] == pytest.approx(row) and found["left"] == LEAD_MM
    led = tune_of("| {2 quarters} N.C. | C | F | G7 | C |")
    first, *_ = rows_of(led, large=large)
    pickup, one, *_ = first["bars"]
    # It has no line at its start, so what stands in it may begin at the very edge.
    assert pickup["x"] > -2.5 and pickup["end"] == pytest.approx(one["x"])
    assert first["left"] == max(0, pickup["x"]) and min(pickup["rests"]) >= 0
    assert pickup["open"] == "" and pickup["rests"] and not pickup["names"]
    assert first["end"] == pytest.approx(row)


def test_type_is_as_large_as_the_fullest_bar_lets_it_be() -> None:
    """One size for a chart: the first of 18, 16, 14, 13 at which no two names touch."""
    sizes = {}
    for chords in ("C", "C F", "C Am F G7", "Cmaj7 Am7 Dm7 G7", "C#m7b5 F#7b9 Bm7b5 E7b9"):
        data = Chart(
            played_plainly(tune_of(f"| {chords} | C | F | C |")), Figures(), boxes=False
        ).data()
        sizes[chords] = data["name"]
        assert data["word"] == WORDS[0]
        assert data["lead"] == LEAD_MM + 2.5
        for row in data["rows"]:
            for bar in row["bars"]:
                ends = [name["x"] + name["wide"] for name in bar["names"]]
                starts = [name["x"] for name in bar["names"]][1:] + [bar["end"]]
                assert all(b - a > 0.4 for a, b in zip(ends, starts, strict=True))
    assert sizes["C"] == sizes["C F"] == NAMES[0] > sizes["C Am F G7"] >= 13


def test_a_crowded_row_takes_two_rows_of_bars_twice_as_wide() -> None:
    tune = tune_of("| C#m7 F#7 Bm7 E7 | C | C#m7 F#7 Bm7 E7 | C |")
    rows = rows_of(tune)
    assert [len(row["bars"]) for row in rows] == [2, 2]
    for row in rows:
        assert row["bars"][1]["x"] - row["bars"][0]["x"] == pytest.approx((ROW_MM - 12) / 2)
        assert row["end"] == pytest.approx(ROW_MM)
    # Where it may be tight it stays one row, its names a little late, none by 5 mm or more.
    (row,) = rows_of(tune_of("| C#m7 F#7 Bm7 E7 | C | C | C |"), tight=True)
    first = row["bars"][0]
    beats = [first["x"] + 2.5 + n / 4 * (first["end"] - first["x"] - 4.9) for n in range(4)]
    late = [name["x"] - beat for name, beat in zip(first["names"], beats, strict=True)]
    assert all(abs(each) <= 5 for each in late)


def test_holds_and_metres_and_strokes_stand_in_their_bars() -> None:
    tune = tune_of("| C | F {fermata} |")
    (row,) = rows_of(tune)
    (hold,) = row["bars"][1]["holds"]
    assert row["bars"][1]["x"] < hold < row["bars"][1]["end"] and not row["bars"][0]["holds"]


@pytest.mark.parametrize(("meter", "counts"), [("4/4", 4), ("3/4", 3), ("6/8", 2), ("5/4", 5)])
def test_two_bars_to_practise_fill_the_row_with_counts_on_their_beats(
    meter: str, counts: int
) -> None:
    way = played_plainly(tune_of("| C | F | G7 | C |", meter=meter))
    chart = Chart(way, Figures(), boxes=False)
    for first in range(3):
        found = chart.two_bars(first, 60.0)
        one, other = found["bars"]
        assert (one["x"], found["left"]) == (60.0, 60.0)
        assert one["end"] == pytest.approx(117) == other["x"] and other["end"] == pytest.approx(174)
        assert [each["text"] for each in found["counts"]] == [
            str(n) for n in [*range(1, counts + 1)] * 2
        ]
        for place, bar in enumerate((one, other)):
            own = found["counts"][place * counts : (place + 1) * counts]
            assert [each["x"] for each in own] == pytest.approx(
                [bar["x"] + 2.5 + n / counts * (57 - 4.9) for n in range(counts)]
            )
        assert found["name"] in NAMES
        assert (one["label"], other["label"]) == (str(first + 1), str(first + 2))
        assert [one["open"], other["open"], one["close"], other["close"]] == [
            "repeat", "bar", "", "repeat",
        ]  # fmt: skip
        assert not one["ending"] and not other["after"] and not other["meter"]


def test_a_diagram_over_a_row_is_as_wide_as_its_strings_and_none_touches_another() -> None:
    """It stands with its first string on its beat; names beside it and marks have room."""
    figures = Figures()
    data = Chart(played_plainly(tune_of("| C | F | G7 | C |")), figures).data()
    boxes = [box for row in data["rows"] for box in row["boxes"]]
    assert boxes
    for box in boxes:
        drawn = figures.table()[box["box"]]
        assert box["wide"] + 2 * box["left"] == pytest.approx(drawn["wide"])
        assert box["high"] == pytest.approx(drawn["high"])
        assert 0 < box["left"] < box["wide"]


def test_a_shape_that_waits_for_its_diagram_has_its_frets(arranged: Arranged) -> None:
    """Two boxes of four strings stand 5.2 mm apart: the third chord of a bar of four has no room.

    By the font of 10.5 points "0-0-0-1" is 11 mm wide; "12" over the bar stands before it.
    """
    way = arranged("C=0003 C7:1=0001 F:2=2010 C:3=5437 | C=5437 | F=2010 | C=0003")
    (row, *_) = Chart(way, Figures()).data()["rows"]
    spots = [(box["frets"], box["at"]) for box in row["boxes"]]
    told = [(one["text"], one["x"]) for one in row["frets"]]
    drawn = {frets for frets, _ in spots}
    assert {frets for frets, _ in [*spots, *told]} == {"0-0-0-3", "0-0-0-1", "2-0-1-0", "5-4-3-7"}
    names = [name for bar in row["bars"] for name in bar["names"]]
    assert told and len(drawn) < 4
    for frets, x in told:
        # Over its own chord, clear of the bar's number, and never once a diagram shows it.
        near = min(names, key=lambda name: abs(name["x"] - x))
        chords = {"0-0-0-1": "C7", "2-0-1-0": "F", "5-4-3-7": "C", "0-0-0-3": "C"}
        assert chords[frets] == near["text"]
        # The last chord goes back to its first shape.
        assert frets == "0-0-0-3" or all(at > x for shown, at in spots if shown == frets)
    (apart,) = Chart(arranged("C=0003 | F=2010"), Figures()).data()["rows"]
    assert apart["frets"] == [] and len(apart["boxes"]) == 2


@pytest.mark.parametrize("even", [False, True])
def test_endings_stand_under_one_another(*, even: bool) -> None:
    """A second ending with less in it is as wide as the first: bar 16 stands under bar 8."""
    shared, crowded = "C | F | G7 | C | C | F", "C C Cmaj13 | Cmaj13 Cmaj13 C6"
    rows = rows_of(tune_of(f"|: {shared} |[1 {crowded} :|[2 C | C |", meter="3/4"), even=even)
    ends = [row for row in rows if any(bar["ending"] for bar in row["bars"])]
    first, second = ([bar for bar in row["bars"] if bar["ending"]] for row in ends)
    assert [bar["ending"]["text"] for bar in (first[0], second[0])] == ["1.", "2."]
    assert [(bar["x"], bar["end"]) for bar in first] == [(bar["x"], bar["end"]) for bar in second]
    # Wider than a column: what is not crowded keeps to its columns.
    plain = rows[0]["bars"]
    wide = first[0]["end"] - first[0]["x"]
    assert wide == pytest.approx((2 if not even else 1) * (plain[0]["end"] - plain[0]["x"]))


def test_crowded_names_of_large_print_stand_near_their_beats() -> None:
    """Am(maj7) of 11.5 points is 17.0 mm wide, by the font; of 14, 20.7: a third of a bar is 14.5.

    Set larger by 1.6 that is over 18 points.
    """
    (row, *_) = rows_of(
        tune_of("| Am Am Am(maj7) | Am7 Am7 Am6 |", meter="3/4"), large=True, tight=True
    )
    bar = row["bars"][0]
    beat = bar["x"] + 2.5 + 2 / 3 * (bar["end"] - bar["x"] - 4.9)
    name = bar["names"][1]
    assert name["text"] == "Am(maj7)" and 0 <= beat - name["x"] <= 2.5
    assert name["x"] + name["wide"] <= bar["end"] - 0.99


def test_a_shape_that_is_known_has_its_frets_once_instead_of_a_diagram(arranged: Arranged) -> None:
    """Only what is new is drawn; a shape that comes again needs neither."""
    way = arranged("C=0003 | F=2010 | C=0003 F:2=2010 | G7=0212")
    known = frozenset({shape for shape in way.shapes if shape.digits != "0-2-1-2"})
    (row,) = Chart(way, Figures(), boxes=Over(known=known)).data()["rows"]
    assert [box["frets"] for box in row["boxes"]] == ["0-2-1-2"]
    told = {one["text"]: one["x"] for one in row["frets"]}
    first, second, *_ = (bar["names"][0]["x"] for bar in row["bars"])
    assert len(row["frets"]) == 2 and [*told] == ["0-0-0-3", "2-0-1-0"]
    # Each over its chord or a little beside it, where its bar's number stands.
    assert 0 <= told["0-0-0-3"] - first < 6 and 0 <= told["2-0-1-0"] - second < 6
    (all_drawn,) = Chart(way, Figures(), boxes=True).data()["rows"]
    assert len(all_drawn["boxes"]) == 3 and all_drawn["frets"] == []


def test_a_chord_that_changes_its_shape_has_frets_again(arranged: Arranged) -> None:
    """Back to the first C, and the shape of one chord under another's name: each is told."""
    bars = "C=0003 | C=5437 | C=0003 | C=0003 | B7=1212 | G#7=1212 | G#7=1212 | B7=1212"
    way = arranged(bars.replace("B7", "Bdim7").replace("G#7", "G#dim7"))
    drawn = [row for row in Chart(way, Figures()).data()["rows"]]
    known = Chart(way, Figures(), boxes=Over(known=frozenset(way.shapes))).data()["rows"]
    told = ["0-0-0-3", "5-4-3-7", "0-0-0-3", "1-2-1-2", "1-2-1-2"]
    assert [one["text"] for row in known for one in row["frets"]] == told
    # A diagram says it where the shape comes first.
    assert [box["frets"] for row in drawn for box in row["boxes"]] == [
        "0-0-0-3",
        "5-4-3-7",
        "1-2-1-2",
    ]
    frets = [(one["text"], one["x"]) for row in drawn for one in row["frets"]]
    assert [text for text, _ in frets] == ["0-0-0-3", "1-2-1-2"]
    at = [bar["names"][0]["x"] for row in drawn for bar in row["bars"]]
    assert 0 <= frets[0][1] - at[2] < 8 and 0 <= frets[1][1] - at[5] < 8


@pytest.mark.parametrize("strings", ["ukulele", "guitar"])
def test_small_diagrams_are_still_eleven_millimetres_wide(arranged: Arranged, strings: str) -> None:
    shape = {"ukulele": "0003", "guitar": "x32010"}[strings]
    way = arranged(f"C={shape}", instrument=strings)
    (large,), (small,) = (
        Chart(way, Figures(), boxes=Over(size)).data()["rows"][0]["boxes"]
        for size in ("over", SMALL)
    )
    assert 11 <= small["wide"] < large["wide"] and small["high"] < large["high"] - 1


def test_frets_keep_clear_of_a_number_behind_a_repeat() -> None:
    """It stands 2.5 mm behind the line; "1" of 9 points is 1.6 mm wide, by the font."""
    way = played_plainly(tune_of("|: C | F :|"))
    how = Over(known=frozenset(way.shapes))
    (row,) = Chart(way, Figures(), boxes=how).data()["rows"]
    frets, other = row["frets"]
    first = row["bars"][0]
    # Both chords have one shape here: each name has its frets.
    assert frets["text"] == other["text"]
    assert first["open"] == "repeat" and frets["x"] >= first["x"] + 2.5 + 1.6 + 0.8


def test_frets_that_have_no_room_beside_a_long_number_stand_above_it(
    arranged: Arranged, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Over beat 3 of bar 2 a diagram makes room over the row.  By the font "2 · 10 · 26" of 9
    points is 12 mm wide, and beat 3 is 18 behind beat 1: frets beside it would stand nearer to 3.
    """
    calls: list[Any] = []

    def noted(*given: Any) -> Any:
        calls.append(given)
        return frets_over(*given)

    monkeypatch.setattr("harmonykit.lesson.handout.chart.frets_over", noted)
    way = arranged("C=0003 | Am7=2433 G7:2=0212 | F=2010")
    known = frozenset(shape for shape in way.shapes if shape.digits != "0-2-1-2")
    (row,) = Chart(way, Figures(), boxes=Over(known=known)).data()["rows"]
    (laid, bars, _, _, boxes, how, (type_pt, room)) = calls[-1]
    assert [one["y"] for one in row["frets"]] == [3.0] * 3 and type_pt == 9.0

    def of(size: float, high: float) -> dict[str, tuple[float, float]]:
        told = frets_over(laid, bars, set(), {}, boxes, how, (size, high))
        return {one["text"]: (one["x"], one["y"]) for one in told if one["text"] != "0-2-1-2"}

    bars[1]["label"] = "2 · 10 · 26"
    raised, (box,) = of(type_pt, room), boxes
    beat = bars[1]["names"][0]["x"]
    assert raised["2-4-3-3"] == (beat, -0.9) and beat + text_width("2-4-3-3", 9.0) < box["x"] - 2
    assert raised["0-0-0-3"][1] == raised["2-0-1-0"][1] == 3.0
    # Where the row has no room there is none, nor under a sign, nor below a diagram.
    assert "2-4-3-3" not in of(type_pt, 1.0)
    beside = box | {"x": beat + 2, "at": beat + 2}
    told = frets_over(laid, bars, set(), {}, [beside], how, (type_pt, room))
    assert all(one["y"] > 0 for one in told)
    bars[1]["after"] = ["Fine"]
    assert "2-4-3-3" not in of(type_pt, room)
    # Half the 18 mm are left to a number and the air about it: of 9 points, not of 10.5.
    bars[1]["label"] = "10000"
    assert [size for size in (9.0, 10.5) if "2-4-3-3" in of(size, 1.0)] == [9.0]
