"""Text that is wrong in every way is read, or refused with one message: never anything else."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from proving import Tell, many

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.lesson.check import check_answer
from harmonykit.lesson.course import read_course
from harmonykit.lesson.plan.idea import read_idea
from harmonykit.paths import find_data
from harmonykit.practice.progress import Progress
from harmonykit.practice.sets import ExerciseSet
from harmonykit.score.child import answer
from harmonykit.score.tune import build_tune
from harmonykit.tune.class_file import read_class
from harmonykit.tune.text.pasted.message import read_message
from harmonykit.workbook.writing.reader import LessonReader

OLD = Path(__file__).resolve().parents[1] / "data" / "0.1.0"
MANY = 20_000
SIGNS = "\0\t\n\r \"'[]{}|=#♭♯%°Δø-+/.,:;0123456789ABCDEFGabmx\u200b\u202e\ufeff\U0001f30a"
"""Characters that mean something somewhere, and some that never do."""


def mutated(text: str, chance: random.Random) -> str:
    """Return a text with one to three pieces cut, doubled, moved, or other signs in their place."""
    for _ in range(chance.randrange(1, 4)):
        spot = chance.randrange(len(text) + 1)
        span = chance.randrange(1, 24)
        piece = text[spot : spot + span]
        way = chance.randrange(5)
        if way == 0:
            text = text[:spot] + text[spot + span :]
        elif way == 1:
            text = text[:spot] + piece * chance.randrange(2, 6) + text[spot + span :]
        elif way == 2:
            other = chance.randrange(len(text) + 1)
            text = text[:spot] + text[other : other + span] + text[spot + span :]
        elif way == 3:
            text = text[:spot] + "".join(chance.choices(SIGNS, k=3)) + text[spot:]
        else:
            lines = text.split("\n")
            a, b = chance.randrange(len(lines)), chance.randrange(len(lines))
            lines[a], lines[b] = lines[b], lines[a]
            text = "\n".join(lines)
    return text


MESSAGE = """Lamp on the Jetty, in F, 3/4
verse
F  Gm7  | C7  F6 |
low tide and the gulls are late
chorus: Dm | G7 / C7 | F x2
"""
CLASS = """format = 1
name = "Tuesday"
instruments = ["ukulele"]
minutes = 45

[grips]
ukulele = ["C 0003", "F 2010", "G7 0212", "Am 2000"]
"""


def _tune(_folder: Path, text: str) -> object:
    return hk.Tune.parse(text)


def _message(_folder: Path, text: str) -> object:
    return read_message(text)


def _file(read: Callable[[Path], object], name: str) -> Callable[[Path, str], object]:
    def one(folder: Path, text: str) -> object:
        path = folder / name
        path.write_text(text, encoding="utf-8")
        return read(path)

    return one


def _lesson(folder: Path, text: str) -> object:
    look = READER.look(folder / "small.md", text)
    if look.fault is not None:
        raise look.fault
    return look


READER = LessonReader()


def _text(name: str) -> str:
    return (OLD / name).read_text(encoding="utf-8")


FORMS: dict[str, tuple[str, Callable[[Path, str], object]]] = {
    "a tune": (_text("lantern_steps.toml"), _tune),
    "a tune in a message": (MESSAGE, _message),
    "a lesson": (_text("draft.md"), _lesson),
    "a course": (_text("course.toml"), _file(read_course, "course.toml")),
    "an idea": (
        find_data("ideas", "backdoor").read_text(encoding="utf-8"),
        _file(read_idea, "mine.toml"),
    ),
    "a class": (CLASS, _file(read_class, "class.toml")),
    "a set of exercises": (_text("set.json"), lambda _folder, text: ExerciseSet.from_text(text)),
    "a student's answers": (_text("progress.jsonl"), _file(Progress, "progress.jsonl")),
}


@pytest.mark.parametrize("form", FORMS)
def test_mutated_texts_are_read_or_refused(form: str, tmp_path: Path, tell: Tell) -> None:
    text, read = FORMS[form]
    for name in ("lantern_steps.toml", "draft.md"):
        (tmp_path / name).write_text(_text(name), encoding="utf-8")
    read(tmp_path, text)
    chance, came = random.Random(form), Counter[str]()
    for _ in range(many(MANY)):
        bad = mutated(text, chance)
        try:
            read(tmp_path, bad)
            came["read"] += 1
        except HarmonyError as error:
            assert str(error).strip(), bad
            came["refused"] += 1
        except Exception as error:
            raise AssertionError(f"{error!r}\n{bad!r}") from error
    tell(f"mutated: {form}", f"{sum(came.values()):,}", "real", f"{came['read']:,} read")


def test_an_answer_to_a_lesson(tmp_path: Path, tell: Tell) -> None:
    """Each is judged against a level that is arranged once."""
    for name in ("lantern_steps.toml", "draft.md"):
        (tmp_path / name).write_text(_text(name), encoding="utf-8")
    read = _file(lambda path: check_answer(tmp_path / "draft.md", path), "answer.toml")
    chance, came = random.Random(6), Counter[str]()
    for _ in range(many(2_000)):
        try:
            read(tmp_path, mutated(_text("answer.toml"), chance))
            came["judged"] += 1
        except HarmonyError as error:
            assert str(error).strip()
            came["refused"] += 1
    tell("mutated: an answer", f"{sum(came.values()):,}", "real", f"{came['judged']:,} judged")


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["tune.musicxml", "tune.mid"])
def test_mutated_scores_are_read_or_refused(name: str, tell: Tell) -> None:
    """As the child process reads them, here in one process of many files."""
    data, suffix = (OLD / name).read_bytes(), Path(name).suffix
    chance, came = random.Random(name), Counter[str]()
    for _ in range(many(2_000)):
        bad = bytearray(data)
        for _ in range(chance.randrange(1, 5)):
            spot = chance.randrange(len(bad))
            if chance.random() < 0.5:
                bad[spot] = chance.randrange(256)
            else:
                del bad[spot : spot + chance.randrange(1, 9)]
        found = answer(bytes(bad), suffix, None)
        if "error" in found:
            assert found["error"]["what"]
            came["refused"] += 1
            continue
        try:
            build_tune(found["score"], name)
            came["read"] += 1
        except HarmonyError as error:
            assert str(error).strip()
            came["refused"] += 1
    tell(f"mutated: {suffix}", f"{sum(came.values()):,}", "real", f"{came['read']:,} read")


def test_random_symbols(tell: Tell) -> None:
    pieces = (
        "C D E F G A B # b ♯ ♭ m min maj M 7 9 11 13 6 sus 4 2 "
        "dim ° ø aug + - add alt no 5 3 ( ) / , x"
    ).split()
    chance, came = random.Random(1), Counter[str]()
    for _ in range(many(1_000_000)):
        text = "".join(chance.choices(pieces, k=chance.randrange(1, 7)))
        try:
            hk.read_symbol(text)
            came["read"] += 1
        except HarmonyError:
            came["refused"] += 1
    tell("random symbols", f"{sum(came.values()):,}", "real", f"{came['read']:,} read")
