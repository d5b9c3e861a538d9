"""Sections that come back the same are printed once; music21 plays the signs to the same bars."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.passes import alike_each_time
from harmonykit.arrange.score import to_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.written import written_bars
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.once import print_once, score_text, with_signs
from harmonykit.tune.tune import Tune

A, B, C = "| C | F | G7 | C |", "| F | C | D7 | G7 |", "| Am | F | G7 | C |"


def way_of(*order: str) -> Arrangement:
    form = ", ".join(f'"{name}"' for name in order)
    sections = "".join(
        f'[[sections]]\nname = "{name}"\nchanges = "{bars}"\n'
        for name, bars in zip("ABC", (A, B, C), strict=True)
        if name in order
    )
    text = f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\nform = [{form}]\n{sections}'
    (way,) = reharmonise(Tune.parse(text), "ukulele", (), k=1)
    # The shapes of a section are those of its first time: what is asked here is the form.
    first: dict[tuple[str, int], Any] = {}
    steps = []
    for step in way.steps:
        key = way.tune.playing[step.bar].section, way.tune.playing[step.bar].bar.number
        first.setdefault(key, step.voicing)
        steps.append(type(step)(step.chord, first[key], step.onset, step.beats, step.bar))
    return type(way)(way.tune, way.instrument, tuple(steps), way.cost, way.tempo)


def played_by_music21(data: dict[str, Any]) -> list[int]:
    """Return the numbers of the bars as music21 plays the signs of a chart."""
    from music21 import bar, note, repeat, stream

    part = stream.Part()
    rows = [one for row in data["rows"] for one in row["bars"]]
    for place, one in enumerate(rows):
        measure = stream.Measure(number=place + 1)
        measure.append(note.Note("C4", quarterLength=4, lyric=one["label"]))
        if one["open"] == "repeat":
            measure.leftBarline = bar.Repeat(direction="start")
        if one["close"] == "repeat":
            measure.rightBarline = bar.Repeat(direction="end", times=one["times"] or 2)
        if "Fine" in one["after"]:
            measure.append(repeat.Fine())
        if "D.C. al Fine" in one["after"]:
            measure.append(repeat.DaCapoAlFine())
        part.append(measure)
    heard = [n.lyric or "" for n in part.expandRepeats().flatten().notes]
    seen: dict[str, int] = {}
    numbers = []
    for label in heard:
        numbers.append(int(label.split(" · ")[seen.get(label, 0)]))
        seen[label] = seen.get(label, 0) + 1
    return numbers


@pytest.mark.parametrize(
    ("order", "printed"), [("AABA", 8), ("AAB", 8), ("AABBA", 8), ("AAA", 4), ("AABC", 12)]
)
def test_signs_are_played_to_the_numbers_of_the_bars(order: str, printed: int) -> None:
    data = Chart(way_of(*order), Figures()).data()
    assert sum(len(row["bars"]) for row in data["rows"]) == printed
    assert data["order"] == list(order)
    assert played_by_music21(data) == list(range(1, 4 * len(order) + 1))


def test_a_form_that_no_sign_says_stands_in_letters() -> None:
    """Each bar has its numbers; where the piece ends in mid-page it says so."""
    data = Chart(way_of(*"ABAC"), Figures()).data()
    bars = [bar for row in data["rows"] for bar in row["bars"]]
    assert data["order"] == ["A", "B", "A", "C"] and len(bars) == 12
    assert [bar["label"] for bar in bars[:5]] == ["1 · 9", "2 · 10", "3 · 11", "4 · 12", "5"]
    assert not any("repeat" in (bar["open"], bar["close"]) or bar["after"] for bar in bars)
    assert [bar["label"] for bar in bars if bar["close"] == "end"] == ["16"]
    data = Chart(way_of(*"ABACA"), Figures()).data()
    ends = [bar for row in data["rows"] for bar in row["bars"] if bar["after"]]
    assert [(bar["label"], bar["after"], bar["close"]) for bar in ends] == [
        ("4 · 12 · 20", ["end, last time"], "end")
    ]


def test_a_piece_may_end_with_its_first_bar() -> None:
    """A section of one bar that comes back last: the closing line stands behind it."""
    text = '[[sections]]\nname = "A"\nchanges = "| C |"\n'
    text += '[[sections]]\nname = "B"\nchanges = "| F | G7 |"\n'
    tune = Tune.parse(
        f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\nform = ["A", "B", "A"]\n{text}'
    )
    (way,) = reharmonise(tune, "ukulele", (), k=1)
    data = Chart(way, Figures()).data()
    bars = [bar for row in data["rows"] for bar in row["bars"]]
    assert [bar["label"] for bar in bars if bar["close"] == "end"] == ["1 · 4"]


def test_a_section_that_comes_otherwise_is_printed_again() -> None:
    way = way_of(*"AABA")
    last = way.steps[-1]
    other = next(s.voicing for s in way.steps if s.voicing and s.voicing != last.voicing)
    changed = type(last)(last.chord, other, last.onset, last.beats, last.bar)
    way = type(way)(way.tune, way.instrument, (*way.steps[:-1], changed), way.cost, way.tempo)
    data = Chart(way, Figures()).data()
    assert data["order"] == ["A", "A", "B", "A′"]
    assert [row["section"] for row in data["rows"] if row["section"]] == ["A", "B", "A′"]
    assert played_by_music21(data) == list(range(1, 17))


def test_nothing_changes_where_nothing_comes_back() -> None:
    data = Chart(way_of(*"ABC"), Figures()).data()
    assert data["order"] == [] and sum(len(row["bars"]) for row in data["rows"]) == 12


@pytest.mark.parametrize(
    ("order", "numbers"),
    [
        ("AABA", [*range(1, 5), *range(1, 5), *range(9, 13), *range(1, 5)]),
        ("AAB", [*range(1, 5), *range(1, 5), *range(9, 13)]),
        ("AABBA", [*range(1, 5)] * 2 + [*range(9, 13)] * 2 + [*range(1, 5)]),
    ],
)
def test_music21_plays_the_score_of_a_tune_in_letters_to_the_bars_of_the_sheet(
    order: str, numbers: list[int]
) -> None:
    """The score has the sheet's signs: it sounds as the score that is written out."""
    from music21 import converter, stream

    def sounds(part: Any) -> list[list[list[str]]]:
        return [
            [
                [p.nameWithOctave for p in n.pitches]
                for n in m.flatten().notes
                if "ChordSymbol" not in n.classes
            ]
            for m in part.getElementsByClass(stream.Measure)
        ]

    way = way_of(*order)
    folded, plain = (
        converter.parseData(text, format="musicxml").parts[-1]
        for text in (score_text(way, "Slip"), to_musicxml(way))
    )
    assert len(folded.getElementsByClass(stream.Measure)) < len(numbers)
    # Where it repeats, music21 numbers anew: what is written is noted before.
    for measure in folded.getElementsByClass(stream.Measure):
        measure.editorial["printed"] = measure.number
    heard = folded.expandRepeats()
    bars = heard.getElementsByClass(stream.Measure)
    assert [bar.editorial["printed"] for bar in bars] == numbers
    assert sounds(heard) == sounds(plain)


def test_where_letters_alone_say_the_order_the_score_is_written_out() -> None:
    way = way_of(*"ABAC")
    assert with_signs(way) is None and score_text(way, "Slip").count("<measure ") == 16


def named(*names: str, first: str = A, more: str = "") -> Arrangement:
    """Return a tune whose sections bear these names, each with bars of its own shapes."""
    sections = "".join(
        f'[[sections]]\nname = "{name}"\nchanges = "{bars}"\n'
        for name, bars in zip(dict.fromkeys(names), (first, B, C), strict=False)
    )
    form = ", ".join(f'"{name}"' for name in names)
    text = (
        f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\nform = [{form}]\n{more}{sections}'
    )
    (way,) = reharmonise(Tune.parse(text), "ukulele", (), k=1)
    return way


def otherwise(way: Arrangement, *bars: int) -> Arrangement:
    """Return a level in which some bars, from 0, are played in another shape of their own."""
    shapes = [Voicing.parse(digits, way.instrument) for digits in ("5433", "7777", "9-9-8-10")]
    own = dict(zip(bars, shapes, strict=False))
    first: dict[tuple[str, int], Any] = {}
    steps = []
    for step in way.steps:
        key = way.tune.playing[step.bar].section, way.tune.playing[step.bar].bar.number
        first.setdefault(key, step.voicing)
        steps.append(replace(step, voicing=own.get(step.bar, first[key])))
    return replace(way, steps=tuple(steps))


@pytest.mark.parametrize(
    ("names", "order"),
    [
        # A stroke for each time that a letter comes otherwise; a word has a number.
        (("A", "A", "A"), ["A", "A′", "A′′"]), (("A1", "A1", "B"), ["A1", "A1′", "B"]),
        (("Verse", "Verse", "Verse"), ["Verse", "Verse 2", "Verse 3"]),
        (("Out", "Out", "In"), ["Out", "Out 2", "In"]),
    ],
)  # fmt: skip
def test_what_comes_otherwise_has_a_name_of_its_own(
    names: tuple[str, ...], order: list[str]
) -> None:
    # The first section comes once more as it was, so that there is something to print once.
    way = otherwise(named(*names, names[0]), *((4, 8) if names[-1] == names[0] else (4,)))
    data = Chart(way, Figures()).data()
    assert data["order"] == [*order, order[0]]


def test_choruses_are_printed_one_after_the_other() -> None:
    """Each has its own chords: letters would say that they come back."""
    way = named("A", "B", "A")
    assert print_once(way, written_bars(way)).order == ("A", "B", "A")
    played = replace(way, choruses=("plain", "rich"))
    assert print_once(played, written_bars(way)).order == ()


def test_each_bar_played_has_a_place_among_those_that_are_printed() -> None:
    way = way_of(*"AABA")
    once = print_once(way, written_bars(way))
    assert once.places(way) == (0, 1, 2, 3, 0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3)
    way = way_of(*"ABC")
    assert print_once(way, written_bars(way)).places(way) == tuple(range(12))
    (folded,) = reharmonise("|: C | F |1. G7 :|2. C | Am |", "ukulele", (), k=1)
    folded = alike_each_time(folded)[0]
    once = print_once(folded, written_bars(folded))
    assert once.places(folded) == (0, 1, 2, 0, 1, 3, 4)


@pytest.mark.parametrize("told", [{"signs": ("segno",)}, {"jump": True}])
def test_a_bar_with_a_sign_or_a_jump_says_the_order_itself(told: dict[str, Any]) -> None:
    """Either will do: letters would say it again."""
    way = named("A", "B", "A")
    first, *others = written_bars(way)
    assert print_once(way, (first, *others)).order == ("A", "B", "A")
    bar = SimpleNamespace(**{"jump": None, "signs": (), **told})
    marked = SimpleNamespace(bar=bar, opens=True, section="A", index=0, number=1)
    assert print_once(way, (marked, *others)).order == ()  # type: ignore[arg-type]


VERSES = {
    1: ("row to the", "lee", "and", "home"),
    2: ("sail to the", "bay", "and", "back"),
    3: ("drift to the", "bar", "or", "wait"),
}
BRIDGE = ("who", "knows", "the", "tide")


def sung_rounds(names: str, verses: int) -> list[list[int]]:
    """Return by brute force which verses of A are sung in each part.

    The tune is played in rounds until each verse was sung; in one round verses start again.
    """
    times = names.count("A")
    found: list[list[int]] = [[] for _ in names]
    verse = 0
    for _ in range(-(-verses // times)):
        for part, name in enumerate(names):
            if name == "A" and (verse < verses or verses <= times):
                found[part].append(verse % verses + 1)
                verse += 1
    return found


@pytest.mark.parametrize(
    ("names", "verses", "other"),
    [
        ("AABA", 3, [4]), ("AABA", 3, []), ("AABA", 3, [12]), ("AABA", 2, [4]), ("AABA", 1, [4]),
        ("AABA", 3, [0, 4]), ("AAAA", 3, [4]), ("ABAB", 3, []), ("ABA", 3, [8]), ("AAB", 3, [4]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("melody", [False, True])
def test_under_a_passage_stand_the_verses_that_are_sung_there(
    names: str, verses: int, other: list[int], melody: bool
) -> None:
    """Each line is one verse of the tune's text; played in the order of its numbers of bars."""
    notes = "C4 " * 4
    words = ", ".join('"| ' + " | ".join(VERSES[v]) + ' |"' for v in range(1, verses + 1))
    sections = {"A": f'changes = "{A}"\nwords = [{words}]\n'}
    sections["B"] = f'changes = "{B}"\nwords = ["| {" | ".join(BRIDGE)} |"]\n'
    tune = f'melody = "{("| " + notes) * 4}|"\n' if melody else ""
    text = 'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n'
    text += f"form = {[*names]}\n".replace("'", '"')
    for name in sorted(set(names)):
        text += f'[[sections]]\nname = "{name}"\n{sections[name]}{tune}'
    (way,) = reharmonise(Tune.parse(text), "ukulele", (), k=1)
    data = Chart(otherwise(way, *other), Figures()).data()
    played = sung_rounds(names, verses)
    seen = []
    for row in data["rows"]:
        parts = [(int(n) - 1) // 4 for n in row["bars"][0]["label"].split(" · ")]
        seen += parts
        lines = [[word["text"] for word in line] for line in row["words"]]
        if names[parts[0]] == "B":
            assert [" ".join(line) for line in lines] == [" ".join(BRIDGE)]
            continue
        rounds = range(max(map(len, played)))
        turns = [played[p][r] for r in rounds for p in parts if r < len(played[p])]
        here = [*dict.fromkeys(turns)]
        told = [f"{v}. " if verses > 1 else "" for v in here]
        assert [" ".join(line) for line in lines] == [
            number + " ".join(VERSES[v]) for number, v in zip(told, here, strict=True)
        ]
        # A number stands before the words and the first bar, and all stand under each other.
        starts = {line[0]["x"] for line in row["words"]} if verses > 1 else set()
        assert len(starts) <= 1 and all(0 <= x < row["left"] - 3 for x in starts)
    assert sorted(seen) == [*range(len(names))]


def test_words_that_are_the_same_each_time_stand_in_the_first_line() -> None:
    """A refrain of one verse has no number of its own; the score is sung as the sheet."""
    from music21 import converter

    words = '["| row | lee | so | home |", "| sail | bay | | |"]'
    text = 'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\nform = ["A", "A"]\n'
    text += f'[[sections]]\nname = "A"\nchanges = "{A}"\nmelody = "{"| C4:4 " * 4}|"\n'
    (way,) = reharmonise(Tune.parse(text + f"words = {words}\n"), "ukulele", (), k=1)
    way = otherwise(way, 4)
    rows = Chart(way, Figures()).data()["rows"]
    said = [[" ".join(word["text"] for word in line) for line in row["words"]] for row in rows]
    assert said == [["1. row lee so home"], ["2. sail bay so home"]]
    part = converter.parseData(score_text(way, "Slip"), format="musicxml").parts[0]
    sung = [note.lyric for note in part.expandRepeats().flatten().notes if note.lyric]
    assert sung == ["row", "lee", "so", "home", "sail", "bay", "so", "home"]


def sections_of(*order: str, **bars: str) -> Arrangement:
    """Return a tune of sections in their order, each written as its bars."""
    names = list(dict.fromkeys(order))
    text = "".join(f'[[sections]]\nname = "{n}"\nchanges = "{bars[n]}"\n' for n in names)
    form = ", ".join(f'"{name}"' for name in order)
    head = f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\nform = [{form}]\n'
    (way,) = reharmonise(Tune.parse(head + text), "ukulele", (), k=1)
    return way


def ends_otherwise(way: Arrangement, *places: int) -> Arrangement:
    """Return a level of which some bars are silent."""
    steps = tuple(
        type(s)(None, None, s.onset, s.beats, s.bar) if s.bar in places else s for s in way.steps
    )
    return type(way)(way.tune, way.instrument, steps, way.cost, way.tempo)


def read_by_a_player(data: dict[str, Any]) -> list[int]:
    """Return the numbers of the bars as one plays them who has the order and the brackets.

    The nth time of a section skips each bracket that does not name n; bars between brackets are
    played always; after D.C. the last bracket is taken.  By hand, from how endings are read.
    """
    sections: dict[str, list[dict[str, Any]]] = {}
    name = ""
    jumps = any("D.C. al Fine" in bar["after"] for row in data["rows"] for bar in row["bars"])
    for row in data["rows"]:
        name = row["section"] or name
        sections.setdefault(name, []).extend(row["bars"])
    count: dict[str, int] = {}
    numbers = []
    for name in data["order"]:
        count[name] = time = count.get(name, 0) + 1
        taken = ""
        for bar in sections[name]:
            ending = bar["ending"]
            taken = ending["text"] or taken if ending else ""
            last = [
                b["ending"]["text"] for b in sections[name] if b["ending"] and b["ending"]["text"]
            ][-1:] == [taken]
            if not ending or f"{time}." in taken.split(", ") or (last and time > 2 and jumps):
                told = bar["label"].split(" · ")
                numbers.append(int(told[0] if len(told) == 1 else told[-1]))
    return numbers


SIX = "| C | F | C | F | G7 | C | F | C |"


@pytest.mark.parametrize(
    ("order", "silent", "endings", "printed"),
    [
        ("AABA", (6, 7), {"1.": ["7", "8"], "2.": ["15 · 31", "16 · 32"]}, 18),
        # No sign says that a section is repeated after the jump too.
        ("AABAA", (7, 30), {"1.": 2, "2., 4.": 2, "3.": 2}, 20),
        ("AAB", (15,), {"1.": ["8"], "2.": ["16"]}, 17),
    ],
)
def test_ends_that_differ_stand_in_brackets(
    order: str, silent: tuple[int, ...], endings: dict[str, Any], printed: int
) -> None:
    way = ends_otherwise(sections_of(*order, A=SIX, B=SIX.replace("F", "Am")), *silent)
    data = Chart(way, Figures()).data()
    bars = [bar for row in data["rows"] for bar in row["bars"]]
    assert len(bars) == printed and data["order"] == list(order)
    found: dict[str, list[str]] = {}
    for bar in bars:
        if bar["ending"]:
            found.setdefault(bar["ending"]["text"] or [*found][-1], []).append(bar["label"])
    sizes = {text: len(told) for text, told in found.items()}
    assert found == endings or sizes == endings
    # All is played once, in order: read with the last number of each bar at its last time.
    seen = dict.fromkeys(read_by_a_player(data))
    assert set(seen) <= set(range(1, 8 * len(order) + 1)) and len(seen) == printed
    assert bars[-1]["close"] == "end" or any(bar["close"] == "end" for bar in bars)


def test_a_section_of_which_less_is_shared_is_printed_again() -> None:
    """Where half of it differs, or three bars alone are the same, brackets would spare nothing."""
    long = sections_of(*"AA", A=SIX)
    for silent in ((3,), (10,)):
        data = Chart(ends_otherwise(long, *silent), Figures()).data()
        assert data["order"] == [] and sum(len(row["bars"]) for row in data["rows"]) == 16


def test_first_and_second_endings_are_repeated_by_signs() -> None:
    """Where the two follow each other, the first closes the repeat; music21 plays it."""
    way = ends_otherwise(sections_of(*"AAB", A=SIX, B=SIX.replace("F", "Am")), 15)
    data = Chart(way, Figures()).data()
    bars = [bar for row in data["rows"] for bar in row["bars"]]
    assert [bar["label"] for bar in bars if bar["open"] == "repeat"] == ["1 · 9"]
    assert [bar["label"] for bar in bars if bar["close"] == "repeat"] == ["8"]
    signed = with_signs(way)
    assert signed is not None
    from music21 import converter

    score = converter.parse(score_text(way, "Slip"), format="musicxml")
    heard = [m.number for m in score.parts[0].expandRepeats().getElementsByClass("Measure")]
    assert heard == [*range(1, 9), *range(1, 8), 16, *range(17, 25)]


def test_several_numbers_at_a_bar_are_explained() -> None:
    data = Chart(way_of(*"AABA"), Figures()).data()
    assert data["again"] == "1 · 5 · 13: bar 1, again as bars 5 and 13"
    assert Chart(way_of(*"ABC"), Figures()).data()["again"] == ""
