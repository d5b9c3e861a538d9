"""The preview: the page's own HTML, and of it only what the browser does not know."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.write import pictures
from harmonykit.paths import find_data, shipped
from harmonykit.workbook.writing.preview import PAGE, POLICY, SCRIPT, SHEET, Preview
from harmonykit.workbook.writing.reader import LessonReader

STIFF = find_data("lessons", "stiff_dominant")
TEXT = STIFF.read_text(encoding="utf-8")
IDS = re.compile(r"(?<=[\"#])f\d+-|\bk\d+\b")


class Frame:
    """What a browser makes of the news: the sections that stand in the frame."""

    def __init__(self) -> None:
        self.sections: list[str] = []
        self.shapes: list[str] = []
        self.ends: dict[str, str] = {}
        self.known: dict[int, str] = {}

    def take(self, news: dict[str, Any]) -> None:
        if "frame" in news:
            self.__init__()  # type: ignore[misc]
        self.known |= news["html"]
        if "parts" in news:
            self.sections = [self.known[number] for number, _ in news["parts"]]
            self.known = {number: self.known[number] for number, _ in news["parts"]}
        self.shapes += news["symbols"]
        self.ends |= {k: news[k] for k in ("head", "care", "foot", "style") if k in news}


def lesson_of(reader: LessonReader, text: str, path: Path = STIFF) -> Lesson:
    look = reader.work_out(path, text)
    assert look.lesson is not None
    return look.lesson


# One by default; the others are among the long tests.
@pytest.mark.parametrize(
    "name",
    [
        name if name == "one_voice_moves" else pytest.param(name, marks=pytest.mark.long)
        for name in shipped("lessons")
    ],
)
def test_the_sections_are_those_of_the_page(name: str) -> None:
    path = find_data("lessons", name)
    lesson = lesson_of(LessonReader(), path.read_text(encoding="utf-8"), path)
    frame = Frame()
    frame.take(Preview().news(lesson))
    # Figures and styles are numbered as they come, and in a page the key comes last.
    page = IDS.sub("", write_page(lesson))
    assert len(frame.sections) == len(lesson.sections)
    assert all(IDS.sub("", html) in page for html in frame.sections)
    assert all(IDS.sub("", shape).strip() in page for shape in frame.shapes) and frame.shapes
    assert all(IDS.sub("", frame.ends[end]) in page for end in ("head", "care", "foot"))
    assert bool(frame.ends["care"]) == ("Take care" in page) and "</ul>" in frame.ends["foot"]


def test_only_the_section_that_changed_is_sent() -> None:
    reader, preview = LessonReader(), Preview()
    preview.news(lesson_of(reader, TEXT))
    assert preview.news(lesson_of(reader, TEXT)) == {"html": {}, "symbols": [], "behind": False}
    news = preview.news(lesson_of(reader, TEXT.replace("Try every root", "Take every root")))
    assert set(news) == {"parts", "html", "symbols", "behind"}
    ((number, html),) = news["html"].items()
    assert "Take every root" in html and [number, False] in news["parts"]


def test_any_way_of_editing_shows_what_a_fresh_preview_shows() -> None:
    reader, preview, frame = LessonReader(), Preview(), Frame()
    texts = [
        TEXT,
        TEXT.replace("## First try", "## The first try"),
        TEXT.replace("tempo = 76", "tempo = 80", 1),
        TEXT.replace("{{ chart(1) }}", "{{ chart(3) }}\n\n{{ chart(1) }}"),
        TEXT.replace('title = "The', 'title = "Just the', 1),
        TEXT.replace('instrument = "ukulele"', 'instrument = "ukulele low g"'),
        TEXT.partition("## No root at all")[0],
        TEXT,
    ]
    for text in texts:
        lesson = lesson_of(reader, text)
        frame.take(preview.news(lesson))
        page = write_page(lesson)
        assert [re.sub("<[^>]*>", "", html) for html in frame.sections] == [
            re.sub("<[^>]*>", "", html)
            for html in re.findall(r"<section.*?</section>", page, re.S)[: len(lesson.sections)]
        ]
        assert frame.ends["head"] in page and frame.ends["care"] in page
        used = set(re.findall(r'href="#(shape-\d+)"', "".join(frame.sections)))
        assert used <= set(re.findall(r'id="(shape-\d+)"', "".join(frame.shapes)))
        classes = set(re.findall(r"\bk\d+\b", "".join(frame.sections)))
        assert classes <= set(re.findall(r"\.(k\d+)\{", frame.ends["style"]))


def test_the_script_has_its_minutes_its_cues_and_its_figures() -> None:
    reader, preview = LessonReader(), Preview()
    lesson = lesson_of(
        reader, TEXT.replace("Try every", "\ufdd0 ![x](https://example.org/x.svg) every")
    )
    news = preview.news(lesson, SCRIPT)
    drawn = sum(len(picture.drawings) for picture in pictures(lesson))
    script = news["script"]
    assert news["shows"] == SCRIPT and script.count("<svg") == drawn > 4
    for section in lesson.sections:
        assert re.search(
            rf"<h2>(\d+\. )?{re.escape(section.title)}( \(\d+ minutes?\))?</h2>", script
        )
    assert "<strong>Cue 1</strong>" in script and "<script" not in script
    assert "script" not in preview.news(lesson, SCRIPT) and preview.news(lesson)["shows"] == PAGE


def test_of_the_sheet_only_the_pages_that_changed_are_sent() -> None:
    lesson, preview = lesson_of(LessonReader(), TEXT), Preview()
    assert preview.news(lesson, SHEET)["behind"]
    news = preview.news(lesson, SHEET, ("one", "two"))
    assert news["sheet"] == ["one", "two"] and not news["behind"]
    assert preview.news(lesson, SHEET, ("one", "other", "three"))["sheet"] == ["", "other", "three"]
    preview.forget()
    assert preview.news(lesson, SHEET, ("one",))["sheet"] == ["one"]
    assert not preview.news(lesson)["behind"]


def test_what_waits_says_so() -> None:
    look = LessonReader().look(STIFF, TEXT)
    assert look.lesson is not None
    waits = [waits for _, waits in Preview().news(look.lesson)["parts"]]
    assert any(waits) and not all(waits)


def test_hostile_text_stays_text_and_the_frame_runs_nothing() -> None:
    hostile = "<script>alert(1)</script><img src=x onerror=alert(2)> [x](javascript:alert(3))"
    text = TEXT.replace("Play each of them", hostile).replace(
        'title = "The stiff dominant"', 'title = "<script>alert(4)</script>"'
    )
    news = Preview().news(lesson_of(LessonReader(), text))
    html = "".join([*news["html"].values(), news["head"]])
    assert "<script" not in html and "<img" not in html and 'href="javascript' not in html
    assert POLICY in unescape(news["frame"]) and "script-src" not in news["frame"]


def test_a_browser_that_knows_nothing_is_told_all() -> None:
    reader, preview = LessonReader(), Preview()
    lesson = lesson_of(reader, TEXT)
    first = preview.news(lesson)
    preview.forget()
    again = preview.news(lesson)
    assert again == first
    assert set(first["html"]) == {number for number, _ in first["parts"]}


def test_long_work_keeps_little() -> None:
    reader, preview = LessonReader(), Preview()
    lesson = lesson_of(reader, TEXT)
    for length in range(200):
        sections = (replace(lesson.sections[0], title="x" * length), *lesson.sections[1:])
        preview.news(replace(lesson, sections=sections))
    assert len(preview._drawn) <= 60 and len(preview._plain) <= 60
