"""What a survey's tasks are, and that a task's name tells all that goes into it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from harmonykit.arrange.survey import plan as module
from harmonykit.arrange.survey.plan import Asked, Plan, all_levels, code_mark
from harmonykit.arrange.survey.sources import Source
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.limits import limits_at
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
SOURCE = Source(Path("a.toml"), 0, "digest")


def names(asked: Asked, source: Source = SOURCE) -> list[str]:
    return [task.name for task in Plan((source,), asked).tasks(source)]


def test_a_task_for_each_instrument_and_level() -> None:
    tasks = Plan((SOURCE,), Asked((UKULELE, GUITAR), (1, 3))).tasks(SOURCE)
    assert [(task.instrument.name, task.level) for task in tasks] == [
        ("ukulele", 1), ("ukulele", 3), ("guitar", 1), ("guitar", 3),
    ]  # fmt: skip
    assert len({task.name for task in tasks}) == 4


def test_the_same_work_has_the_same_name_wherever_its_file_is() -> None:
    asked = Asked((UKULELE,))
    assert names(asked) == names(asked, replace(SOURCE, path=Path("b/a.toml"), place=3, number=4))
    assert names(Asked((GUITAR, UKULELE), (3, 2, 1)))[3:] == names(asked)[::-1]
    resourced = replace(UKULELE, source="elsewhere")
    assert names(Asked((resourced,))) == names(asked)


@pytest.mark.parametrize(
    "other",
    [
        {"instruments": (GUITAR,)},
        {"instruments": (replace(UKULELE, scale_mm=350.0),)},
        {"instruments": (UKULELE.with_capo(2),)},
        {"levels": (2,)},
        {"tonics": (0, 7)},
        {"tonics": ()},
        {"moves": ("ascending walk",)},
    ],
)
def test_whatever_goes_in_changes_the_name(other: dict[str, Any]) -> None:
    asked = Asked((UKULELE,), (1,))
    assert names(asked) != names(replace(asked, **other))


def test_bytes_code_and_format_change_the_name(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = Asked((UKULELE,), (1,))
    found = [names(asked), names(asked, replace(SOURCE, digest="other"))]
    monkeypatch.setattr(module, "code_mark", lambda: "later code")
    found.append(names(asked))
    monkeypatch.setattr(module, "FORMAT", 2)
    found.append(names(asked))
    assert len({tuple(each) for each in found}) == 4


def test_the_mark_of_the_code_is_of_what_the_numbers_depend_on(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    package = tmp_path / "harmonykit"
    for name in ("arrange/costs.py", "theory/chord.py", "draw/base/style.py"):
        (package / name).parent.mkdir(parents=True)
        (package / name).write_text("1")
    monkeypatch.setattr(module, "__file__", str(package / "arrange" / "survey" / "plan.py"))
    marks = []
    for name in ("arrange/costs.py", "theory/chord.py", "draw/base/style.py", "arrange/costs.py"):
        code_mark.cache_clear()
        marks.append(code_mark())
        (package / name).write_text("2" + name * len(marks))
    code_mark.cache_clear()
    assert len(set(marks)) == 3 and marks[2] == marks[3]
    assert code_mark() not in marks
    code_mark.cache_clear()


def test_all_levels_are_the_hands() -> None:
    assert all_levels() == (1, 2, 3)
    for level in all_levels():
        limits_at(level, UKULELE)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"instruments": ()}, "0 instruments"),
        ({"instruments": (UKULELE, UKULELE)}, "2 instruments"),
        ({"levels": (1, 1)}, "2 levels"),
        ({"levels": (4,)}, "unknown level 4"),
        ({"moves": ("aproach",)}, "unknown move 'aproach'"),
    ],
)
def test_what_cannot_be_asked(wrong: dict[str, Any], said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        Asked(**{"instruments": (UKULELE,), **wrong})
