"""Counted statements: each number is counted again here from the steps of the arrangement."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from small_tunes import tune_of

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import counted
from harmonykit.lesson.statements.functions import Functions

WORDS = "none one two three four five six seven eight nine ten eleven twelve".split()
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
    assert counted.bars_of(TUNE, "Bb")[0] == "B♭ stands in bars 1 and 4."
    assert counted.bars_of(TUNE, "Cmin7")[0] == "Cm7 stands in bar 2."
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
            said.split(" changes of shape at level 1 ")[0]
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
    assert said.startswith(f"Of the {WORDS[len(new)]} chords added at level 1, ")
    assert f", {WORDS[len(rising)]} ha" in said
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
    with pytest.raises(HarmonyError, match="no level 2"):
        state(small, "added", 2)
