"""The bars as a page prints them: signs that say how they are played, and words under their notes.

What the signs say is played again here, by the rules of written music (common practice, no source).
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from small_arrangements import played_plainly

from harmonykit.lesson.page.figures import Styles
from harmonykit.lesson.page.printed import Printed, PrintedBar, sung_by_bar, times_said
from harmonykit.tune.tune import Tune


def song(changes: str, more: str = "", form: str = "", other: str = "", meter: str = "4/4") -> Tune:
    text = f'format = 1\ntitle = "Nets"\nkey = "C"\nmeter = "{meter}"\n'
    text += f"form = [{', '.join(map(repr, form))}]\n" if form else ""
    text += f'[[sections]]\nname = "A"\nchanges = "{changes}"\n{more}\n'
    return Tune.parse(text + (f'[[sections]]\nname = "B"\nchanges = "{other}"\n' if other else ""))


def printed(tune: Tune, styles: Styles | None = None) -> Printed:
    return Printed(played_plainly(tune), styles or Styles())


def read_back(bars: tuple[PrintedBar, ...], names: dict[str, list[int]]) -> dict[str, list[int]]:
    """Return the bars of each part as a player reads its signs, repeats and endings played."""
    played: dict[str, list[int]] = {}
    for name, places in names.items():
        found: list[int] = []
        start = 0
        numbers = [""] * len(places)
        for n, place in enumerate(places):
            ending = bars[place].signs["ending"]
            numbers[n] = (ending["text"] or numbers[n - 1]) if ending else ""
        for n, place in enumerate(places):
            signs = bars[place].signs
            start = n if signs["opens"] else start
            if "2." in numbers[n] and "1." not in numbers[n]:
                found += [at for at, number in zip(places[start:n], numbers[start:n], strict=True)
                          if not number]  # fmt: skip
            found.append(place)
            if signs["close"] == "repeat" and not numbers[n]:
                times = [int(word[1:]) for word in signs["after"] if word.startswith("×")]
                found += places[start : n + 1] * ((times or [2])[0] - 1)
        played[name] = found
    return played


@pytest.mark.parametrize(
    ("changes", "other", "form"),
    [
        ("|: C | G7 :|", "| F | C |", "AB"), ("|: C | G7 :|", "| F | C |", "ABA"),
        ("|: C | G7 :|x3", "| F | C |", "ABA"), ("| C | G7 |", "|: F | C :|", "ABA"),
        ("| C |: F | G7 :|", "| F | C |", "ABA"), ("|: C | F | [1 G7 :| [2 C ||", "| F |", "ABA"),
        ("|: C | G7 :|", "|: F | C :|", "ABAB"), ("| C | G7 |", "| F | C |", "ABA"),
        ("|: C :|: F :|x4", "| F | C |", "BAB"),
    ],
)  # fmt: skip
def test_who_reads_the_signs_plays_the_tune(changes: str, other: str, form: str) -> None:
    tune = song(changes, form=form, other=other)
    page = printed(tune)
    bars = page.bars()
    starts = [n for n, bar in enumerate(bars) if bar.part]
    spans = zip(starts, [*starts[1:], len(bars)], strict=True)
    parts = {bars[a].part: list(range(a, b)) for a, b in spans}
    assert set(parts) == set(form)
    each = read_back(bars, parts)
    last = bars[-1].signs["after"]
    order = page.order or tuple(parts)
    if "D.C. al Fine" in last:
        assert any("Fine" in bar.signs["after"] for bar in bars)
    assert [place for name in order for place in each[name]] == list(page.places)
    # What opens is closed, and the piece ends with one thick line.
    inside = False
    for bar in bars:
        inside = inside or bar.signs["opens"]
        inside = inside and bar.signs["close"] != "repeat"
    assert not inside
    assert sum(bar.signs["close"] == "end" for bar in bars) <= 1


def test_a_part_is_named_where_it_begins_and_ends_with_a_double_line() -> None:
    bars = printed(song("| C | F | G7 | C |", form="AB", other="| F | C |")).bars()
    assert [bar.part for bar in bars] == ["A", "", "", "", "B", ""]
    assert [bar.signs["close"] for bar in bars] == ["", "", "", "double", "", "end"]
    assert [bar.column for bar in bars] == [0, -1, -1, -1, 0, -1]
    # A tune of one part has no name for it, and no double line.
    bars = printed(song("| C | F | G7 | C | F | C |")).bars()
    assert {bar.part for bar in bars} == {""}
    assert [bar.signs["close"] for bar in bars] == [""] * 5 + ["end"]
    assert [bar.column for bar in bars] == [0, -1, -1, -1, 0, -1]


@pytest.mark.parametrize(("sign", "said"), [(":|", []), (":|x2", []), (":|x3", ["×3"]),
                                            (":|x12", ["×12"])])  # fmt: skip
def test_how_often_is_said_where_it_is_more_than_twice(sign: str, said: list[str]) -> None:
    one, two, last = printed(song(f"|: C | F {sign} G7 |")).bars()
    assert (one.signs["opens"], two.signs["opens"]) == (True, False)
    assert (one.signs["after"], two.signs["after"]) == ([], said)
    assert (two.signs["close"], last.signs["close"]) == ("repeat", "end")


def shares(bars: tuple[PrintedBar, ...], styles: Styles) -> list[list[float]]:
    rules = dict(re.findall(r"\.(\w+)\{flex:([\d.]+) 0 auto\}", styles.css))
    return [[float(rules[one.share]) for one in bar.sung] for bar in bars]


def test_notes_and_rests_share_their_bar_by_their_beats() -> None:
    tune = song("| C | F | G7 | C |", 'melody = "| r C5 E4:2 | C5:2 r:2 | r:4 | C5:4 |"')
    styles = Styles()
    page = printed(tune, styles)
    bars = page.bars()
    assert shares(bars, styles) == [[1, 1, 2], [2, 2], [], [4]]
    # A rest has no line; C5 is fret 3 on the A string at the top, E4 the open string below it.
    lines = [[(one.line, one.fret) for one in bar.sung] for bar in bars]
    assert lines[:2] == [[(-1, ""), (0, "3"), (1, "0")], [(0, "3"), (-1, "")]]
    assert page.has_frets and not page.has_words
    assert page.notes == [(0, -1), (1, -1), (2, -1), (3, -1)]


def test_words_without_notes_stand_under_their_whole_bar() -> None:
    tune = song(
        "|: C | F :| G7 |", 'words = ["| row home | and rest | now |", "| go on | and on | . |"]'
    )
    styles = Styles()
    page = printed(tune, styles)
    bars = page.bars()
    assert page.has_words and not page.has_frets
    words = [[one.words for one in bar.sung] for bar in bars]
    assert words[0] == [("row home", "go on")] and words[1] == [("and rest", "and on")]
    assert shares(bars, styles)[:2] == [[4], [4]]
    assert page.notes == [] and sung_by_bar(tune) == [[]] * len(tune.playing)
    silent = printed(song("| C | F |"))
    assert not silent.has_words and not silent.has_frets
    assert [bar.sung for bar in silent.bars()] == [(), ()]


def test_a_syllable_that_goes_on_has_its_hyphen_and_verses_their_lines() -> None:
    tune = song("|: C :| F |", 'melody = "| C5:2 E4:2 | C5:4 |"\n'
                'words = ["| har- bour | lights |", "| home . | . |"]')  # fmt: skip
    page = printed(tune)
    one, two = page.bars()
    assert [note.words for note in one.sung] == [("har-", "home"), ("bour", "")]
    # All bars of a row have as many lines, so that the lines of the row stand level.
    assert [note.words for note in two.sung] == [("lights", "")]
    assert page.notes == [(0, 0), (1, 0), (0, 1), (1, 1), (2, 0)]


def test_each_chord_is_followed_where_it_is_printed() -> None:
    page = printed(song("|: C F | G7 :| Am |", form="ABA", other="| F | C F |"))
    assert page.places == (0, 1, 0, 1, 2, 3, 4, 0, 1, 0, 1, 2)
    assert page.chords == [0, 1, 2, 0, 1, 2, 3, 4, 5, 6, 0, 1, 2, 0, 1, 2, 3]
    numbers = [[number for _, number in bar.numbers] for bar in page.bars()]
    assert [each[0] for each in numbers] == ["1", "2", "3", "4", "5"]
    assert [len(each) for each in numbers] == [2, 2, 2, 1, 1]
    firsts = [[index for index, _ in bar.numbers] for bar in page.bars()]
    assert firsts == [[0, 7], [1, 8], [4, 11], [5], [6]]


def test_a_pick_up_stands_apart_and_its_row_begins_behind_it() -> None:
    bars = printed(song("| {1 quarter} C | F | G7 | C | F | C | {3 quarters} C |")).bars()
    assert [bar.column for bar in bars] == [-1, 0, -1, -1, -1, 0, -1]
    assert [number for bar in bars for _, number in bar.numbers][:2] == ["pick-up", "1"]


def test_a_bar_is_named_with_the_time_that_it_comes() -> None:
    assert times_said([]) == []
    assert times_said(["1", "1", "2", "1", "2"]) == [
        "1", "1, second time", "2", "1, third time", "2, second time",
    ]  # fmt: skip


def test_notes_belong_to_the_bar_in_which_they_begin() -> None:
    tune = song("| C | F |", 'melody = "| C5:3 E4~ | E4:2 C5:2 |"')
    first, second = sung_by_bar(tune)
    assert [note.onset for note in first] == [Fraction(0), Fraction(3)]
    assert [note.onset for note in second] == [Fraction(6)]
