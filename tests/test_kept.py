"""What 0.1.0 offered and wrote: each command, option and call is there, and each file opens.

``tests/data/0.1.0`` was written by that version, by its commands and panels, from a tune of four
bars.  What is expected of a file was put in by hand before it was written.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
from pathlib import Path

import click
import pytest

import harmonykit as hk
from harmonykit import cli
from harmonykit.arrange.survey import plan
from harmonykit.arrange.survey.run import survey
from harmonykit.files import manifest
from harmonykit.files.manifest import MANIFEST, listed, read_manifest
from harmonykit.lesson import check, course
from harmonykit.lesson.build import build_lesson, load_lesson
from harmonykit.lesson.check import check_answer
from harmonykit.lesson.course import read_course
from harmonykit.lesson.plan import keys
from harmonykit.lesson.statements.calls import read_call
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.reference import STATEMENTS
from harmonykit.lesson.statements.signature import EXAMPLES, check_arguments
from harmonykit.practice import day, rounds, sets, sitting
from harmonykit.practice.class_sets import read_results
from harmonykit.practice.progress import Progress
from harmonykit.practice.sets import ExerciseSet
from harmonykit.practice.sitting import Answered
from harmonykit.tune import class_file
from harmonykit.tune.groove import shelf
from harmonykit.tune.text import reader
from harmonykit.workbook.base import keep
from harmonykit.workbook.base.keep import Keep
from harmonykit.workbook.reharmonise.desk import KIND as REHARMONISE
from harmonykit.workbook.reharmonise.state import from_kept
from harmonykit.workbook.writing.desk import KIND as WRITING

ROOT = Path(__file__).resolve().parents[1]
OLD = ROOT / "tests" / "data" / "0.1.0"
CHANGES = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("\n## Changes\n")[1]

# |: Em7 | F#m7b5 B7 | Em6 | [1 Am7 :| [2 Am7 | in 3/4, as typed; the melody as MIDI and quarters.
PLAYED = ["Em7", "F#m7b5", "B7", "Em6", "Am7"] * 2
MELODY = [
    *[(76, 3), (71, 1), (69, 1), (67, 3)],
    *[(76, 3), (71, 1), (69, 1), (67, 3), (69, 3)],
]
LEVELS = [
    "As written",
    "Rootless dominants",
    "Tritone substitution",
    "Leading-tone diminished",
    "All together",
]


def offered(kind: str) -> list[tuple[str, str]]:
    with (OLD / "offers.tsv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))
    return [(row["of"], row["name"]) for row in rows if row["kind"] == kind]


def is_named_in_changes(name: str) -> bool:
    return re.search(rf"`(?:harmonykit )?{re.escape(name)}[` (]", CHANGES) is not None


def parameters(command: str) -> set[str]:
    found = cli.app if command == "harmonykit" else cli.app.commands[command]
    options = {name for each in found.params for name in each.opts if name.startswith("-")}
    return options | {each.name or "" for each in found.params if isinstance(each, click.Argument)}


# The formats that the files have now, by their names in the table of "Changes".
FORMATS = {
    "a tune (`.toml`)": reader.FORMAT,
    "a lesson's header": keys.FORMAT,
    "a course": course.FORMAT,
    "a class file": class_file.FORMAT,
    "a groove": shelf.FORMAT,
    "a student's answer": check.FORMAT,
    "a set of exercises": sets.FORMAT,
    "answers to exercises": sitting.FORMAT,
    "changes of shapes that were practised (`my-changes.jsonl`)": rounds.FORMAT,
    "notebooks that were read (`my-reading.json`)": day.FORMAT,
    "what a page of the workbook keeps": keep.FORMAT,
    "`manifest.json`": manifest.FORMAT,
    "a survey's plan": plan.FORMAT,
}


def test_the_version_and_its_formats_are_named() -> None:
    assert re.findall(r"^### (\S+)$", CHANGES, re.MULTILINE)[0] == hk.__version__
    rows = re.findall(r"^\| (.+?) \| (\d|-) \| (\d) \| (.+?) \|$", CHANGES, re.MULTILINE)
    assert {name: int(now) for name, _, now, _ in rows} == FORMATS
    for _, before, now, reads in rows:
        assert {before, now} - {"-"} <= set(reads.split(", "))
    read = {name: reads for name, _, _, reads in rows}
    assert read["answers to exercises"] == ", ".join(map(str, sitting.FORMATS))
    assert read["a lesson's header"] == ", ".join(map(str, keys.FORMATS))


@pytest.mark.parametrize("kind", ["command", "option", "argument", "call"])
def test_the_list_of_what_was_offered_is_there(kind: str) -> None:
    # Counted by hand in the help of 0.1.0.
    assert len(offered(kind)) == {"command": 7, "option": 32, "argument": 7, "call": 42}[kind]


@pytest.mark.parametrize("command", [name for _, name in offered("command")])
def test_a_command_is_kept_or_has_a_successor(command: str) -> None:
    assert command in cli.app.commands or is_named_in_changes(command)


@pytest.mark.parametrize(("command", "name"), offered("option") + offered("argument"))
def test_an_option_is_kept_or_has_a_successor(command: str, name: str) -> None:
    kept = command in cli.app.commands or command == "harmonykit"
    assert (kept and name in parameters(command)) or is_named_in_changes(f"{command} {name}")


@pytest.mark.parametrize("call", [call for _, call in offered("call")])
def test_a_call_is_kept_or_has_a_successor(call: str) -> None:
    name, given = read_call(call)
    if name not in EXAMPLES:
        assert is_named_in_changes(name)
        return
    function = STATEMENTS[name] if name in STATEMENTS else getattr(Functions, name)
    check_arguments(name, function, given)


def test_what_is_gone_without_a_word_is_seen() -> None:
    assert not is_named_in_changes("compare --nothing")
    assert is_named_in_changes("hk.Tune.read")


@pytest.mark.parametrize("name", ["lantern_steps.toml", "tune.toml", "tune.musicxml", "tune.mid"])
def test_a_tune_opens(name: str) -> None:
    tune = hk.read_tune(OLD / name)
    sung = [(each.note.midi, each.beats) for each in tune.melody]
    assert sung == MELODY
    if name != "tune.mid":  # of a MIDI file the melody is read
        assert tune.title == "Lantern Steps"
        assert str(tune.key) == "E minor"
        assert [str(each.chord) for each in tune.changes] == PLAYED


def test_a_lesson_and_a_course_open() -> None:
    lesson = load_lesson(OLD / "draft.md")
    assert [played.level.name for played in lesson.played] == LEVELS
    course = read_course(OLD / "course.toml")
    assert (course.title, [path.name for path in course.lessons]) == (
        "Winter evenings",
        ["draft.md"],
    )


def test_an_answer_is_judged() -> None:
    # B7 as 2 3 2 2 on g C E A: A, D#, F#, B; Em7 as 0 2 0 2: G, D, E, B.  The others lack tones.
    report = check_answer(OLD / "draft.md", OLD / "answer.toml")
    assert [verdict.answer for verdict in report.verdicts if verdict.right] == ["0202", "2322"]


def test_answers_and_results_open(tmp_path: Path) -> None:
    for name in ("progress.jsonl", "results.jsonl"):
        shutil.copy(OLD / name, tmp_path)
    progress = Progress(tmp_path / "progress.jsonl")
    assert [(each.kind, each.score, each.hints) for each in progress.answers] == [
        ("parents", 1.0, 0),
        ("scale", 0.5, 1),
        ("spelling", 0.0, 3),
    ]
    more = Answered("2026-05-05T09:00:00", "lantern", 4, "scale", "clock", 1, 1.0, 0, "F#")
    progress.add(more)
    assert Progress(tmp_path / "progress.jsonl").answers[-1] == more
    read = read_results(tmp_path / "results.jsonl")
    assert set(read["student"]) == {"Student 7"}
    assert list(read["score"]) == [1.0, 0.5, 0.0]
    exercises = ExerciseSet.from_text((OLD / "set.json").read_text(encoding="utf-8"))
    assert (exercises.title, len(exercises.specs)) == ("Lantern week", 3)
    assert set(read["set"]) == {exercises.mark}


def test_kept_pages_open(tmp_path: Path) -> None:
    for name in ("kept-reharmonise.json", "kept-writing.json"):
        shutil.copy(OLD / name, tmp_path)
    arranger = Keep(tmp_path / "kept-reharmonise.json", REHARMONISE)
    writer = Keep(tmp_path / "kept-writing.json", WRITING)
    assert (arranger.trouble, writer.trouble) == ("", "")
    state = from_kept({name: arranger[name] for name in ("tune", "settings")})
    assert state.text == (OLD / "lantern_steps.toml").read_text(encoding="utf-8")
    assert state.locked == frozenset((1,))
    assert writer["text"] == (OLD / "draft.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("kind", ["lesson", "course", "survey"])
def test_a_folder_is_known_as_ours(kind: str) -> None:
    assert read_manifest(OLD / kind)["kind"] == kind
    named = set(json.loads((OLD / kind / MANIFEST).read_text(encoding="utf-8"))["files"])
    assert named <= set(listed(OLD / kind))


def test_a_lesson_takes_the_place_of_an_older_one(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    shutil.copytree(OLD / "lesson", out)
    (out / "mine.txt").write_text("bring the tuner", encoding="utf-8")
    with (out / "script.md").open("a", encoding="utf-8") as script:
        script.write("Ask who has been here before.\n")
    text = (OLD / "draft.md").read_text(encoding="utf-8")
    source = tmp_path / "draft.md"
    source.write_text(text.replace("format = 1", 'format = 1\noutputs = ["script"]', 1), "utf-8")
    shutil.copy(OLD / "lantern_steps.toml", tmp_path)
    kept: list[str] = []
    build_lesson(source, out, kept=lambda each: kept.append(each.was))
    assert (out / "mine.txt").read_text(encoding="utf-8") == "bring the tuner"
    assert sorted(kept) == ["mine.txt", "script.md"]
    assert not (out / "level-4-leading-tone-diminished.musicxml").exists()


def test_a_survey_goes_on_in_an_older_folder(tmp_path: Path) -> None:
    out = tmp_path / "survey"
    shutil.copytree(OLD / "survey", out)
    shutil.copy(OLD / "lantern_steps.toml", tmp_path)
    ukulele = hk.Instrument.named("ukulele")
    survey([tmp_path / "lantern_steps.toml"], out, [ukulele], levels=(1,), tonics=(4,))
    assert read_manifest(out)["kind"] == "survey"
    old = {path.name for path in (OLD / "survey" / "parts").iterdir()}
    assert old <= {path.name for path in (out / "parts").iterdir()}
