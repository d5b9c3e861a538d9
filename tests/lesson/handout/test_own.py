"""What an author puts on the sheet: whole sections, or nothing of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import front_page
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.script import write_script

ASK = "Which finger may stay?"


def _built(path: Path, word: str, *, idea: str = "") -> tuple[dict[str, Any], str]:
    """Return the front page of the small lesson with a section of its author's, and the script."""
    text = path.read_text(encoding="utf-8")
    call = f'{{{{ paper("{word}") }}}}\n' if word else ""
    more = f'## Try it\n{call}\n{ASK}\n\n{{{{ diagram("0201", "Gm6") }}}}\n\n'
    text = text.replace("## The tune", f"{more}## The tune")
    if idea:
        text = text.replace("## The idea\n", f'## The idea\n{{{{ paper("{idea}") }}}}\n')
    path.write_text(text, encoding="utf-8")
    lesson = load_lesson(path)
    script = write_script(lesson)
    assert ASK in script and ASK in write_page(lesson)
    assert "paper(" not in script and "Try it" in script
    return front_page(lesson, Figures()), script


def _texts(part: Any) -> str:
    return "".join(run for one in part["parts"] for par in one.get("text", ()) for run, _ in par)


def test_a_section_on_paper_stands_there_whole(lesson_path: Path) -> None:
    page, _ = _built(lesson_path, "yes")
    (part,) = (one for one in page["own"] if one["title"] == "Try it")
    assert _texts(part) == ASK
    assert [set(one) for one in part["parts"]] == [{"text"}, {"figures", "captions"}]


def test_a_section_that_says_nothing_gives_its_text_to_nobody(lesson_path: Path) -> None:
    page, _ = _built(lesson_path, "")
    assert all(not _texts(one) for one in page["own"])


def test_a_section_off_paper_gives_nothing(lesson_path: Path) -> None:
    page, _ = _built(lesson_path, "no", idea="no")
    assert page["own"] == [] and page["idea"] == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("## The idea\n", '## The idea\n{{ paper("maybe") }}\n', "paper is 'maybe'"),
        ("Hold **", 'It is {{ paper("yes") }} and **', "cannot stand in a sentence"),
    ],
)
def test_what_cannot_stand_there(lesson_path: Path, old: str, new: str, said: str) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(HarmonyError, match=said):
        load_lesson(lesson_path)


def test_of_the_idea_s_section_on_paper_its_pictures_stand_below_and_its_text_above(
    lesson_path: Path,
) -> None:
    page, _ = _built(lesson_path, "", idea="yes")
    assert page["idea"]
    assert all("text" not in part for one in page["own"] for part in one["parts"])
