"""Several lessons as a course."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from harmonykit.cli import main
from harmonykit.cli.lesson import built, level_player
from harmonykit.errors import HarmonyError
from harmonykit.files.folder import replaced_whole
from harmonykit.files.manifest import Carried, write_manifest
from harmonykit.lesson.course import build_course, read_course
from harmonykit.lesson.plan.model import Front, Played
from harmonykit.lesson.plan.source import read_lesson


def two_lessons(folder: Path, lesson: Path, outputs: str = "") -> Path:
    """Write the file of a course of two small lessons, with all their files or few."""
    text = lesson.read_text(encoding="utf-8")
    if outputs:
        text = text.replace('group = "Quay"', f"outputs = {outputs}")
        lesson.write_text(text, encoding="utf-8")
    second = text.replace("A small lesson", "Another & <more>").replace("+++\n\n##", "+++\n\n##", 1)
    (folder / "second.md").write_text(second, encoding="utf-8")
    path = folder / "term.toml"
    path.write_text(
        'format = 1\ntitle = "Spring"\nlessons = ["small.md", "second.md"]\n', encoding="utf-8"
    )
    return path


@pytest.fixture
def course(tmp_path: Path, write_lesson: Callable[[Path], Path]) -> Path:
    """Return the file of a course of two small lessons of few files."""
    return two_lessons(tmp_path, write_lesson(tmp_path), '["script"]')


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Path:
    """Return the folder of a course whose lessons have all their files."""
    folder = tmp_path_factory.mktemp("course")
    return build_course(two_lessons(folder, write_lesson(folder)), folder / "out")


def test_a_course_has_its_lessons_contents_and_book(whole: Path) -> None:
    out = whole
    names = json.loads((out / "manifest.json").read_text("utf-8"))["lessons"]
    assert names == ["01-a-small-lesson", "02-another-more"]
    for name in names:
        files = json.loads((out / name / "manifest.json").read_text("utf-8"))["files"]
        assert all((out / name / file).is_file() for file in files)
    page = (out / "index.html").read_text("utf-8")
    assert re.findall(r'href="([^"]+)"', page) == [
        *(f"{n}/page.html" for n in names), "book.pdf", "term.md", "class.toml",
    ]  # fmt: skip
    assert "Another &amp; &lt;more&gt;" in page and "<script" not in page


def test_the_book_holds_every_handout(whole: Path) -> None:
    out = whole
    book = pypdf.PdfReader(io.BytesIO((out / "book.pdf").read_bytes()))
    single = pypdf.PdfReader(out / "01-a-small-lesson" / "handout.pdf")
    assert len(book.pages) >= 2 * len(single.pages)
    text = "".join(page.extract_text() for page in book.pages)
    assert "Spring" in text and "A small lesson" in text and "Another & <more>" in text


def test_a_course_is_replaced_whole_or_not_at_all(course: Path) -> None:
    out = build_course(course, course.parent / "out")
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    second = course.parent / "second.md"
    second.write_text(second.read_text("utf-8").replace("chart(1)", "chart(9)"), encoding="utf-8")
    with pytest.raises(HarmonyError, match="unknown level 9"):
        build_course(course, out)
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("format = 1", "1 to"),
        ("format = 2\nlessons = ['small.md']", "format"),
        ("format = 1\nlessons = ['none.md']", "none"),
        ("format = 1\nlesson = ['small.md']", "lesson"),
        ("format = ", "the course is not TOML"),
    ],
)
def test_what_is_no_course(course: Path, text: str, words: str) -> None:
    course.write_text(text, encoding="utf-8")
    with pytest.raises(HarmonyError, match=words):
        read_course(course)


def test_the_command(course: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["course", str(course), "--out", str(course.parent / "out")])
    assert ended.value.code == 0
    assert "index.html" in capsys.readouterr().out


def test_the_help_shows_a_file_that_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(["course", "--help"])
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    start = lines.index("format = 1")
    (tmp_path / "my").mkdir()
    (tmp_path / "my" / "lesson.md").write_text("x", encoding="utf-8")
    path = tmp_path / "term.toml"
    path.write_text("\n".join(lines[start : start + 3]), encoding="utf-8")
    assert [each.stem for each in read_course(path).lessons] == ["stiff_dominant", "lesson"]
    path.write_text("", encoding="utf-8")
    with pytest.raises(HarmonyError, match="not a course") as caught:
        read_course(path)
    assert "harmonykit course --help" in (caught.value.mend or "")


def test_what_was_made_and_what_is_the_users_are_told_apart(tmp_path: Path) -> None:
    out = tmp_path / "out"
    made = {"script.md": "test", "figures/one.svg": "test"}
    for text in ("old", "new"):
        with replaced_whole(out, "lesson") as new:
            (new.path / "script.md").write_text(text, encoding="utf-8")
            (new.path / "figures").mkdir()
            (new.path / "figures" / "one.svg").write_text(text, encoding="utf-8")
            write_manifest(new.path, "lesson", {"lesson": "x"}, made)
        (out / "notes.txt").write_text("mine", encoding="utf-8")
    first, *others = built(out, [Carried("notes.txt", "notes.txt", edited=False)])
    assert first == f"{out}: figures, manifest.json, script.md"
    assert others == ["kept, because harmonykit did not make it: notes.txt"]


def test_a_lesson_of_few_outputs_in_a_course(lesson_path: Path, tmp_path: Path) -> None:
    """Its figures may be the first files of its folder."""
    text = lesson_path.read_text(encoding="utf-8")
    few = text.replace('group = "Quay"', 'outputs = ["script", "scores"]')
    lesson_path.write_text(few, encoding="utf-8")
    path = lesson_path.with_name("course.toml")
    path.write_text(f'format = 1\ntitle = "One"\nlessons = ["{lesson_path.name}"]\n', "utf-8")
    out = build_course(path, tmp_path / "out")
    assert list(out.glob("01-*/script.md")) and not list(out.glob("01-*/page.html"))


def test_the_levels_of_a_course_are_played_by_what_is_given(course: Path) -> None:
    """So that whoever waits can be told which level is being arranged."""

    def stopped(front: Front, index: int) -> Played:
        raise HarmonyError(f"told of {front.levels[index].name}")

    with pytest.raises(HarmonyError, match="told of Leading"):
        build_course(course, course.parent / "out", play=stopped)


def test_whoever_waits_for_a_course_is_told_which_lesson_is_at_work(
    lesson_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    front = read_lesson(lesson_path)[0]
    level_player(terminal=True)(front, 0)
    assert "A small lesson, level 1 of 1: Leading" in capsys.readouterr().err
