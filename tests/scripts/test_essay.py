"""An essay without a kernel: it asks, judges, shows and goes on; only sound is asked for."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

from harmonykit.workbook.base.view import EssayView
from harmonykit.workbook.essay.page import page_of
from harmonykit.workbook.essay.text import read_essay

Load = Callable[[str], Page]
BEGIN = """
(values) => {
  window.model = new Model(values);
  window.end = kit.view.render({ model, el: document.body });
}
"""
DATA = page_of(read_essay("four_parents")).data


def begin(page: Page) -> Page:
    page.add_style_tag(content=EssayView._css)
    page.evaluate(BEGIN, {"title": DATA["title"], "essay": json.loads(json.dumps(DATA))})
    return page


@pytest.fixture
def essay(load: Load) -> Page:
    page = load("essay/essay.js")
    page.set_viewport_size({"width": 1100, "height": 760})
    return begin(page)


def section(page: Page, number: int) -> Locator:
    return page.locator("section").nth(number - 1)


def test_a_guess_on_the_clock_is_shown_beside_the_truth_with_the_reason_first(essay: Page) -> None:
    first = section(essay, 1)
    expect(essay.locator("[data-part=heading]").first).to_have_text("?")
    expect(first.locator(".hk-answer")).to_have_text("")
    essay.locator("[data-part=pc-9]").click()
    expect(essay.locator("[data-part=heading]").first).to_have_text("D7")
    # The guess in corners, the truth by its mark and word; a sign and a word, no colour alone.
    expect(essay.locator("[data-part=clock-guess]")).to_have_class("guess")
    expect(essay.locator("[data-part=clock-truth] text")).to_have_text("root")
    expect(first.locator(".hk-one", has_text="A").locator(".hk-sign")).to_have_text("you")
    expect(first.locator("h3")).to_have_text("Not yet. It is D.")
    told = first.locator(".hk-answer p").all_inner_texts()
    assert told[0].startswith("From D up lie") and told[1].startswith("From A")
    # Yours and the right one, to be heard.
    expect(first.locator(".hk-heard button")).to_have_text(["D7", "A7"])
    assert essay.evaluate("model.sent") == []


def test_by_keys_alone_to_the_end(essay: Page) -> None:
    """Tab to a choice, Enter, Enter again goes on; nothing else needs to be found."""
    first = section(essay, 1).locator(".hk-choice").first
    first.focus()
    for number in range(1, len(DATA["sections"]) + 1):
        place = DATA["sections"][number - 1]["right"]
        for _ in range(place):
            essay.keyboard.press("Tab")
        essay.keyboard.press("Enter")
        expect(section(essay, number).locator("h3")).to_contain_text("Right.")
        essay.keyboard.press("Enter")
    expect(essay.locator(".hk-end")).to_contain_text("four dominants")
    expect(essay.locator(".hk-next")).to_have_count(0)


def test_what_lies_beside_the_choices_answers_too(essay: Page) -> None:
    said = essay.locator(".hk-said")
    essay.locator("[data-part=pc-4]").click()
    expect(said).to_have_text("E: it is not one of the choices.")
    expect(section(essay, 1).locator(".hk-choice:not([disabled])")).to_have_count(4)
    section(essay, 1).get_by_role("button", name="Tell me").click()
    expect(section(essay, 1).locator("h3")).to_have_text("It is D.")
    expect(section(essay, 1).locator(".hk-guess")).to_have_count(0)
    essay.locator("[data-part=pc-4]").click()
    expect(said).to_contain_text("E. D7: D, F♯, A and C")


def test_the_figure_stays_in_view_and_shows_the_question_in_hand(essay: Page) -> None:
    for _ in range(3):
        essay.locator("[data-choice=tell]").click()
        essay.locator(".hk-next").click()
    assert essay.evaluate("scrollY") > 300
    box = essay.locator(".hk-pinned").bounding_box()
    head = section(essay, 4).locator("h2").bounding_box()
    assert box is not None and abs(box["y"]) <= 1 and box["height"] <= 0.52 * 760
    assert head is not None and head["y"] >= box["y"] + box["height"]
    expect(essay.locator("[data-part=heading]").first).to_have_text("G7")
    # One that was answered before is looked at again, and asked again.
    second = section(essay, 2)
    second.get_by_role("button", name="show on the figure").click()
    expect(essay.locator("[data-part=heading]").first).to_have_text("A♭7")
    second.get_by_role("button", name="ask me again").click()
    expect(essay.locator("[data-part=heading]").first).to_have_text("?")
    expect(second.locator(".hk-answer")).to_have_text("")


def test_what_is_printed_is_folded_until_it_is_answered(essay: Page) -> None:
    how = essay.get_by_role("button", name="how this is computed")
    expect(essay.locator(".hk-code")).to_be_hidden()
    how.click()
    expect(how).to_have_attribute("aria-expanded", "true")
    expect(essay.locator(".hk-code code")).to_contain_text('hk.Chord.parse("Adim7")')
    expect(essay.locator(".hk-prints")).to_have_count(0)
    essay.locator("[data-choice='2']").click()
    expect(essay.locator(".hk-prints")).to_have_text("D7")


def test_a_sound_is_asked_for_once_and_its_absence_is_said(essay: Page) -> None:
    essay.clock.install()
    chord = section(essay, 1).get_by_role("button", name="hear A°7")
    chord.click()
    place = int(chord.get_attribute("data-hear") or "")
    assert essay.evaluate("model.sent") == [{"hear": place}]
    assert DATA["sounds"][place] == [[69, 63, 66, 72]]
    essay.clock.fast_forward(7000)
    expect(essay.locator(".hk-said")).to_contain_text("The kernel does not answer")
    # What was answered stays without one.
    essay.locator("[data-part=pc-2]").first.click()
    expect(section(essay, 1).locator("h3")).to_have_text("Right. It is D.")


@pytest.mark.parametrize("width", [360, pytest.param(768, marks=pytest.mark.long)])
def test_a_narrow_page_shows_clock_or_neck_and_cuts_nothing_off(load: Load, width: int) -> None:
    page = load("essay/essay.js")
    page.set_viewport_size({"width": width, "height": 800})
    begin(page)
    expect(page.locator(".hk-clock")).to_be_visible()
    expect(page.locator(".hk-neck")).to_be_hidden()
    page.locator(".hk-sides [data-side=neck]").click()
    expect(page.locator(".hk-neck")).to_be_visible()
    expect(page.locator(".hk-clock")).to_be_hidden()
    page.locator("[data-choice='0']").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.locator("button:visible").evaluate_all(
        "all => all.filter((one) => !one.matches('.hk-chord')).map((one) => one.offsetHeight)"
    )
    assert min(small) >= 44


def test_no_serious_fault_for_those_who_cannot_see(essay: Page) -> None:
    essay.locator("[data-part=pc-9]").click()
    found = Axe().run(essay, context=".hk-essay").response["violations"]
    assert [f["id"] for f in found if f["impact"] in ("serious", "critical")] == []
    expect(section(essay, 1).locator(".hk-answer")).to_have_attribute("aria-live", "polite")
    essay.get_by_role("region", name="the figure").wait_for()
