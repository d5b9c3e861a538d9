"""What a class reads and hears: statements in words of the trade, shapes that say what they lack.

Notes of chords and of strings are worked out by hand (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from harmonykit.draw.base.given import spoken_symbol
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.check import check_answer
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.shown import Shown, leading
from harmonykit.lesson.statements import every_root, facts
from harmonykit.lesson.statements.counted import holding, melody_over
from harmonykit.lesson.statements.functions import Functions
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet

UKULELE = Instrument.named("ukulele")


def shape(digits: str, instrument: Instrument = UKULELE) -> Voicing:
    return Voicing.parse(digits, instrument)


def test_kinds_go_by_their_names() -> None:
    """Bb and G together: C7 (C E G Bb) and Eb7 (Eb G Bb Db), no other dominant seventh."""
    assert holding("7", "Bb", "G")[0] == (
        "Of all dominant sevenths, C7 and E♭7 hold B♭ and G, and no others do."
    )
    assert every_root.exactly("aug", 4)[0] == "There are exactly four different augmented triads."
    assert every_root.always("same_notes", "Caug", "Eaug")[0] == (
        "Every augmented triad has the same notes as the augmented triad a major third above."
    )


@pytest.mark.parametrize("quality", ["#5", "/E", "H"])
def test_what_belongs_to_the_root_is_not_a_quality(quality: str) -> None:
    with pytest.raises(LessonError, match="is not a chord quality"):
        holding(quality, "G")


def test_a_law_takes_nothing_more() -> None:
    with pytest.raises(LessonError, match="the law 'lowering' takes no other arguments") as caught:
        every_root.always("lowering", "C7")
    assert caught.value.mend == 'always("lowering")'
    with pytest.raises(LessonError, match="names no chord"):
        every_root.always("common_notes")


def test_one_semitone_is_one() -> None:
    """A C# E G to C E G Bb: A rises by one, C# falls by one."""
    with pytest.raises(LessonError, match="are not one half step apart"):
        facts.apart("A7", "C7", 1)


def test_counts_are_words() -> None:
    """Level 5 of the shipped blues, from its chart: four diminished sevenths, each from below."""
    lesson = load_lesson(find_data("lessons", "stiff_dominant"))
    calls = Functions(lesson.front, lesson.played).table()
    assert str(calls["half_step_below"](5)) == (
        "All four chords added at level 5 have their root a half step below the root that follows."
    )
    assert str(calls["half_step_below"](2)) == (
        "Of the two chords added at level 2, none has its root a half step below the root that "
        "follows."
    )
    waltz = load_lesson(find_data("lessons", "four_dominants"))
    assert str(Functions(waltz.front, waltz.played).table()["prepared"](4)) == (
        "All eleven changes to a chord of the tune at level 4 come from an added chord."
    )


def test_a_tune_without_melody_is_told_how_to_get_one() -> None:
    waltz = load_lesson(find_data("lessons", "four_dominants"))
    with pytest.raises(LessonError) as caught:
        melody_over(waltz.front.tune, "D7")
    assert 'melody = "|' in caught.value.mend


def test_a_chord_that_is_written_without_its_root_has_none() -> None:
    """A7(b9,no1) is C# E G Bb: 0-1-0-1 sounds it whole."""
    chord = Chord.parse("A7b9(no1)")
    assert chord.pcs == PcSet.of(1, 4, 7, 10)
    assert Shown(shape("0101"), chord).lacking == ""
    assert Chord.parse("A7(no1)/B").pcs == PcSet.of(1, 4, 7, 11)


def test_what_a_symbol_leaves_out_is_read_aloud() -> None:
    assert spoken_symbol("C7no5") == "C seven no five"
    assert spoken_symbol("A7(♭9,no1)") == "A seven (flat nine, no root)"


def test_a_lesson_starts_from_a_shape_that_is_whole() -> None:
    """3-4-3-x sounds Bb, E and G: no C#."""
    with pytest.raises(HarmonyError, match="3-4-3-x does not sound C#dim7"):
        leading(shape("343x"), Chord.parse("C#dim7"))
    assert leading(shape("3434"), Chord.parse("C#dim7")).lacking == ""
    assert leading(shape("3001"), Chord.parse("C7")).lacking == "without its fifth"


def test_a_right_answer_says_what_it_lacks(tmp_path: Path) -> None:
    """2-0-2-0 is A C F# A, D7 without D; 0-1-0-0 is A7 whole."""
    answer = tmp_path / "answer.toml"
    bars = "| - | - | - | 2020 | - | - | - | - | 0100 |"
    answer.write_text(f'format = 1\nlevel = 1\nshapes = "{bars}"\n', encoding="utf-8")
    first, second = check_answer(find_data("lessons", "stiff_dominant"), answer).verdicts
    assert (first.right, first.lacking) == (True, "without its root")
    assert (second.right, second.lacking) == (True, "")


def test_an_answer_has_the_bass_that_is_asked(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    """On the guitar x32010 has C lowest, 032010 has E."""
    lesson = write_lesson(tmp_path)
    tune, text = tmp_path / "fog.toml", lesson.read_text(encoding="utf-8")
    changes = tune.read_text(encoding="utf-8").replace("Gm6 | Bb7 | Eb6 D7", "C/E | C/E | F")
    tune.write_text(changes, encoding="utf-8")
    text = text.replace('"ukulele"', '"guitar"').replace('shape = "4545"\n', "")
    text = text.replace('from = "0201"\n', "").replace('{{ shape("4545") }}', "it")
    text = text.replace('{{ notes("4545") }}', '{{ notes("Ddim7") }}')
    text = text.replace('["leading-tone diminished", "rootless dominant"]', "[]")
    lesson.write_text(text, encoding="utf-8")
    answer = tmp_path / "answer.toml"
    answer.write_text('format = 1\nlevel = 1\nshapes = "| x32010 | 032010 |"\n', encoding="utf-8")
    first, second = check_answer(lesson, answer).verdicts
    assert first.fault == "its lowest note is C, not E"
    assert second.right
