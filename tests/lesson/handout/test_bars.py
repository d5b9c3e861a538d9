"""What stands in a bar of a chart: nothing touches, each on its beat or as near as there is room.

The widths of texts are those of the fonts, by fontTools.  A bar of 40 mm has its first beat 2.5 mm
behind its line.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_arrangements import played_plainly

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import written_bars
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.lesson.handout import bars
from harmonykit.lesson.handout.bars import Cell, ChartBar
from harmonykit.tune.tune import Tune

COLUMN, LINE = 40.0, 100.0


def drawn(
    changes: str, meter: str = "4/4", column: float = COLUMN, **fields: str
) -> list[ChartBar]:
    """Return the bars of a tune, each behind the one before, from 100 mm on."""
    more = "".join(f"{name} = {value!r}\n" for name, value in fields.items())
    tune = Tune.parse(
        f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "{meter}"\n[[sections]]\nname = "A"\n'
        f'changes = "{changes}"\n{more}'
    )
    way = played_plainly(tune)
    found: list[ChartBar] = []
    for bar in written_bars(way):
        found.append(laid(way, bar.index, found[-1].end if found else LINE, column))
    return found


def laid(way: Arrangement, index: int, x: float, column: float) -> ChartBar:
    (bar,) = [bar for bar in written_bars(way) if bar.index == index]
    onset = way.tune.playing[index].onset
    cells = tuple(Cell(step, step.onset - onset) for step in way.bars()[index])
    return ChartBar(bar, cells, x, column)


def names(bar: ChartBar, size: float = 13.0) -> list[dict[str, Any]]:
    return list(bars.names_in(bar, size))


def test_beats_stand_at_equal_distances_behind_the_line() -> None:
    (bar,) = drawn("| C F G7 C |")
    room = COLUMN - 2.5 - 2.4
    assert [bar.at(Fraction(n)) for n in range(5)] == pytest.approx(
        [LINE + 2.5 + n / 4 * room for n in range(5)]
    )
    assert (bar.end, bar.wide, bar.whole) == (pytest.approx(LINE + COLUMN), COLUMN, 4)
    assert [one["x"] for one in names(bar)] == pytest.approx(
        [bar.at(Fraction(n)) for n in range(4)]
    )


def test_a_short_bar_is_drawn_short() -> None:
    """A quarter of three: its beats are as far apart as in any bar; a pick-up ends on its line."""
    pickup, whole, last = drawn("| {1 quarter} C | F | {2 quarters} C |", "3/4")
    room = COLUMN - 2.5 - 2.4
    assert whole.wide == COLUMN
    assert pickup.wide == pytest.approx(2.5 + room / 3)
    assert last.wide == pytest.approx(2.5 + room * 2 / 3 + 2.4)
    assert last.at(Fraction(1)) - last.at(Fraction(0)) == pytest.approx(room / 3)
    assert pickup.end == whole.x


CHORD = st.sampled_from(["C", "F#m7b5", "Bbm(maj7)", "Dbmaj7#11", "G7b9/B", "Am"])


@settings(max_examples=20)
@given(st.lists(CHORD, min_size=1, max_size=4), st.sampled_from([18.0, 13.0, 10.0]))
def test_names_never_touch_and_move_no_further_than_they_must(
    chords: list[str], size: float
) -> None:
    (bar,) = drawn(f"| {' '.join(chords)} |", f"{len(chords)}/4", 60.0)
    found = names(bar, size)
    wide = [text_width(one["text"], size, SEMIBOLD) for one in found]
    assert [one["wide"] for one in found] == pytest.approx(wide)
    for (one, across), (other, _) in pairwise(zip(found, wide, strict=True)):
        assert one["x"] + across + 1.49 <= other["x"]
    room = sum(wide) + 1.5 * (len(wide) - 1) <= bar.wide - 2.5 - 1
    if room:
        assert found[0]["x"] >= bar.x + 2 and found[-1]["x"] + wide[-1] <= bar.end - 0.99
    # Where each has room on its beat it stands there.
    beats = [bar.at(Fraction(n)) for n in range(len(chords))]
    fits = all(
        x + w + 1.5 <= y for x, w, y in zip(beats, wide, [*beats[1:], bar.end + 0.5], strict=True)
    )
    if fits:
        assert [one["x"] for one in found] == pytest.approx(beats)


def test_a_name_is_told_with_what_it_is() -> None:
    silent, plain = drawn("| N.C. | C |")
    assert [(one["text"], one["silent"], one["added"]) for one in names(silent)] == [
        ("N.C.", True, False)
    ]
    assert [(one["text"], one["silent"], one["added"]) for one in names(plain)] == [
        ("C", False, False)
    ]


@pytest.mark.parametrize(
    ("changes", "meter", "beats"),
    [
        ("| C |", "4/4", [1, 2, 3]), ("| C F |", "4/4", [1, 3]), ("| C F G7 C |", "4/4", []),
        ("| C |", "3/4", [1, 2]), ("| C |", "6/8", [1.5]), ("| N.C. | C |", "4/4", []),
        # Silence after a chord: the chord's own beat has its stroke, and so have the others.
        ("| C N.C. |", "4/4", [1, 3]),
    ],
)  # fmt: skip
def test_a_stroke_on_every_beat_without_a_chord(
    changes: str, meter: str, beats: list[float]
) -> None:
    bar, *_ = drawn(changes, meter, 60.0)
    found, under = bars.slashes_in(bar, 13.0)
    assert not under and found == pytest.approx([bar.at(Fraction(beat)) for beat in beats])


def test_every_beat_has_its_stroke_whatever_the_name_covers() -> None:
    """The names of a bar and its strokes are as many as its beats: a bar is counted by its marks.

    What a long name covers has its stroke under it, on the beat.
    """
    for meter, count in (("4/4", 4), ("3/4", 3), ("5/4", 5), ("7/8", 7), ("6/8", 2)):
        for chord in ("C", "Am7", "Bbm(maj7)"):
            for size in (18.0, 13.0, 10.0):
                (bar,) = drawn(f"| {chord} |", meter)
                beside, under = bars.slashes_in(bar, size)
                assert 1 + len(beside) + len(under) == count
                beats = [bar.at(n * Fraction(bar.whole, count)) for n in range(1, count)]
                (name,) = names(bar, size)
                assert set(under) <= set(beats)
                assert all(x < name["x"] + name["wide"] + 1.4 for x in under)
                assert beside + under == sorted(beside) + under


def test_a_wide_name_of_a_common_bar_leaves_three_strokes() -> None:
    """By hand: Dm6 of 14 points is 9.8 mm wide, its second beat 8.9 mm behind the first."""
    bar = drawn("| Dm6 Gm6 |", column=40.5)[0]
    beside, under = bars.slashes_in(bar, 14.0)
    assert not under
    assert [x - bar.x for x in beside] == pytest.approx(
        [2.5 + 9.8 + 1.4, 20.3 + 9.8 + 1.4], abs=0.1
    )


def verses(row: list[ChartBar], size: float, end: float) -> list[list[bars.Word]]:
    return list(bars.verses_in(tuple(row), size, end))


def test_words_stand_under_their_notes() -> None:
    row = drawn(
        "| C | F |", melody="| C4 D4 E4 F4 | G4:2 A4:2 |", words="| row to the lee | be- low |"
    )
    (verse,) = verses(row, 12.0, row[-1].end)
    assert [word[3] for word in verse] == ["row", "to", "the", "lee", "be-", "low"]
    places = [*(row[0].at(Fraction(n)) for n in range(4)), row[1].at(Fraction(0)),
              row[1].at(Fraction(2))]  # fmt: skip
    assert [word[0] for word in verse] == pytest.approx(places)
    assert [word[1] for word in verse] == pytest.approx([0.0] * 6)
    assert [word[2] - word[0] for word in verse] == pytest.approx(
        [text_width(word[3], 12.0) for word in verse]
    )


@given(st.lists(st.sampled_from(["a", "o'er", "moonlight", "through", "harbour"]),
                min_size=4, max_size=4), st.sampled_from([9.0, 10.5, 12.0, 13.0]))  # fmt: skip
def test_words_never_touch(words: list[str], size: float) -> None:
    row = drawn("| C |", melody="| C4 D4 E4 F4 |", words=f"| {' '.join(words)} |")
    wide = [text_width(word, size) for word in words]
    end = row[0].end if sum(wide) + 3 < COLUMN - 4 else LINE + 200
    (verse,) = verses(row, size, end)
    for (_, _, stop, _), (start, *_) in pairwise(verse):
        assert start - stop >= 0.99
    beats = [row[0].at(Fraction(n)) for n in range(4)]
    # In small type a word may begin up to 4 mm early, so that none is late; else never early.
    early = 4.0 if size < 11 else 0.0
    for (x, late, _, _), beat in zip(verse, beats, strict=True):
        assert late == pytest.approx(x - beat)
        assert x >= beat - early - 1e-9
    assert verse[-1][2] <= end + 0.51
    if all(w + 1 <= b - a for w, (a, b) in zip(wide, pairwise([*beats, LINE + 200]), strict=True)):
        if end > LINE + 100:
            assert [word[1] for word in verse] == pytest.approx([0.0] * 4)


def test_each_verse_has_its_line() -> None:
    row = drawn("| C | F |", melody="| C4:4 | E4:4 |", words="| row | low |")
    assert [[word[3] for word in verse] for verse in verses(row, 12.0, 200.0)] == [["row", "low"]]
    assert verses(drawn("| C | F |"), 12.0, 200.0) == []


def test_a_numeral_where_it_changes() -> None:
    row = tuple(drawn("| C F | F G7 | C |"))
    steps = [cell.step for bar in row for cell in bar.cells]
    told = dict(zip((s.onset for s in steps), ["I", "IV", "IV", "V7", "I"], strict=True))
    found = list(bars.numerals_in(row, told))
    assert [one["text"] for one in found] == ["I", "IV", "V7", "I"]
    assert [one["x"] for one in found] == pytest.approx(
        [row[0].at(Fraction(0)), row[0].at(Fraction(2)), row[1].at(Fraction(2)),
         row[2].at(Fraction(0))]
    )  # fmt: skip
    # One that would touch the one before stands behind it.
    narrow = tuple(drawn("| C F G7 C |", column=14.0))
    many = {cell.step.onset: text for cell, text in
            zip(narrow[0].cells, ["VII7", "III7", "V7", "VI7"], strict=True)}  # fmt: skip
    crowd = list(bars.numerals_in(narrow, many))
    assert len(crowd) == 4
    for one, other in pairwise(crowd):
        assert one["x"] + text_width(one["text"], 10.0) + 0.99 <= other["x"]
    assert list(bars.numerals_in(row, {})) == []


def test_a_stroke_keeps_clear_of_what_stands_on_either_side() -> None:
    """In bars from far too narrow to wide: 1.4 mm behind a name, 0.6 mm before the next sign.

    A stroke is 1.7 mm wide and stands 2.4 mm behind its beat at most, on it where that is clear;
    else it stands under a name.
    """
    for chords, meter in (("C", "4/4"), ("C Bbm(maj7)", "4/4"), ("Am7 F", "6/4"), ("C F", "2/2")):
        for tenth in range(100, 480, 13):
            (bar,) = drawn(f"| {chords} |", meter, tenth / 10)
            taken = [(one["x"], one["x"] + one["wide"]) for one in names(bar)]
            strokes, under = bars.slashes_in(bar, 13.0)
            quarter = Fraction(4, int(meter[2]))
            every = [n * quarter for n in range(int(meter[0]))]
            begun = {cell.at for cell in bar.cells}
            beats = [bar.at(at) for at in every if at not in begun]
            for x in strokes:
                assert all(x >= end + 1.4 - 1e-9 or x < start for start, end in taken)
                assert all(x + 2.3 <= start + 1e-9 for start, _ in taken if start > x)
                assert x + 2.3 <= bar.end + 1e-9
                assert any(beat <= x <= beat + 2.4 for beat in beats)
            assert len(strokes) + len(under) == len(beats) and set(under) <= set(beats)
            for beat in beats:
                behind = all(beat >= end + 1.4 for start, end in taken if start < beat)
                before = all(beat + 2.3 < start for start, _ in taken if start > beat)
                if behind and before and beat + 2.3 < bar.end:
                    assert beat in strokes
