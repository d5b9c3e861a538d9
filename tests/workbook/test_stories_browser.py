"""Three people and one first page: each follows a link from ``00_start_here``, and gets done there.

What each page does in detail is tried in the tests of its own; here it is the shipped notebooks, as
they are copied for a user, found from the first page alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import music21
import pytest
from lab_in_browser import OPENED, Lab, bring_up
from playwright.sync_api import Browser, Locator, Page, expect

from harmonykit.paths import find_data
from harmonykit.practice.progress import read_progress
from harmonykit.score.files import read_tune, write_tune
from harmonykit.workbook.launch import copy_notebooks

pytestmark = pytest.mark.long
MUSIC21 = str.maketrans("♭♯", "-#")


class Visitor:
    """Somebody who opens the first page, with all that the browser complained of."""

    def __init__(self, browser: Browser, lab: Lab, folder: Path) -> None:
        self.page: Page = browser.new_context(viewport={"width": 1400, "height": 1400}).new_page()
        self.folder = folder
        self.complaints: list[str] = []
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        copy_notebooks(folder)
        name = f"{folder.relative_to(lab.folder)}/00_start_here.ipynb"
        bring_up(self.page, lab, self.complaints)
        self.page.evaluate(OPENED, name)
        expect(self.open.locator("h1")).to_contain_text("Start here")

    @property
    def open(self) -> Locator:
        """The notebook in front."""
        return self.page.locator(".jp-NotebookPanel:not(.lm-mod-hidden)")

    def follow(self, name: str) -> None:
        """Press a link of the first page, and run the notebook that opens."""
        title = self.open.locator("h1").first.inner_text()
        self.open.get_by_role("link", name=name, exact=True).first.click()
        expect(self.open.locator("h1").first).not_to_have_text(title)
        expect(self.page.locator("#jp-main-statusbar")).to_contain_text("Idle")
        self.run_all()

    def run_all(self) -> None:
        """Run the notebook in front to its end, without an error."""
        self.page.get_by_role("menuitem", name="Run", exact=True).click()
        self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        last = self.open.locator(".jp-CodeCell .jp-InputPrompt").last
        expect(last).not_to_have_text("[*]:")
        expect(self.page.locator("#jp-main-statusbar")).to_contain_text("Idle")
        wrong = self.open.locator(".jp-OutputArea-output[data-mime-type*='error']")
        expect(wrong).to_have_count(0)


@pytest.fixture
def visitor(browser: Browser, lab: Lab, request: pytest.FixtureRequest) -> Iterator[Visitor]:
    visitor = Visitor(browser, lab, lab.folder / str(request.node.name))
    yield visitor
    visitor.page.context.close()
    assert visitor.complaints == []


def test_the_teacher_drafts_checks_and_builds(visitor: Visitor) -> None:
    visitor.follow("06_write_the_lesson")
    panel = visitor.open.locator(".hk-writing")
    text = panel.locator("textarea")
    expect(panel).to_have_count(1)
    wrong, proved = (panel.locator(f".hk-statements li.{kind}") for kind in ("wrong", "proved"))
    expect(proved.first).to_be_visible()
    count = proved.count()
    text.evaluate(
        "(area) => { const at = area.value.indexOf('## By numbers');"
        " area.focus(); area.setSelectionRange(at, at); }"
    )
    visitor.page.keyboard.type('{{ same_notes("C6", "Am") }}\n\n')
    # C6 is C E G A, A minor A C E (by hand): a G is too many.
    expect(wrong).to_contain_text("do not have the same notes")
    text.evaluate(
        "(area) => { const at = area.value.indexOf('\"Am\")') + 3;"
        " area.focus(); area.setSelectionRange(at, at); }"
    )
    visitor.page.keyboard.type("7")
    expect(wrong).to_have_count(0)
    expect(proved).to_have_count(count + 1)
    panel.locator("[data-control=build]").click()
    expect(panel.locator("[data-open='page.html']")).to_be_visible()
    (script,) = visitor.folder.glob("*/script.md")
    assert "C6 and Am7 have the same notes." in script.read_text(encoding="utf-8")
    assert {"handout.pdf", "page.html", "manifest.json"} <= {
        p.name for p in script.parent.iterdir()
    }


def test_the_student_works_and_sees_progress(visitor: Visitor) -> None:
    visitor.follow("09_exercises")
    panel = visitor.open.locator(".harmonykit-panel").first
    panel.scroll_into_view_if_needed()
    answer = panel.locator("[data-control=answer]")
    panel.locator("[data-control=only]").select_option("name the four dominants")
    panel.locator("[data-control=way]").select_option("in words")
    lead, facts = panel.locator(".hk-lead"), panel.locator(".hk-facts")
    typed = []
    # A note of a diminished seventh is the root of no parent; the note below it is (by hand).
    for steps, said in ((0, "Not yet."), (-1, "Right.")):
        expect(lead).to_contain_text(re.compile("^Lower ([A-G][♭♯]?) of"))
        start = lead.inner_text().split()[1].translate(MUSIC21)
        root = music21.pitch.Pitch(start).transpose(steps)
        typed.append(f"{root.name.replace('-', 'b')}7")
        panel.locator("[data-control=hint]").click()
        answer.fill(typed[-1])
        panel.locator("[data-control=check]").click()
        expect(facts).to_contain_text(said)
        panel.locator("[data-control=next]").click()
        expect(answer).to_have_value("")
    visitor.run_all()
    plots = visitor.open.locator(".jp-RenderedSVG img")
    drawn = plots.evaluate_all("(all) => all.map((one) => decodeURIComponent(one.src))")
    assert any("name the four dominants: 2 answers, level 1, 50 % right" in plot for plot in drawn)
    # The page and the file that it keeps tell the same story.
    found = read_progress(visitor.folder / "my-exercises.jsonl").answers
    assert [(each.kind, each.answer) for each in found] == [("parents", text) for text in typed]
    assert [(each.score, each.hints) for each in found] == [(0, 1), (1, 1)]


def test_the_arranger_takes_a_lead_sheet_to_a_score(visitor: Visitor) -> None:
    sheet = visitor.folder / "waltz.musicxml"
    write_tune(read_tune(find_data("tunes", "slack_water_waltz")), sheet)
    visitor.follow("05_reharmonise_a_tune")
    panel = visitor.open.locator(".hk-reharmonise")
    panel.scroll_into_view_if_needed()
    panel.locator("[data-typed=path]").fill("waltz.musicxml")
    panel.locator("[data-typed=path]").press("Enter")
    expect(panel.locator(".hk-said")).to_contain_text("Slack Water Waltz")
    expect(panel.locator("tr[data-press]").first).to_be_visible()
    panel.locator('table [data-press="row-best-1"]').first.click()
    panel.get_by_role("button", name="Score (MusicXML)", exact=True).click()
    expect(panel.locator(".hk-written")).to_contain_text("musicxml")
    (score,) = (visitor.folder / "reharmonised").glob("*.musicxml")
    symbols = music21.converter.parse(score).recurse().getElementsByClass("ChordSymbol")
    roots = [each.root().name.replace("-", "♭").replace("#", "♯") for each in symbols]
    shown = panel.locator('[data-way="chosen"] .cell .chord').all_inner_texts()
    joined = [name for n, name in enumerate(shown) if n == 0 or name != shown[n - 1]]
    assert [name[: len(root)] for name, root in zip(joined, roots, strict=True)] == roots
