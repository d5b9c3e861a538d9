"""Counted statements: each number is counted again here from the steps of the arrangement."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import counted
from harmonykit.lesson.statements.functions import Functions
from harmonykit.theory.chord import Chord

WORDS = "none one two three four five six seven eight nine ten eleven twelve".split()
DIM = Chord.parse("C#dim7")
UKULELE = Instrument.named("ukulele")
TUNE = tune_of("| Bb F7 | Cm7 | Gm7 | Bb |", key="Bb", tempo=90)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: object) -> Functions:
    assert callable(write_lesson)
    lesson = load_lesson(write_lesson(tmp_path_factory.mktemp("counted")))
    return Functions(lesson.front, lesson.played)


def state(functions: Functions, name: str, *args: object) -> str:
    return str(functions.table()[name](*args))


def test_strings_that_move_are_counted_by_hand() -> None:
    """2213 to 2313: the second string alone moves; 0003 to 2313 moves every string but the last."""
    shapes = [Voicing.parse(text, UKULELE) for text in ("2213", "2313", "0003")]
    sentence, _ = counted.strings_move(shapes[0], shapes[1])
    assert sentence == "From 2-2-1-3 to 2-3-1-3 three strings stay and one string moves."
    sentence, _ = counted.strings_move(shapes[2], shapes[1])
    assert sentence == "From 0-0-0-3 to 2-3-1-3 one string stays and three strings move."
    sentence, _ = counted.strings_move(shapes[2], shapes[2])
    assert sentence == "From 0-0-0-3 to 0-0-0-3 four strings stay."


def test_a_string_that_is_muted_in_both_shapes_neither_stays_nor_moves() -> None:
    shapes = [Voicing.parse(text, UKULELE) for text in ("x003", "x013", "0013")]
    sentence, _ = counted.strings_move(shapes[0], shapes[1])
    assert sentence == "From x-0-0-3 to x-0-1-3 two strings stay and one string moves."
    sentence, _ = counted.strings_move(shapes[1], shapes[2])
    assert sentence == "From x-0-1-3 to 0-0-1-3 three strings stay and one string moves."


def test_bars_of_a_chord_are_read_from_the_tune() -> None:
    assert counted.bars_of(TUNE, "Bb")[0] == "B♭ occurs in bars 1 and 4."
    assert counted.bars_of(TUNE, "Cmin7")[0] == "Cm7 occurs in bar 2."
    with pytest.raises(LessonError, match="no F9") as caught:
        counted.bars_of(TUNE, "F9")
    assert "Bb, F7, Cm7 and Gm7" in caught.value.rule


def test_changes_are_counted_again(small: Functions) -> None:
    steps = small.played[0].arrangement.steps
    shapes = [step.voicing.frets for step in steps if step.voicing]
    changes = [(a, b) for a, b in zip(shapes, shapes[1:], strict=False) if a != b]
    for least in (1, 2, 3, 4):
        kept = sum(sum(x == y for x, y in zip(a, b, strict=True)) >= least for a, b in changes)
        said = state(small, "strings_stay", 1, least)
        assert (
            said.split(" changes of shape at level 1")[0]
            == f"In {WORDS[kept]} of the {WORDS[len(changes)]}"
        )
    with pytest.raises(HarmonyError, match="5 strings cannot stay"):
        state(small, "strings_stay", 1, 5)


def test_added_chords_are_counted_again(small: Functions) -> None:
    """Gm6 Bb7 Eb6 D7 with diminished sevenths alone added: those are the added ones."""
    chords = [step.chord for step in small.played[0].arrangement.steps]
    names = [chord.symbol for chord in chords if chord]
    new = [i for i, name in enumerate(names) if name.endswith("dim7")]
    assert new
    rising = [
        i
        for i in new
        if i + 1 < len(chords)
        and (chords[i + 1].root.pitch_class - chords[i].root.pitch_class) % 12 == 1  # type: ignore[union-attr]
    ]
    said = state(small, "half_step_below", 1)
    count = WORDS[len(new)]
    every, some = f"All {count} chords added", f"Of the {count} chords added at level 1, "
    assert said.startswith(every if rising == new else some)
    assert rising == new or f", {WORDS[len(rising)]} ha" in said
    said = state(small, "prepared", 1)
    own = [i for i in range(1, len(names)) if i not in new]
    found = sum(i - 1 in new for i in own)
    few = f"{WORDS[found].capitalize()} of the"
    assert said.startswith(f"{'All' if found == len(own) else few} {WORDS[len(own)]} changes")
    bars = sorted({small.played[0].arrangement.steps[i].bar + 1 for i in new})
    said = state(small, "added", 1)
    told = re.findall(r"(\d+)(?: to (\d+))?", said.partition(" in bar")[2])
    assert [n for a, b in told for n in range(int(a), int(b or a) + 1)] == bars


def test_frets_and_seconds(small: Functions) -> None:
    arrangement = small.played[0].arrangement
    highest = max(f for s in arrangement.steps if s.voicing for f in s.voicing.frets if f)
    assert state(small, "highest_fret", 1) == f"The highest fret at level 1 is {highest}."
    least = min(step.beats for step in arrangement.steps)
    assert arrangement.tempo == 120 and least == Fraction(1)
    assert state(small, "shortest_chord", 1) == "The shortest chord at level 1 lasts 0.5 seconds."


def test_they_are_kept_among_the_proved(small: Functions, root: Path) -> None:
    known = len(small.facts)
    state(small, "added", 1)
    assert len(small.facts) == known + 1
    with pytest.raises(HarmonyError, match="unknown level 2"):
        state(small, "added", 2)


def walk(arranged: Callable[..., Arrangement]) -> Arrangement:
    """Return four bars; the second and the fourth begin with an added chord.

    Five chords, C6 C#dim7 Dm7 C#dim7 C6, and four changes of shape, by hand: 0-0-0-0 to 0-1-0-1
    keeps two strings, to 2-2-1-3 none, to 0-1-0-1 none, to 0-0-0-0 two.
    """
    plain = arranged("C6=0000 | C#dim7=0101 Dm7:2=2213 | Dm7=2213 | C#dim7=0101 C6:1=0000")
    own = {1: "C6", 3: "Dm7"}
    steps = list(plain.steps)
    for index, step in enumerate(steps):
        if step.chord == Chord.parse("C#dim7"):
            steps[index] = replace(
                step, move="leading-tone diminished", written=Chord.parse(own[step.bar])
            )
    return replace(plain, steps=tuple(steps))


def test_counts_of_a_level_written_out_by_hand(arranged: Callable[..., Arrangement]) -> None:
    level = walk(arranged)
    said = [
        counted.added(level, 2)[0],
        counted.half_step_below(level, 2)[0],
        counted.prepared(level, 2)[0],
        *(counted.strings_stay(level, 2, strings)[0] for strings in (1, 2, 3)),
    ]
    assert said == [
        "Level 2 adds two chords, in bars 2 and 4.",
        # C sharp leads to D; to C it falls.
        "Of the two chords added at level 2, one has its root a half step below the root that "
        "follows.",
        "Both changes to a chord of the tune at level 2 come from an added chord.",
        "In two of the four changes of shape at level 2, at least one string stays on its fret.",
        "In two of the four changes of shape at level 2, at least two strings stay on their frets.",
        "In none of the four changes of shape at level 2 do at least three strings stay on their "
        "frets.",
    ]


def test_what_is_counted_where_little_is(arranged: Callable[..., Arrangement]) -> None:
    level = walk(arranged)
    first = replace(level, steps=level.steps[:3])
    assert counted.added(first, 1)[0] == "Level 1 adds one chord, in bar 2."
    assert counted.prepared(first, 1)[0].startswith(
        "The only change to a chord of the tune at level 1 comes"
    )
    own = arranged("C6=0000 | Dm7=2213 | NC | G7=0212")
    assert counted.added(own, 3)[0] == "Level 3 adds no chord."
    # Behind the silence nothing is prepared, and no shape changes over it.
    assert counted.prepared(own, 3)[0].startswith(
        "The only change to a chord of the tune at level 3 does not"
    )
    assert counted.strings_stay(own, 3, 1)[0].startswith(
        "In the only change of shape at level 3 no string stays"
    )


def test_three_come_from_added_chords(arranged: Callable[..., Arrangement]) -> None:
    """Two of three changes to a chord of the tune have an added one before them."""
    level = arranged("C#dim7=0101 Dm7:2=2213 | C#dim7=0101 C6:2=0000 | Dm7=2213")
    steps = [
        replace(s, move="leading-tone diminished", written=Chord.parse("C6"))
        if s.chord == DIM
        else s
        for s in level.steps
    ]
    assert counted.prepared(replace(level, steps=tuple(steps)), 1)[0] == (
        "Two of the three changes to a chord of the tune at level 1 come from an added chord."
    )


def test_lengths_and_frets_of_a_level_written_out_by_hand(
    arranged: Callable[..., Arrangement],
) -> None:
    level = arranged("C6=0000 F6:3=2213 | F6=2213 | NC", tempo=60)
    # F6 lasts one quarter and a bar of four, as one chord; C6 three quarters, at 60 to the minute.
    assert counted.shortest_chord(level, 1)[0] == "The shortest chord at level 1 lasts 3 seconds."
    quick = replace(level, tempo=180.0)
    assert counted.shortest_chord(quick, 1)[0] == "The shortest chord at level 1 lasts 1 second."
    slow = replace(level, tempo=120.0)
    assert counted.shortest_chord(slow, 1)[0].endswith("lasts 1.5 seconds.")
    assert counted.highest_fret(level, 1)[0] == "The highest fret at level 1 is 3."
    assert counted.highest_fret(arranged("C6=0000"), 1)[0] == "Level 1 uses only open strings."
    with pytest.raises(LessonError, match="no chord sounds at level 4"):
        counted.shortest_chord(arranged("NC"), 4)


def test_as_many_strings_as_there_are(arranged: Callable[..., Arrangement]) -> None:
    level = arranged("C6=0000 | Dm7=2213")
    for strings in (0, 5):
        with pytest.raises(LessonError, match=f"{strings} strings cannot stay") as caught:
            counted.strings_stay(level, 1, strings)
        assert caught.value.rule == "1 to 4 on the ukulele"
    assert counted.strings_stay(level, 1, 4)[0].endswith("four strings stay on their frets.")


def test_a_chord_over_a_bar_line_stands_in_both_bars() -> None:
    assert counted.bars_of(tune_of("| C6 / / G7 | | F6 |"), "G7")[0] == "G7 occurs in bars 1 and 2."


@pytest.mark.parametrize(
    ("tempo", "beats", "said"),
    [(60, 2, "2 seconds"), (120, 2, "1 second"), (90, 1, "0.7 seconds"), (61, 1, "1 second"),
     (240, 4, "1 second"), (600, 61, "6.1 seconds")],
)  # fmt: skip
def test_the_shortest_chord_lasts_its_beats_at_the_tempo(
    small: Functions, tempo: float, beats: int, said: str
) -> None:
    """A quarter lasts 60 seconds over the tempo, said to a tenth."""
    way = small.played[0].arrangement if hasattr(small, "played") else None
    if way is None:
        way = next(iter(vars(small).values()))[0].arrangement
    steps = tuple(replace(step, beats=Fraction(beats)) for step in way.steps)
    sentence, _ = counted.shortest_chord(replace(way, steps=steps, tempo=tempo), 1)
    assert sentence == f"The shortest chord at level 1 lasts {said}."


def with_dim(arranged: Callable[..., Arrangement], bars: str) -> Arrangement:
    """Return a level in which every diminished seventh was added to a bar of C6."""
    way = arranged(bars)
    steps = [
        replace(s, move="a move", written=Chord.parse("C6"))
        if s.chord is not None and s.chord.is_diminished_seventh else s for s in way.steps
    ]  # fmt: skip
    return replace(way, steps=tuple(steps))


@pytest.mark.parametrize(
    ("bars", "below", "prepared"),
    [
        ("C6=0000 | C#dim7=0101 | Dm7=2213", "The only chord added at level 1 has its root",
         "The only change to a chord of the tune at level 1 comes"),
        ("Dm7=2213 | C#dim7=0101 | C6=0000",
         "The only chord added at level 1 does not have its root",
         "The only change to a chord of the tune at level 1 comes"),
        ("C#dim7=0101 | Dm7=2213 | C#dim7=0101 | Dm7=2213",
         "Both chords added at level 1 have their root",
         "Both changes to a chord of the tune at level 1 come"),
        ("C#dim7=0101 | Dm7=2213 | C#dim7=0101 | Dm7=2213 | Bdim7=1212 | C6=0000",
         "All three chords added at level 1 have their root",
         "All three changes to a chord of the tune at level 1 come"),
        ("C#dim7=0101 | C6=0000 | C#dim7=0101 | C6=0000",
         "Of the two chords added at level 1, none has its root",
         "Both changes to a chord of the tune at level 1 come"),
        ("Dm7=2213 | C6=0000 | Dm7=2213 | C#dim7=0101", "The only chord added at level 1 does not",
         "None of the two changes to a chord of the tune at level 1 comes"),
        ("C6=0000 | Dm7=2213 | C#dim7=0101 | C6=0000", "The only chord added at level 1 does not",
         "One of the two changes to a chord of the tune at level 1 comes"),
    ],
)  # fmt: skip
def test_added_chords_are_told_in_whole_sentences(
    arranged: Callable[..., Arrangement], bars: str, below: str, prepared: str
) -> None:
    level = with_dim(arranged, bars)
    assert counted.half_step_below(level, 1)[0].startswith(below)
    assert counted.prepared(level, 1)[0] == f"{prepared} from an added chord."


@pytest.mark.parametrize(
    ("bars", "strings", "said"),
    [
        ("C=0003 | F=2010", 1,
         "In the only change of shape at level 1 at least one string stays on its fret."),
        ("C=0003 | F=2010", 2,
         "In the only change of shape at level 1 fewer than two strings stay on their frets."),
        ("C=0003 | D=2225", 1,
         "In the only change of shape at level 1 no string stays on its fret."),
        ("C=0003 | D=2225 | C=0003", 1,
         "In none of the two changes of shape at level 1 does at least one string stay on its "
         "fret."),
    ],
)  # fmt: skip
def test_strings_that_stay_are_told_in_whole_sentences(
    arranged: Callable[..., Arrangement], bars: str, strings: int, said: str
) -> None:
    assert counted.strings_stay(arranged(bars), 1, strings)[0] == said


def test_dominants_are_gathered_with_all_their_bars() -> None:
    """G7 goes to C, once over two bars and once over one, and once to A minor; D7 ends the tune."""
    tune = tune_of("| G7 | G7 | C | G7 | C | G7 | Am | D7 |", key="C", tempo=90)
    found = [
        (str(one.chord), str(one.target), one.bars, one.longest, one.resolves)
        for one in counted.dominants_of(tune)
    ]
    assert found == [
        ("G7", "C", (1, 2, 4), 2, True), ("G7", "Am", (6,), 1, False),
        ("D7", "None", (8,), 1, False),
    ]  # fmt: skip
    assert counted.dominant_rows(tune) == [
        ("G7", "bars 1, 2 and 4", "C"), ("G7", "bar 6", "Am"), ("D7", "bar 8", "–"),
    ]  # fmt: skip
    with pytest.raises(LessonError, match="has no dominant"):
        counted.dominant_rows(tune_of("| C | F |"))
