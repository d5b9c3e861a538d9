"""One lesson for a class of several instruments, chosen when it is built."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from harmonykit import cli
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.arranging import followed, harmony_of
from harmonykit.lesson.build import load_class, load_lesson
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.script import write_script
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord

CLASS = ("baritone ukulele", "ukulele")


def test_the_script_names_the_frets_of_each(lesson_path: Path) -> None:
    """Each shape sounds notes of its chord on its own strings, and no other."""
    lesson, *others = load_class(lesson_path, instruments=CLASS)
    assert [one.front.instrument.name for one in (lesson, *others)] == list(CLASS)
    script = write_script(lesson, others)
    assert "Also in this class: ukulele, tuned g C E A." in script
    assert "Their sheets and sounds begin with ukulele-." in script
    table = script.partition("The frets of each chord where it comes first:\n\n")[2]
    head, _, *rows = table.partition("\n\n")[0].split("\n")
    assert head == "| Chord | baritone ukulele | ukulele |"
    written = {"Gm6", "B♭7", "E♭6", "D7"}
    assert written <= {row.split(" | ")[0].removeprefix("| ") for row in rows}
    for row in rows:
        name, *frets = row.strip("| ").split(" | ")
        assert len(frets) == len(CLASS) and set(frets) != {"–"}
        for digits, instrument in zip(frets, CLASS, strict=True):
            if digits != "–":
                assert set(Voicing.parse(digits, instrument).pcs) <= set(Chord.parse(name).pcs)
    assert "The frets of each chord" not in write_script(lesson)


def test_its_own_instrument_keeps_its_shapes(lesson_path: Path) -> None:
    """The file's shape, 4545, is for its ukulele; another instrument finds its own."""
    ukulele, baritone = load_class(lesson_path, instruments=("ukulele", "baritone ukulele"))
    assert ukulele.front.shape.digits == "4-5-4-5" != baritone.front.shape.digits
    assert ukulele.front.also == baritone.front.also == ("baritone ukulele",)
    (alone,) = load_class(lesson_path, instruments=("baritone ukulele",))
    assert alone.front.also == () and alone.front.shape == baritone.front.shape


@pytest.mark.parametrize("other", ["baritone ukulele", "guitar"])
def test_a_level_has_one_harmony_on_all_instruments(other: str) -> None:
    """By itself a guitar walks elsewhere: beside a ukulele the two would clash."""
    path = find_data("lessons", "scale_of_chords")
    lesson, follows = load_class(path, instruments=("ukulele", other))
    for one, beside in zip(lesson.played, follows.played, strict=True):
        steps, others = one.arrangement.steps, beside.arrangement.steps
        assert [(s.chord, s.onset) for s in steps] == [(s.chord, s.onset) for s in others]
        assert {s.voicing.instrument.name for s in others if s.voicing} == {other}
    assert all(one.arrangement.added for one in lesson.played[1:])


def test_what_an_instrument_cannot_follow_is_played_as_written_by_all() -> None:
    """A line on one string of a ukulele has no place on a baritone: there nobody leads."""
    path = find_data("lessons", "one_voice_moves")
    led = tuple(harmony_of(one.arrangement) for one in load_lesson(path).played)
    front, _ = read_lesson(path, instrument="baritone ukulele")
    found = followed(front, led)
    assert [bool(row) for row in found] == [True, False, *[bool(row) for row in found[2:]]]
    # What is left can be followed whole.
    assert followed(front, found) == found


def test_what_cannot_be_built(lesson_path: Path) -> None:
    strings = [f"G4 C4 E4 {top}4" for top in "ABCDEFG"]
    with pytest.raises(HarmonyError, match="6 at most"):
        load_class(lesson_path, instruments=strings)
    asked = ["lesson", "x.md", "--new", "ropewalk_blues", "--instrument", "guitar"]
    found = CliRunner().invoke(cli.app, [*asked, "--instrument", "ukulele"])
    assert found.exit_code == 2 and "a draft is for one instrument" in found.output


def test_from_the_command_line(lesson_path: Path, tmp_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    wanted = 'outputs = ["script", "handout", "page"]'
    lesson_path.write_text(text.replace("format = 1", f"format = 1\n{wanted}"), encoding="utf-8")
    asked = [part for name in CLASS for part in ("--instrument", name)]
    made = CliRunner().invoke(
        cli.app, ["lesson", str(lesson_path), "--out", str(tmp_path / "o"), *asked]
    )
    assert made.exit_code == 0, made.output
    files = {path.name for path in (tmp_path / "o").iterdir()}
    assert {"handout.pdf", "page.html", "ukulele-handout.pdf", "ukulele-page.html"} <= files
    assert "| Chord | baritone ukulele | ukulele |" in (tmp_path / "o" / "script.md").read_text(
        encoding="utf-8"
    )


def test_numerals_on_request(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8").replace("format = 1", "format = 2")
    for old, new in (("group", "class"), ("shape =", "chord_shape ="), ("from =", "scale_shape ="),
                     ("hand = 3", 'reach = "wide"')):  # fmt: skip
        text = text.replace(f"\n{old}", f"\n{new}", 1)
    lesson_path.write_text(text.replace("+++\n", '+++\nnumerals = "yes"\n', 1), encoding="utf-8")
    assert load_class(lesson_path)[0].front.numerals
    lesson_path.write_text(text.replace("+++\n", '+++\nnumerals = "maybe"\n', 1), encoding="utf-8")
    with pytest.raises(HarmonyError, match="numerals = 'maybe' is unknown"):
        load_class(lesson_path)
