"""Every panel in JupyterLab: by mouse, by keyboard, heard, handed on, and fit for screen readers.

What a panel says after each action is compared with a panel of the test's own, to which the same
was done in Python; what is musically right is the business of the panels' own tests.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from heard import loudness_played
from lab_in_browser import Bench, Lab, open_notebook, paste, write_notebook
from playwright.sync_api import Browser, Locator, expect

from harmonykit import workbook
from harmonykit.workbook.base.panel import Panel

# Each panel, the part that the mouse presses, and the key that leads on from there.
PANELS = {
    "ClockPanel": ('ClockPanel("C7", axes=True)', "pc-3", "ArrowDown"),
    "NeckPanel": ('NeckPanel("C6")', "string-2-fret-1", "ArrowRight"),
    "OneNotePanel": ('OneNotePanel("Adim7")', "pc-3", "ArrowLeft"),
    "ChordScalePanel": ('ChordScalePanel("C", "major")', "step-2", "ArrowRight"),
    "DistancePanel": ('DistancePanel("C6 Bdim7 G7 C")', "cell-4-3", "ArrowUp"),
    "CubePanel": ('CubePanel("Bdim7")', "corner-1000", "ArrowRight"),
    "CataloguePanel": ('CataloguePanel("4-27")', "class-4-25", "ArrowDown"),
}
CELLS = [source for source, _, _ in PANELS.values()]
IMPORT = "from harmonykit.workbook import *"
# Names are found when they are first asked for.
OFFERED = {name: getattr(workbook, name) for name in workbook.__all__}
LINKED = (
    'catalogue, clock, neck = CataloguePanel(), ClockPanel("C"), NeckPanel("C")',
    "link(catalogue, clock, neck)",
    "clock",
    "neck",
    "catalogue",
)
ANY_NUMBER = re.compile(r"[\d.]+")


@pytest.fixture(scope="module")
def bench(browser: Browser, lab: Lab) -> Iterator[Bench]:
    """One notebook with every panel, and below them those that are linked."""
    write_notebook(lab.folder / "panels.ipynb", IMPORT, *CELLS, *LINKED, "print('ready')")
    bench = open_notebook(browser, lab, "panels.ipynb")
    expect(bench.panels).to_have_count(len(PANELS) + 3)
    yield bench
    bench.leave()


class Hands:
    """A panel on the page, and its twin here to which the same is done."""

    def __init__(self, bench: Bench, name: str) -> None:
        self.bench, self.source = bench, PANELS[name][0]
        self.here: Panel[Any] = eval(self.source, OFFERED)
        self.panel: Locator = bench.panels.nth(list(PANELS).index(name))
        self.facts = self.panel.locator(".hk-facts")
        self.line = self.panel.locator("[data-control=share]")
        self.panel.scroll_into_view_if_needed()

    def agrees(self) -> None:
        expect(self.facts).to_have_text(self.here.trouble or self.here.facts)
        expect(self.line).to_have_attribute("data-copies", self.here.line())

    def begin_again(self) -> None:
        self.here = eval(self.source, OFFERED)
        # Controls may be made anew while it is pasted; the panel stays.
        paste(self.panel, self.here.line())
        self.agrees()

    def press(self, part: str) -> None:
        self.panel.locator(f'[data-part="{part}"]').click()
        self.here.press(part)
        self.agrees()

    def key(self, way: str) -> str:
        """Reach the drawing by Tab, go on by an arrow, press Enter; return what was pressed."""
        keyboard = self.bench.page.keyboard
        self.panel.locator(".hk-controls:not(.hk-foot) [data-control]").last.focus()
        keyboard.press("Tab")
        begun = self.focus()
        keyboard.press(way)
        assert begun and self.focus() not in ("", begun)
        keyboard.press("Enter")
        return self.focus()

    def focus(self) -> str:
        part: str = self.bench.page.evaluate("document.activeElement.dataset.part ?? ''")
        return part

    def hear(self) -> None:
        button = self.panel.get_by_role("button", name="Hear it")
        button.focus()
        self.bench.page.keyboard.press("Enter")
        wanted = self.here.hear().seconds
        expect(self.panel).to_have_attribute("data-sound", f"{wanted:g}")
        # It is set when the browser has begun to play.
        expect(self.panel).to_have_attribute("data-played", ANY_NUMBER)
        assert float(self.panel.get_attribute("data-played") or 0) == pytest.approx(
            wanted, abs=0.01
        )
        audio = self.panel.locator("audio")
        # As loud as all our files, however its highest tip stands to the rest.
        assert loudness_played(audio) == pytest.approx(-20, abs=0.2)
        audio.evaluate("(audio) => audio.pause()")


def use(hands: Hands, name: str) -> None:
    """Use a panel by mouse and by keyboard, see it change, and hear it."""
    _, part, way = PANELS[name]
    hands.begin_again()
    before = hands.panel.screenshot()
    hands.press(part)
    assert hands.panel.screenshot() != before
    pressed = hands.key(way)
    hands.here.press(pressed)
    hands.agrees()
    assert hands.focus() == pressed
    hands.hear()


@pytest.mark.parametrize("name", PANELS)
def test_by_mouse_by_keyboard_and_by_ear(bench: Bench, name: str) -> None:
    use(Hands(bench, name), name)
    bench.healthy()


@pytest.mark.parametrize("name", PANELS)
def test_no_serious_fault_for_those_who_cannot_see(bench: Bench, name: str) -> None:
    hands = Hands(bench, name)
    hands.panel.evaluate("(panel) => panel.id = 'looked-at'")
    found = Axe().run(bench.page, context="#looked-at").response["violations"]
    hands.panel.evaluate("(panel) => panel.removeAttribute('id')")
    serious = [each["id"] for each in found if each["impact"] in ("serious", "critical")]
    assert serious == []
    # The picture says what it is, its parts have names, and changes are read out.
    assert hands.panel.get_attribute("aria-label")
    assert hands.facts.get_attribute("aria-live") == "polite"
    nameless = hands.panel.locator("[data-press][role=button]:not([aria-label])")
    assert nameless.count() == 0


def test_what_cannot_be_is_said_and_changes_nothing(bench: Bench) -> None:
    hands = Hands(bench, "DistancePanel")
    hands.begin_again()
    chords = hands.panel.locator("[data-control=chords]")
    chords.fill("C H G")
    chords.press("Enter")
    expect(hands.facts).to_contain_text("H")
    expect(hands.facts).to_have_class("hk-facts wrong")
    expect(hands.line).to_have_attribute("data-copies", hands.here.line())
    hands.press("place-3")
    expect(hands.facts).to_have_class("hk-facts")
    bench.healthy()


def test_one_choice_moves_linked_panels(bench: Bench) -> None:
    clock, neck, catalogue = (bench.panels.nth(len(PANELS) + n) for n in range(3))
    catalogue.locator('[data-part="class-3-12"]').click()
    for panel, kind in ((clock, "clock"), (neck, "neck")):
        share = panel.locator("[data-control=share]")
        expect(share).to_have_attribute("data-copies", re.compile(f'"{kind} 1; notes=048"'))
    clock.locator('[data-part="pc-4"]').click()
    expect(catalogue.locator('[data-part="class-2-4"]')).to_have_attribute("aria-pressed", "true")
    bench.healthy()


ACT = """
async (panel, draws) => {
  for (const draw of draws) {
    const parts = [...panel.querySelectorAll("[data-press][role=button]")];
    const seen = parts.filter((part) => part.style.display !== "none");
    const quiet = "button:not([data-control=hear]), input[type=checkbox]";
    const others = [...panel.querySelectorAll(quiet)];
    const all = draw < 0.6 ? seen : others;
    const one = all[Math.floor(draw * 997) % all.length];
    one.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
    await new Promise((done) => requestAnimationFrame(done));
  }
}
"""


# Without a browser every panel is driven at random by its own tests.
DRIVEN = ("ChordScalePanel", "CataloguePanel")


@pytest.mark.parametrize(
    "name",
    [each if each in DRIVEN else pytest.param(each, marks=pytest.mark.long) for each in PANELS],
)
def test_thirty_random_actions_leave_all_in_step(bench: Bench, name: str) -> None:
    hands, draw = Hands(bench, name), random.Random(30)
    hands.panel.evaluate(ACT, [draw.random() for _ in range(30)])
    # What is pressed next is answered: the kernel is alive, and page and panel agree.
    hands.begin_again()
    hands.press(PANELS[name][1])
    bench.healthy()


@pytest.mark.long
@pytest.mark.parametrize("turn", range(20))
def test_twenty_of_twenty(browser: Browser, lab: Lab, turn: int) -> None:
    file = Path(f"turn-{turn}.ipynb")
    write_notebook(lab.folder / file, IMPORT, *CELLS, "print('ready')")
    bench = open_notebook(browser, lab, file.name)
    for name in PANELS:
        use(Hands(bench, name), name)
    bench.healthy()
    bench.leave()
