"""The forms that signs can say, each as a musician writes it; a player and music21 read them back.

How each is written is common practice, no source; after a jump repeats are not taken, and of
several endings the last is.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from unfolded import bars, stepped

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.written import written_bars
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.once import print_once, score_text, with_signs
from harmonykit.tune.tune import Tune

SECTIONS = {
    "A": "| C | F | C | F | G7 |", "B": "| F | C | D7 | G7 |", "C": "| Am | Dm | E7 | Am |",
    "intro": "| G7 | G7 |", "tag": "| F | C |",
}  # fmt: skip

# Sections in playing order; the bars that are left silent, so that an end is another, or with a
# minus played in another shape; and what stands on paper, as it is typed: for a bar its numbers.
FORMS = {
    "repeat, Fine": (
        "A A B A", (),
        "|: 1·6·15 | 2·7·16 | 3·8·17 | 4·9·18 | 5·10·19 {fine} :| 11 | 12 | 13"
        " | 14 {D.C. al fine} |",
    ),
    "endings, Fine in the second": (
        "A A B A", (4,),
        "|: 1·6·15 | 2·7·16 | 3·8·17 | 4·9·18 |[1 5 :|[2 10·19 {fine} | 11 | 12 | 13"
        " | 14 {D.C. al fine} |",
    ),
    "endings, ended as the first": (
        "A A B A", (9,),
        "|: 1·6·15 | 2·7·16 | 3·8·17 | 4·9·18 |[1,3 5·19 {fine} :|[2 10 | 11 | 12 | 13"
        " | 14 {D.C. al fine} |",
    ),
    "endings, a third of its own": (
        "A A B A", (4, -18),
        "|: 1·6·15 | 2·7·16 | 3·8·17 | 4·9·18 {to coda} |[1 5 :|[2 10 | 11 | 12 | 13"
        " | 14 {D.C. al coda} | {coda} 19 |",
    ),
    "endings, ended as the first, and a tag": (
        "A A B A tag", (9,),
        "|: 1·6·15 | 2·7·16 | 3·8·17 | 4·9·18 |[1,3 5·19 {to coda} :|[2 10 | 11 | 12 | 13"
        " | 14 {D.C. al coda} | {coda} 20 | 21 |",
    ),
    "no repeat, Fine": (
        "A B A", (),
        "| 1·10 | 2·11 | 3·12 | 4·13 | 5·14 {fine} | 6 | 7 | 8 | 9 {D.C. al fine} |",
    ),
    "no repeat, an end of its own": (
        "A B A", (13,),
        "| 1·10 | 2·11 | 3·12 | 4·13 {to coda} | 5 | 6 | 7 | 8 | 9 {D.C. al coda} | {coda} 14 |",
    ),
    "intro, D.S., Fine in the second": (
        "intro A A B A", (6,),
        "| 1 | 2 |: {segno} 3·8·17 | 4·9·18 | 5·10·19 | 6·11·20 |[1 7 :|[2 12·21 {fine} | 13 | 14"
        " | 15 | 16 {D.S. al fine} |",
    ),
    "intro and tag, D.S.": (
        "intro A B A tag", (),
        "| 1 | 2 | {segno} 3·12 | 4·13 | 5·14 | 6·15 | 7·16 {to coda} | 8 | 9 | 10"
        " | 11 {D.S. al coda} | {coda} 17 | 18 |",
    ),
    "two endings three times": (
        "A A A B A", (14, 23),
        "|: 1·6·11·20 | 2·7·12·21 | 3·8·13·22 | 4·9·14·23 |[1,2 5·10 :|[3 15·24 {fine}"
        " | 16 | 17 | 18 | 19 {D.C. al fine} |",
    ),
    "two sections come back": (
        "A B C A B", (),
        "| 1·14 | 2·15 | 3·16 | 4·17 | 5·18 | 6·19 | 7·20 | 8·21 | 9·22 {fine}"
        " | 10 | 11 | 12 | 13 {D.C. al fine} |",
    ),
    # What no sign says stands in letters.
    "repeated after the jump too": (
        "A A B A A", (),
        "| 1·6·15·20 | 2·7·16·21 | 3·8·17·22 | 4·9·18·23 | 5·10·19·24 {end, last time}"
        " | 11 | 12 | 13 | 14 |",
    ),
    "a new section at the end": (
        "A B A C", (),
        "| 1·10 | 2·11 | 3·12 | 4·13 | 5·14 | 6 | 7 | 8 | 9 | 15 | 16 | 17 | 18 |",
    ),
    "a jump from the end would be a repeat": (
        "B C B C", (), "| 1·9 | 2·10 | 3·11 | 4·12 | 5·13 | 6·14 | 7·15 | 8·16 |",
    ),
}  # fmt: skip
SIGNED = [name for name, (_, _, sheet) in FORMS.items() if " al " in sheet and ",3" not in sheet]


def way_of(name: str) -> Arrangement:
    """Return a level of a form: the chord of some bars is left out there."""
    order, otherwise, _ = FORMS[name]
    names = order.split()
    text = 'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n'
    text += f"form = {names}\n".replace("'", '"')
    for section in dict.fromkeys(names):
        text += f'[[sections]]\nname = "{section}"\nchanges = "{SECTIONS[section]}"\n'
    (way,) = reharmonise(Tune.parse(text), "ukulele", (), k=1)
    first: dict[tuple[str, int], Any] = {}
    steps = []
    for step in way.steps:
        played = way.tune.playing[step.bar]
        shape = first.setdefault((played.section, played.bar.number), step.voicing)
        left = step.bar in otherwise
        if -step.bar in otherwise and step.bar:
            shape = Voicing.parse("0-2-3-5", way.instrument)
        steps.append(
            type(step)(
                None if left else step.chord,
                None if left else shape,
                step.onset,
                step.beats,
                step.bar,
            )  # fmt: skip
        )
    return type(way)(way.tune, way.instrument, tuple(steps), way.cost, way.tempo)


def on_paper(way: Arrangement) -> str:
    text, line = "", "|"
    for row in Chart(way, Figures(), boxes=False).data()["rows"]:
        for bar in row["bars"]:
            text += line + ":" * (bar["open"] == "repeat")
            if bar["ending"] and bar["ending"]["starts"]:
                text += "[" + bar["ending"]["text"].replace(".", "").replace(" ", "")
            after = [sign.replace("F", "f").replace("l C", "l c") for sign in bar["after"]]
            signs = [f"{{{sign.replace('To', 'to')}}}" for sign in (*bar["over"], *after)]
            words = [*signs[: len(bar["over"])], bar["label"], *signs[len(bar["over"]) :]]
            text += f" {' '.join(words)} ".replace(" · ", "·")
            line = ":|" if bar["close"] == "repeat" else "|"
    return text + line


@pytest.mark.parametrize("name", FORMS)
def test_each_form_is_written_as_a_musician_writes_it(name: str) -> None:
    assert on_paper(way_of(name)) == FORMS[name][2]


LABEL = re.compile(r"(?<= )\d+(?:·\d+)*")


def typed(sheet: str) -> str:
    """Return what stands on paper as changes, every bar a C."""
    return LABEL.sub("C", sheet)


def numbered(sheet: str, places: list[int]) -> list[int]:
    """Return the numbers of bars at the places at which they are played: each time the next one."""
    labels = LABEL.findall(sheet)
    seen: dict[int, int] = {}
    found = []
    for place in places:
        found.append(int(labels[place].split("·")[seen.get(place, 0)]))
        seen[place] = seen.get(place, 0) + 1
    return found


@pytest.mark.parametrize("name", SIGNED)
def test_a_player_with_a_finger_on_the_page_plays_all_bars_in_order(name: str) -> None:
    way = way_of(name)
    places = stepped(bars(typed(FORMS[name][2])))
    assert numbered(FORMS[name][2], places) == list(range(1, len(way.tune.playing) + 1))


@pytest.mark.parametrize("name", SIGNED)
def test_music21_plays_the_score_to_the_bars_of_the_sheet(name: str) -> None:
    """It has the sheet's numbers.  music21 loses endings beside a jump: what is played
    after it is written out there.
    """
    from music21 import converter, stream

    way, sheet = way_of(name), FORMS[name][2]
    score = converter.parseData(score_text(way, "Slip"), format="musicxml")
    part = score.parts[0]
    measures = list(part.getElementsByClass(stream.Measure))
    labels = [int(label.split("·")[0]) for label in LABEL.findall(sheet)]
    printed = len(labels)
    if "[" in sheet:
        printed = len(LABEL.findall(sheet[: sheet.index(" al ")]))
        assert len(part.getElementsByClass("RepeatBracket")) > 1
        assert not list(part.recurse().getElementsByClass("RepeatExpression"))
    assert [measure.number for measure in measures][:printed] == labels[:printed]
    for place, measure in enumerate(measures):
        measure.editorial["place"] = place
        measure.editorial["number"] = measure.number
    heard = part.expandRepeats().getElementsByClass(stream.Measure)
    again = [each.editorial["number"] for each in heard if each.editorial["place"] >= printed]
    places = [each.editorial["place"] for each in heard if each.editorial["place"] < printed]
    assert numbered(sheet, places) + again == list(range(1, len(way.tune.playing) + 1))


def test_an_earlier_ending_that_ends_the_piece_has_both_its_numbers() -> None:
    """By hand: first time, second time, bridge, third time, which a score writes out."""
    from music21 import converter

    way, sheet = way_of("endings, ended as the first"), FORMS["endings, ended as the first"][2]
    places = [0, 1, 2, 3, 4, 0, 1, 2, 3, 5, 6, 7, 8, 9, 0, 1, 2, 3, 4]
    assert numbered(sheet, places) == list(range(1, 20))
    assert with_signs(way) is None
    part = converter.parseData(score_text(way, "Slip"), format="musicxml").parts[0]
    lengths = [len(each.getElementsByClass("Measure")) for each in (part, part.expandRepeats())]
    assert lengths == [10 + 5, 19]
    # The page follows the same printed bars.
    once = print_once(way, written_bars(way))
    assert list(once.places(way)) == places
