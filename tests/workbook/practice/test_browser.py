"""Exercises in JupyterLab: worked through by mouse and by keyboard, heard, found again, and quick.

What the page says is compared with a panel of the test's own, to which the same was done in Python.
"""

from __future__ import annotations

import json
import os
import random
import re
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from lab_in_browser import Bench, Lab, open_notebook, paste, write_notebook
from playwright.sync_api import Browser, Locator, expect

from harmonykit.practice.class_sets import make_set
from harmonykit.practice.day import READ_FILE
from harmonykit.practice.progress import read_progress
from harmonykit.workbook.base.keep import state_in
from harmonykit.workbook.practice.panel import ExercisePanel
from harmonykit.workbook.practice.set_panel import SetPanel

IMPORT = "from harmonykit.workbook.practice import *"
THREE = make_set(["scale", "parents", "shape"], 3, title="Three")
ACT = """
async (panel, draws) => {
  for (const draw of draws) {
    const parts = [...panel.querySelectorAll("[data-press][role=button]")];
    const seen = parts.filter((part) => part.style.display !== "none");
    const buttons = [...panel.querySelectorAll("button:not([data-control=hear])")];
    const lists = [...panel.querySelectorAll("select")];
    const all = draw < 0.5 && seen.length ? seen : draw < 0.9 ? buttons : lists;
    const one = all[Math.floor(draw * 997) % all.length];
    if (one.tagName === "SELECT") {
      one.selectedIndex = Math.floor(draw * 7919) % one.options.length;
      one.dispatchEvent(new Event("change", { bubbles: true }));
    } else one.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
    await new Promise((done) => requestAnimationFrame(done));
  }
}
"""
SHOWN = """
(panel) => [...panel.querySelectorAll("[data-part]")].map((part) => [
  part.dataset.part, part.getAttribute("class"), part.querySelector("text").textContent,
  part.dataset.press ? part.getAttribute("aria-label") : "",
])
"""


@pytest.fixture(scope="module")
def bench(browser: Browser, lab: Lab) -> Iterator[Bench]:
    """A notebook with exercises, and with a set of them as it is handed out."""
    folder = lab.new_folder("exercises")
    handed_out = nbformat.read(THREE.write(folder / "three.ipynb"), 4).cells[1].source
    read = 'import harmonykit as hk\nhk.workbook.ReadBox("04_voice_leading_distances")'
    cells = (IMPORT, 'ExercisePanel("harbour")', handed_out, read, "print('ready')")
    write_notebook(folder / "exercises.ipynb", *cells)
    bench = open_notebook(browser, lab, f"{folder.name}/exercises.ipynb")
    expect(bench.panels).to_have_count(3)
    yield bench
    bench.leave()


class Student:
    """A panel on the page, and its twin here to which the same is done."""

    def __init__(self, bench: Bench, panel: Locator, twin: ExercisePanel) -> None:
        self.bench, self.panel, self.twin = bench, panel, twin
        self.panel.scroll_into_view_if_needed()

    @property
    def answer(self) -> Locator:
        return self.panel.locator("[data-control=answer]")

    def agrees(self) -> None:
        expect(self.panel.locator(".hk-lead")).to_have_text(self.twin._now.lead)
        expect(self.panel.locator(".hk-facts")).to_have_text(self.twin.facts)
        wanted = [
            [spot.id, look.role, look.text, look.name if spot.press else ""]
            for spot in self.twin._scene(self.twin.state).spots
            if (look := self.twin._now.looks.get(spot.id)) is not None
        ]
        seen = {part[0]: part for part in self.panel.evaluate(SHOWN)}
        assert [seen[part[0]] for part in wanted] == wanted

    def button(self, name: str) -> None:
        self.panel.locator(f"[data-control={name}]").click()
        self.twin.set(name)
        self.agrees()

    def choose(self, name: str, value: str) -> None:
        self.panel.locator(f"[data-control={name}]").select_option(value)
        self.twin.set(name, value)
        self.agrees()

    def press(self, part: str) -> None:
        self.panel.locator(f'[data-part="{part}"]').click()
        self.twin.press(part)
        self.agrees()

    def type_and_enter(self, text: str) -> None:
        self.answer.focus()
        self.bench.page.keyboard.type(text)
        self.bench.page.keyboard.press("Enter")
        self.twin.set("answer", text)
        self.twin.set("check")
        self.agrees()


@pytest.fixture
def student(bench: Bench) -> Student:
    """The first panel before its first question, whatever was done there before, and a twin."""
    student = Student(bench, bench.panels.nth(0), ExercisePanel("harbour", folder=None))
    line = student.panel.locator("[data-control=share]")
    paste(student.panel, student.twin.line())
    student.agrees()
    expect(line).to_have_attribute("data-copies", student.twin.line())
    return student


def test_by_mouse_pressed_hinted_told_why_and_mended(student: Student) -> None:
    student.choose("only", "complete the scale")
    student.choose("way", "on the clock")
    student.press("pc-6")
    student.button("hint")
    student.button("check")
    expect(student.panel.locator(".hk-facts")).to_contain_text("Not yet. F♯ is not in")
    student.press("pc-6")
    for name in student.twin.asked.question.answer.split():
        student.press(f"pc-{'C Db D Eb E F F# G Ab A Bb B'.split().index(name)}")
    student.button("check")
    expect(student.panel.locator(".hk-facts")).to_contain_text("Right.")
    student.choose("way", "any way")
    student.choose("only", "choose the smoother path")
    student.press(f"way-{student.twin.asked.question.answer}")
    student.button("check")
    student.choose("only", "find the shape")
    for string, fret in enumerate(student.twin.asked.question.answer.split("-"), 1):
        student.press(f"string-{string}-fret-{fret}")
    student.button("check")
    expect(student.panel.locator(".hk-facts")).to_contain_text("Right.")
    student.bench.healthy()


def test_by_keyboard_alone_up_a_level_and_on(student: Student) -> None:
    student.choose("only", "name the four dominants")
    student.choose("way", "in words")
    keyboard = student.bench.page.keyboard
    for _ in range(3):
        student.button("next")
        student.type_and_enter(student.twin.asked.question.answer)
    assert student.twin.state.standing("parents").level == 2
    for _ in range(3):  # Check, Hint, Next
        keyboard.press("Tab")
    keyboard.press("Enter")
    student.twin.set("next")
    student.agrees()
    expect(student.answer).to_have_value("")
    assert "four dominants" in student.twin._now.lead
    # The drawing is reached by Tab, and arrows go from note to note.
    student.choose("way", "on the clock")
    student.panel.locator("[data-control=hear]").focus()
    keyboard.press("Tab")
    keyboard.press("ArrowDown")
    part = student.bench.page.evaluate("document.activeElement.dataset.part ?? ''")
    keyboard.press("Enter")
    student.twin.press(part)
    student.agrees()
    expect(student.answer).to_have_value(student.twin.state.answer)
    student.bench.healthy()


def test_what_cannot_be_read_is_said_and_nothing_counts(student: Student) -> None:
    student.choose("way", "any way")
    student.choose("only", "give the distance")
    student.answer.fill("so far")
    student.answer.press("Enter")
    facts = student.panel.locator(".hk-facts")
    expect(facts).to_have_text(re.compile("'so far' is not a number .*nothing is counted"))
    expect(facts).to_have_class("hk-facts wrong")
    share = student.panel.locator("[data-control=share]")
    expect(share).to_have_attribute("data-copies", re.compile("answer=so far"))
    assert "counted" not in (share.get_attribute("data-copies") or "")


def test_by_ear_it_sounds(student: Student) -> None:
    student.choose("way", "any way")
    student.choose("only", "hear which note moved")
    student.panel.get_by_role("button", name="Hear it").click()
    expect(student.panel).to_have_attribute("data-played", re.compile(r"[\d.]+"))
    seconds = float(student.panel.get_attribute("data-played") or 0)
    assert seconds == pytest.approx(student.twin.hear().seconds, abs=0.01)
    student.panel.locator("audio").evaluate("(audio) => audio.pause()")
    student.type_and_enter(student.twin.asked.question.answer)
    expect(student.panel.locator(".hk-facts")).to_contain_text("Right.")


def faults(bench: Bench, panel: Locator) -> list[str]:
    panel.evaluate("(panel) => panel.id = 'looked-at'")
    found = Axe().run(bench.page, context="#looked-at").response["violations"]
    panel.evaluate("(panel) => panel.removeAttribute('id')")
    return [each["id"] for each in found if each["impact"] in ("serious", "critical")]


def test_no_serious_fault_for_those_who_cannot_see(student: Student) -> None:
    student.choose("way", "any way")
    for kind in ("complete the scale", "find the shape", "choose the smoother path"):
        student.choose("only", kind)
        assert faults(student.bench, student.panel) == [], kind
        nameless = student.panel.locator("[data-press][role=button]:not([aria-label])")
        assert nameless.count() == 0
    assert faults(student.bench, student.bench.panels.nth(1)) == []
    # The question is read out, and so is what is said of the answer.
    for name in (".hk-lead", ".hk-facts"):
        assert student.panel.locator(name).get_attribute("aria-live") == "polite"


def test_an_essay_is_ticked_as_read_by_keyboard_and_the_page_says_what_that_does(
    bench: Bench,
) -> None:
    panel, file = bench.panels.nth(2), bench.folder / READ_FILE
    panel.scroll_into_view_if_needed()
    tick, said = panel.get_by_label("I have read this essay"), panel.get_by_role("status")
    expect(tick).not_to_be_checked()
    tick.focus()
    bench.page.keyboard.press("Space")
    expect(said).to_contain_text("choose the smoother path")
    assert json.loads(file.read_text(encoding="utf-8"))["read"] == ["04"]
    assert faults(bench, panel) == []
    bench.page.keyboard.press("Space")
    expect(said).to_contain_text("Not ticked.")
    assert json.loads(file.read_text(encoding="utf-8"))["read"] == []
    # What cannot be kept is not shown as ticked.
    file.write_text("[]", encoding="utf-8")
    bench.page.keyboard.press("Space")
    expect(said).to_contain_text("ticks are not kept")
    expect(tick).not_to_be_checked()
    file.unlink()
    bench.healthy()


def test_a_set_is_worked_through_under_a_name(bench: Bench) -> None:
    panel, twin = bench.panels.nth(1), SetPanel(THREE, folder=None)
    desk = Student(bench, panel, twin)
    name = panel.locator("[data-control=student]")
    name.fill("desk 3")
    name.press("Tab")
    twin.set("student", "desk 3")
    desk.agrees()
    for number in range(3):
        desk.type_and_enter(twin.asked.question.answer)
        if number < 2:
            desk.button("next")
    expect(panel.locator(".hk-facts")).to_contain_text(
        "You have answered all questions: hand in your results"
    )
    assert (bench.folder / "three-results-desk-3.jsonl").is_file()
    bench.healthy()


@pytest.mark.parametrize("actions", [30, pytest.param(200, marks=pytest.mark.long)])
def test_random_actions_are_answered_and_leave_all_in_step(student: Student, actions: int) -> None:
    def answered() -> int:
        return int(student.panel.get_attribute("data-count") or 0)

    draw, before = random.Random(actions), answered()
    student.panel.evaluate(ACT, [draw.random() for _ in range(actions)])
    # What could not be done may still be said; the next thing that can be done takes its place.
    student.panel.locator("[data-control=way]").select_option("any way")
    # Answers come in order: once what is written last is in the line, nothing else is to come.
    line = student.panel.locator("[data-control=share]")
    student.answer.fill("all done")
    student.answer.press("Tab")
    expect(line).to_have_attribute("data-copies", re.compile("answer=all done"))
    expect(student.panel.locator(".hk-facts")).to_have_class("hk-facts")
    assert answered() - before > actions // 3
    student.twin = ExercisePanel.from_text(state_in(line.get_attribute("data-copies") or ""))
    student.agrees()
    student.bench.healthy()


def counted(file: Path, kind: str) -> int:
    """How many answers of a kind the file of progress has, below its first line."""
    lines = file.read_text(encoding="utf-8").splitlines()[1:] if file.exists() else []
    return [json.loads(line)["kind"] for line in lines].count(kind)


def test_another_kernel_finds_the_question_the_line_and_the_progress(
    browser: Browser, lab: Lab, student: Student
) -> None:
    folder = student.bench.folder
    before = counted(folder / "my-exercises.jsonl", "parents")
    student.choose("only", "name the four dominants")
    student.choose("way", "in words")
    for _ in range(2):
        student.type_and_enter(student.twin.asked.question.answer)
        student.button("next")
    student.choose("only", "spell it")
    student.answer.fill("half wri")
    student.answer.press("Tab")
    student.twin.set("answer", "half wri")
    student.agrees()
    cells = ('again = ExercisePanel("harbour")', "again", "print(again.draw_progress().alt)")
    write_notebook(folder / "again.ipynb", IMPORT, *cells, "print('ready')")
    bench: Any = open_notebook(browser, lab, f"{folder.name}/again.ipynb")
    found = bench.panels.nth(0)
    expect(found.locator("[data-control=answer]")).to_have_value("half wri")
    expect(found.locator(".hk-lead")).to_have_text(student.twin._now.lead)
    said = bench.page.locator(".jp-OutputArea-output pre", has_text="Progress by kind")
    expect(said).to_contain_text(f"name the four dominants: {before + 2} answers")
    bench.healthy()
    bench.leave()


def answer_in_turn(panel: Locator, twin: ExercisePanel, count: int) -> None:
    """Answer questions of a panel rightly, as its twin does."""
    for _ in range(count):
        line, right = panel.locator("[data-control=answer]"), twin.asked.question.answer
        line.fill(right)
        line.press("Enter")
        expect(panel.locator(".hk-facts")).to_contain_text("Right.")
        panel.locator("[data-control=next]").click()
        twin.answer(right)
        expect(panel.locator(".hk-lead")).to_have_text(twin._now.lead)


@pytest.mark.long
def test_the_page_itself_is_worked_through_and_survives_its_kernel(
    browser: Browser, lab: Lab, root: Path
) -> None:
    (lab.folder / "page").mkdir()
    page = nbformat.read(root / "notebooks" / "09_exercises.ipynb", 4)
    page.cells.append(nbformat.v4.new_code_cell("import os\n\nprint('ready', os.getpid())"))
    nbformat.write(page, lab.folder / "page" / "09_exercises.ipynb")
    bench = open_notebook(browser, lab, "page/09_exercises.ipynb")
    said = bench.page.locator(".jp-OutputArea-output pre", has_text="ready").inner_text()
    twin = ExercisePanel("harbour", folder=None, read=[])
    answer_in_turn(bench.panels.nth(0), twin, 4)
    bench.panels.nth(0).locator("[data-control=answer]").fill("half wri")
    bench.panels.nth(0).locator("[data-control=check]").focus()
    expect(bench.panels.nth(0).locator(".hk-facts")).to_contain_text("Your answer: half wri")
    bench.healthy()
    kept = lab.folder / "page" / "my-exercises-open.json"
    assert "half wri" in kept.read_text(encoding="utf-8")
    bench.leave()
    os.kill(int(said.split()[1]), signal.SIGKILL)
    again = open_notebook(browser, lab, "page/09_exercises.ipynb")
    line = again.panels.nth(0).locator("[data-control=answer]")
    expect(line).to_have_value("half wri")
    expect(again.panels.nth(0).locator(".hk-lead")).to_have_text(twin._now.lead)
    answer_in_turn(again.panels.nth(0), twin, 4)
    assert len(read_progress(lab.folder / "page" / "my-exercises.jsonl").answers) == 8
    again.leave()
