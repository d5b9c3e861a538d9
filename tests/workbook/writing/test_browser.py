"""The page where a lesson is written, in JupyterLab: by mouse and keyboard, and after a crash.

What stands on the page is compared with what the lesson's own functions say of the text that
stands in it.
"""

from __future__ import annotations

import os
import random
import re
import signal
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from lab_in_browser import Bench, Lab, open_notebook, write_notebook
from playwright.sync_api import Browser, FrameLocator, Locator, expect

from harmonykit.lesson.activities import section_minutes
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.script import minutes
from harmonykit.paths import find_data
from harmonykit.workbook.writing.reader import LessonReader

CELLS = (
    "import os; _ = open('kernel', 'w').write(str(os.getpid()))",
    "from harmonykit.workbook import WritingPanel",
    "panel = WritingPanel('heron_landing', 'ukulele')",
    "panel",
    "print('ready')",
)
FILE = "new-chords-for-slack-water-waltz.md"
# Frames in which no script runs cannot be looked into by axe; pages are looked at elsewhere.
AXE = {"rules": {"frame-tested": {"enabled": False}}}


class Teacher:
    """Whoever writes the lesson, with eyes and hands on one page."""

    def __init__(self, bench: Bench, folder: Path) -> None:
        self.bench, self.page, self.folder = bench, bench.page, folder
        self.panel: Locator = self.page.locator(".hk-writing")
        expect(self.panel).to_have_count(1)
        self.text = self.panel.locator("textarea")
        self.preview: FrameLocator = self.panel.frame_locator("iframe")
        self.panel.scroll_into_view_if_needed()

    def control(self, name: str) -> Locator:
        return self.panel.locator(f"[data-control={name}]")

    def answered(self) -> None:
        """Wait until the kernel has answered what was typed, and all is drawn."""
        self.page.wait_for_function(
            "() => { const area = document.querySelector('.hk-writing textarea');"
            " return area.dataset.heard === 'yes'; }"
        )
        expect(self.preview.locator("[aria-busy=true]")).to_have_count(0)
        expect(self.panel.locator(".hk-progress")).to_be_hidden()

    def go_to(self, words: str, end: bool = False) -> None:
        """Put the caret before (or after) some words of the text."""
        self.text.evaluate(
            "(area, [words, end]) => { const at = area.value.indexOf(words);"
            " if (at < 0) throw new Error(`no ${words}`);"
            " area.focus(); const place = at + (end ? words.length : 0);"
            " area.setSelectionRange(place, place); }",
            [words, end],
        )

    def replace(self, old: str, new: str) -> None:
        """Select some words and put others in their place, at once: each letter is answered."""
        self.go_to(old)
        self.text.evaluate(
            "(area, far) => area.setSelectionRange(area.selectionStart, area.selectionStart + far)",
            len(old),
        )
        self.page.keyboard.insert_text(new)

    def wrong(self) -> Locator:
        return self.panel.locator(".hk-statements li.wrong")

    def proved(self) -> Locator:
        return self.panel.locator(".hk-statements li.proved")

    def minutes(self) -> dict[str, str]:
        rows = self.panel.locator(".hk-sides tr")
        pairs = (re.split(r"\t", row.strip()) for row in rows.all_inner_texts())
        return {title.strip(): spent.strip() for title, spent, *_ in pairs}

    def in_step(self, folder: Path) -> None:
        """What is shown is what the text that stands there says."""
        self.answered()
        look = LessonReader().work_out(folder / "any.md", self.text.input_value())
        assert look.lesson is not None and look.fault is None
        page = write_page(look.lesson)
        plain = self.preview.locator("main > section, main > .end > section").evaluate_all(
            "(all) => all.map((each) => each.textContent.replace(/\\s+/g, ' ').trim())"
        )
        # A browser of its own reads the page as it would be built.
        other = self.page.context.new_page()
        other.set_content(page)
        wanted = other.locator("main > section, main > .end > section").evaluate_all(
            "(all) => all.map((each) => each.textContent.replace(/\\s+/g, ' ').trim())"
        )
        other.close()
        assert plain == wanted
        assert self.minutes() == {
            each.title or "Before the first heading": minutes(section_minutes(look.lesson, each))
            for each in look.lesson.sections
        }
        expect(self.proved()).to_have_count(len(look.lesson.facts))


@pytest.fixture(scope="module")
def begun(browser: Browser, lab: Lab) -> Iterator[tuple[Teacher, str]]:
    """One notebook with the page, in a folder of its own, and the text that stands there first."""
    folder = lab.new_folder("lessons")
    write_notebook(folder / "write.ipynb", *CELLS)
    bench = open_notebook(browser, lab, f"{folder.name}/write.ipynb")
    teacher = Teacher(bench, folder)
    yield teacher, teacher.text.input_value()
    bench.leave()


@pytest.fixture
def teacher(begun: tuple[Teacher, str]) -> Teacher:
    """The page with the text that stood there first, whatever was done there before."""
    teacher, text = begun
    teacher.control("shows").select_option("page")
    teacher.text.fill(text)
    teacher.answered()
    return teacher


def test_from_a_tune_to_a_folder(teacher: Teacher) -> None:
    """Draft, edit, see a statement fail and mend it, read the minutes, build, open."""
    folder, keyboard = teacher.folder, teacher.page.keyboard
    tune = teacher.control("tune")
    tune.fill("slack_water_waltz")
    tune.press("Enter")
    expect(teacher.preview.locator("h1")).to_have_text("New chords for Slack Water Waltz")
    expect(teacher.control("file")).to_have_value(FILE)
    teacher.answered()

    # A false statement is said at its line with what is true; F8 leads there.
    count = teacher.proved().count()
    teacher.go_to("## By numbers")
    keyboard.insert_text('{{ semitones_apart("C6", "Am", 0) }} {{ always("raising") }}\n\n')
    expect(teacher.wrong()).to_have_count(1)
    # C6 has a G that A minor lacks: it moves to the A or the E, two semitones at least
    # (least sum over all pairings, done by hand).
    expect(teacher.wrong()).to_contain_text("they are 2 apart")
    expect(teacher.proved()).to_have_count(count + 1)
    line = teacher.text.input_value().split('{{ semitones_apart("C6"')[0].count("\n") + 1
    expect(teacher.wrong().locator(".hk-line")).to_have_text(f"line {line}")
    expect(teacher.preview.get_by_text(f"[line {line} has to be corrected]")).to_have_count(1)
    teacher.go_to("+++")
    keyboard.press("F8")
    place = teacher.text.evaluate("(area) => area.selectionStart")
    assert teacher.text.input_value()[:place].count("\n") + 1 == line
    teacher.replace("Am", "Am7")
    expect(teacher.wrong()).to_have_count(0)
    expect(teacher.proved()).to_have_count(count + 2)

    # Tab leaves the text; the minutes follow the tempo.
    keyboard.press("Tab")
    assert teacher.page.evaluate("document.activeElement.tagName") != "TEXTAREA"
    before = teacher.minutes()["As written"]
    teacher.go_to("tempo = ", end=True)
    keyboard.type("1")
    teacher.answered()
    assert teacher.minutes()["As written"] != before
    teacher.in_step(folder)

    # The handout as it would be printed, page by page.
    teacher.control("shows").select_option("sheet")
    expect(teacher.preview.get_by_label("Page 2 of the handout").locator("svg")).to_be_visible()
    teacher.control("shows").select_option("page")
    teacher.answered()

    # Fewer files, so that this test is short; then all of them are built and opened.
    outputs = 'outputs = ["page", "handout", "script"]'
    teacher.replace('instrument = "ukulele"', f'{outputs}\ninstrument = "ukulele"')
    teacher.answered()
    teacher.control("build").click()
    page_link = teacher.panel.locator("[data-open='page.html']")
    expect(page_link).to_be_visible()
    assert (folder / FILE).read_text(encoding="utf-8") == teacher.text.input_value()
    built = folder / FILE.removesuffix(".md")
    assert {"page.html", "handout.pdf", "script.md"} <= {p.name for p in built.iterdir()}
    errors: list[str] = []
    with teacher.page.context.expect_page() as opened:
        page_link.click()
    page = opened.value
    page.on("console", lambda m: errors.append(m.text) if m.type == "error" else None)
    page.reload()
    expect(page.locator("h1")).to_have_text("New chords for Slack Water Waltz")
    expect(page.get_by_role("button", name="Play").first).to_be_visible()
    assert errors == []
    page.close()
    teacher.bench.healthy()


def test_what_somebody_else_wrote_is_left_alone(teacher: Teacher) -> None:
    file = teacher.folder / "shared.md"
    name = teacher.control("file")
    name.fill(file.name)
    name.press("Enter")
    teacher.text.focus()
    teacher.page.keyboard.press("Control+s")
    expect(teacher.panel.locator(".hk-saved")).to_have_text("saved as shared.md")
    file.write_text("theirs", encoding="utf-8")
    teacher.go_to("## As written")
    teacher.page.keyboard.type("Mine. ")
    expect(teacher.panel.locator(".hk-saved")).to_contain_text("someone else")
    teacher.answered()
    teacher.page.keyboard.press("Control+s")
    expect(teacher.panel.locator(".hk-trouble")).to_contain_text("not overwritten")
    assert file.read_text(encoding="utf-8") == "theirs"
    teacher.bench.healthy()


def test_each_letter_is_answered(teacher: Teacher) -> None:
    teacher.text.fill(find_data("lessons", "stiff_dominant").read_text(encoding="utf-8"))
    teacher.answered()
    heading = "The tune as it is written"
    teacher.go_to(f"## {heading}", end=True)
    for letter in " by us all":
        teacher.page.keyboard.type(letter)
        teacher.answered()
    expect(teacher.preview.locator("h2").first).to_have_text(f"{heading} by us all")
    teacher.bench.healthy()


@pytest.mark.long
def test_typing_is_answered_soon(teacher: Teacher) -> None:
    teacher.go_to("## As written", end=True)
    took = []
    for letter in " by all":
        teacher.page.keyboard.type(letter)
        teacher.answered()
        took.append(float(teacher.panel.get_attribute("data-took") or "inf"))
    assert statistics.median(took) < 100, took
    teacher.bench.healthy()


def test_no_serious_fault_for_those_who_cannot_see(teacher: Teacher) -> None:
    teacher.panel.evaluate("(panel) => panel.id = 'looked-at'")
    found = Axe().run(teacher.page, context="#looked-at", options=AXE).response["violations"]
    teacher.panel.evaluate("(panel) => panel.removeAttribute('id')")
    assert [each["id"] for each in found if each["impact"] in ("serious", "critical")] == []
    assert teacher.panel.locator("[role=status]").count() >= 2
    assert teacher.text.get_attribute("aria-describedby")


PUT = [
    "x",
    "\n",
    "{{",
    "}}",
    '"',
    "## ",
    "{{ frets_aloud() }}",
    '{{ semitones_apart("C", "F", 9) }}',
    "<b>",
    "+",
]


def act(teacher: Teacher, draw: random.Random) -> None:
    """Do one thing at random: put something somewhere, take something away, press something."""
    keyboard = teacher.page.keyboard
    length = len(teacher.text.input_value())
    place = draw.randrange(length + 1)
    teacher.text.evaluate("(a, at) => { a.focus(); a.setSelectionRange(at, at); }", place)
    kind = draw.random()
    if kind < 0.6:
        keyboard.insert_text(draw.choice(PUT))
    elif kind < 0.8:
        keyboard.press(draw.choice(["Backspace", "Delete", "Control+z"]))
    elif kind < 0.9:
        teacher.control("shows").select_option(draw.choice(["page", "script", "sheet"]))
    else:
        keyboard.press(draw.choice(["F8", "Control+s"]))


def memory_mib(teacher: Teacher) -> float:
    """The kernel's memory."""
    status = Path(f"/proc/{kernel(teacher)}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmRSS:\s*(\d+)", status)[1]) / 1024  # type: ignore[index]


def heap_mib(teacher: Teacher) -> float:
    """The page's own memory, once nothing is left that nobody uses."""
    inside = teacher.page.context.new_cdp_session(teacher.page)
    inside.send("HeapProfiler.collectGarbage")
    used: float = inside.send("Runtime.getHeapUsage")["usedSize"] / 2**20
    inside.detach()
    return used


def kernel(teacher: Teacher) -> int:
    return int((teacher.folder / "kernel").read_text(encoding="utf-8"))


def random_actions(teacher: Teacher, number: int) -> None:
    good = teacher.text.input_value()
    draw, before, heap = random.Random(number), memory_mib(teacher), heap_mib(teacher)
    for _ in range(number):
        act(teacher, draw)
    teacher.control("shows").select_option("page")
    teacher.text.fill(good)
    teacher.in_step(teacher.folder)
    assert memory_mib(teacher) - before < 50 and heap_mib(teacher) - heap < 50
    teacher.bench.healthy()


def test_twelve_random_actions_leave_all_in_step(teacher: Teacher) -> None:
    random_actions(teacher, 12)


@pytest.mark.long
def test_two_hundred_random_actions_leave_all_in_step(teacher: Teacher) -> None:
    random_actions(teacher, 200)


@pytest.mark.long
def test_one_view_at_a_time_has_the_text(browser: Browser, lab: Lab) -> None:
    folder = lab.new_folder("views")
    write_notebook(folder / "views.ipynb", *CELLS[:-1], "panel", CELLS[-1])
    bench = open_notebook(browser, lab, f"{folder.name}/views.ipynb")
    one, other = (bench.page.locator(".hk-writing").nth(n) for n in range(2))
    for here, there, words in ((one, other, "from one"), (other, one, "from the other")):
        expect(here.locator("textarea")).to_be_editable()
        here.locator("textarea").press("Control+End")
        bench.page.keyboard.type(words)
        expect(there.locator("textarea")).to_be_disabled()
        there.get_by_role("button", name="Continue here").click()
        expect(there.locator("textarea")).to_have_value(re.compile(f"{words}$"))
        expect(there.locator("textarea")).to_be_focused()
    bench.healthy()
    bench.leave()


def test_what_was_typed_outlives_the_kernel(teacher: Teacher, lab: Lab, browser: Browser) -> None:
    page = teacher.page
    teacher.go_to("## As written")
    page.keyboard.type("Typed before the crash.\n\n")
    teacher.answered()
    os.kill(kernel(teacher), signal.SIGKILL)
    # JupyterLab says so, and begins the kernel anew; what is typed meanwhile is kept too.
    page.get_by_role("button", name=re.compile("^Ok$")).first.click()
    teacher.go_to("Typed before")
    page.keyboard.type("Typed after it. ")
    typed = teacher.text.input_value()
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    back = teacher.panel.get_by_role("button", name="Restore it")
    expect(back).to_be_visible()
    assert "Typed before the crash." in teacher.text.input_value()
    back.click()
    teacher.answered()
    assert teacher.text.input_value() == typed
    teacher.in_step(teacher.folder)
    # What a tab says of a kernel that dies is no fault of the page.
    teacher.bench.complaints.clear()
