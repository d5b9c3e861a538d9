"""Ideas as files: moved from root to root, and every fault told with its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.ideas.becomes import Becomes
from harmonykit.lesson.plan.idea import (
    IDEA,
    LEVEL_OF_IDEA,
    every_idea,
    key_lines,
    moved_call,
    read_idea,
    statement_of,
)
from harmonykit.lesson.statements.calls import answer_call
from harmonykit.lesson.statements.stated import about_chords_alone
from harmonykit.paths import shipped
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval

MINE = """format = 1
question = "Which m6 hides in this ninth?"
source = "Dm6"
place = "G7 C|Cm"
change = "upper part"
target = "9"
statements = ['common_notes("Dm6", "G9", "D", "F", "A", "B")']
figures = ["change", "shapes Dm6 G7"]

[[levels]]
name = "Rootless"
moves = ["rootless dominant"]
text = 'Say {{ name("Dm6") }} and then {{ always("lowering") }}'
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_idea_that_ships_can_be_read_and_asks_a_question() -> None:
    ideas = every_idea()
    assert tuple(idea.name for idea in ideas) == shipped("ideas")
    assert all(idea.question.endswith("?") for idea in ideas)


def test_all_names_of_an_idea_move_together(tmp_path: Path) -> None:
    """Up a minor third: D F A B are F A♭ C D, G9 is B♭9; what is no chord stays."""
    moved = read_idea(write(tmp_path, MINE)).moved(Interval.parse("m3"))
    assert [moved.text(key) for key in ("source", "place", "target", "change")] == [
        "Fm6", "Bb7 Eb|Ebm", "9", "upper part",
    ]  # fmt: skip
    assert moved.listed("statements") == ('common_notes("Fm6", "Bb9", "F", "Ab", "C", "D")',)
    assert moved.listed("figures") == ("change", "shapes Fm6 Bb7")
    assert moved.levels[0]["text"] == 'Say {{ name("Fm6") }} and then {{ always("lowering") }}'
    assert moved.levels[0]["moves"] == ["rootless dominant"]


@pytest.mark.parametrize(
    ("old", "new", "said", "mend"),
    [
        ("question =", "qestion =", "unknown key 'qestion'", "question"),
        ('question = "Which m6 hides in this ninth?"\n', "", "question is missing", "question ="),
        ("format = 1", "format = 3", "format 3", "format = 1"),
        ('source = "Dm6"', "source = 6", "source is 6", 'source = "6"'),
        ('figures = ["change",', 'figures = ["chnge",', "'chnge' is unknown", "change"),
        ("['common_notes(\"Dm6\", \"G9\", \"D\", \"F\", \"A\", \"B\")']", "['all true']",
         "'all true' is not a call", "always"),
        ('["rootless dominant"]', '["rootles dominant"]', "unknown move", "rootless dominant"),
        ('name = "Rootless"', 'nam = "Rootless"', "unknown key 'nam'", "name"),
    ],
)  # fmt: skip
def test_a_fault_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, said: str, mend: str
) -> None:
    assert old in MINE
    with pytest.raises(HarmonyError, match=re.escape(said)) as caught:
        read_idea(write(tmp_path, MINE.replace(old, new)))
    place = caught.value.place
    assert place is not None and place.source == "mine.toml" and mend in caught.value.mend
    if new:
        assert place.text and new.split(" ")[0].strip("[") in place.text


def test_a_path_is_told_from_the_folder_of_the_lesson(tmp_path: Path) -> None:
    write(tmp_path, MINE)
    assert read_idea("mine.toml", tmp_path).name == "mine"
    with pytest.raises(HarmonyError, match="missing file"):
        read_idea("mine.toml", tmp_path / "elsewhere")


def test_every_key_is_told() -> None:
    told = "\n".join(key_lines())
    for key in (*IDEA, *LEVEL_OF_IDEA):
        assert not key.example or re.search(rf"(?m)^{key.name} = ", told)


@pytest.mark.parametrize(
    ("before", "after", "change", "call"),
    [
        ("C6", "Am7", "other names", 'same_notes("C6", "Am7")'),
        ("C+", "Am", "raise one note", 'turns_into("C+", "Am")'),
        ("Bdim7", "G7", "lower one note", 'turns_into("Bdim7", "G7")'),
        ("C", "Am7", "add below", 'contains("Am7", "C")'),
        ("C6", "Bdim7", "alternates", 'alternates("C6", "Bdim7")'),
        # E and G stay, as C calls them; of C and F sharp nothing does.
        ("C", "Em", "turn", 'common_notes("C", "Em", "E", "G")'),
        ("C", "F#", "turn", ""),
    ],
)
def test_a_change_is_stated_by_what_holds_of_it(
    before: str, after: str, change: str, call: str
) -> None:
    way = Becomes(Chord.parse(before), Chord.parse(after), "", "")
    assert statement_of(way, change) == call
    if call:
        assert str(answer_call(about_chords_alone(), call)).endswith(".")


def test_what_is_no_chord_of_an_idea_stays_as_it_is(tmp_path: Path) -> None:
    """H7 is read as no chord, and is told where it is used."""
    text = MINE.replace("shapes Dm6 G7", "shapes Dm6 Gnone")
    moved = read_idea(write(tmp_path, text)).moved(Interval.parse("m3"))
    assert moved.listed("figures") == ("change", "shapes Fm6 Gnone")


def test_scales_and_long_suffixes_are_moved() -> None:
    """By hand, a minor third up: C major to E flat major, F minor-major seventh to A flat."""
    up = Interval.parse("m3")
    for call, wanted in (
        ('contains("C major", "G7")', 'contains("Eb major", "Bb7")'),
        ('contains("Fmmaj7", "C+")', 'contains("Abmmaj7", "Eb+")'),
        ('every("Dominant seventh")', 'every("Dominant seventh")'),
    ):
        assert moved_call(call, up) == wanted


def test_levels_are_tables(tmp_path: Path) -> None:
    text = MINE.partition("\n[[levels]]")[0] + '\nlevels = ["rootless dominant"]\n'
    with pytest.raises(HarmonyError) as caught:
        read_idea(write(tmp_path, text))
    place = caught.value.place
    assert (caught.value.what, caught.value.mend) == ("levels are not tables", "[[levels]]")
    assert place is not None and place.text.startswith("levels =")


def test_chords_named_in_a_sentence_move_and_other_capitals_stay(tmp_path: Path) -> None:
    """A fifth down from A9 is D9; an article, a string and a verse keep their letters."""
    said = "Play A9, then Em6: the pull toward D stays. A class hears it on the C string, Bb too."
    text = MINE.replace("[[levels]]", f'hear = "{said}"\n[[levels]]', 1)
    moved = read_idea(write(tmp_path, text)).moved(Interval.parse("-P5"))
    assert moved.text("hear") == (
        "Play D9, then Am6: the pull toward G stays. A class hears it on the C string, Eb too."
    )
