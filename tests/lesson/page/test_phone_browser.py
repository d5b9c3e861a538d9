"""A lesson's page on a telephone: bars two by two, places that a finger finds, what is folded.

Target sizes: WCAG 2.2, success criteria 2.5.5 (44 by 44 CSS pixels) and 2.5.8 (24 by 24, links and
buttons in a line of text excepted).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page

# In how many lines the number of a bar stands beside what is said over a narrow one, as in a narrow
# window with a mouse.
LINES = """
() => {
  const number = document.querySelector(".number");
  number.innerHTML = '<button class="from">8</button><span>·</span><button class="from">32</button>'
    + '<b class="after">end, last time</b>';
  number.style.cssText = "width: 100px; flex-wrap: nowrap";
  for (const one of number.querySelectorAll(".from")) one.style.minWidth = 0;
  return [...number.querySelectorAll(".from")].map((one) => {
    const text = document.createRange();
    text.selectNodeContents(one);
    return new Set([...text.getClientRects()].map(({ top }) => Math.round(top))).size;
  });
}
"""
# How high the line of a bar's number is without a sign and with one.
HIGH = """
() => {
  const number = document.querySelector(".number");
  const high = () => number.getBoundingClientRect().height;
  number.style.cssText = "width: 300px; flex-wrap: nowrap";
  number.innerHTML = "8<b class='after'>To coda</b>";
  const plain = high();
  const sign = ' <svg class="jump" aria-hidden="true"><use href="#sign-coda"/></svg>';
  number.querySelector(".after").innerHTML += sign;
  return high() - plain;
}
"""
PHONE = {"width": 360, "height": 740}
# What of a bar goes beyond it, and what of two chords stands over each other.
BEYOND = """
[...document.querySelectorAll(".bar")].flatMap((bar) => {
  const edge = bar.getBoundingClientRect();
  return [...bar.querySelectorAll(".chord, .digits, .box, .sung i, .number > *")]
    .filter((one) => one.getClientRects().length)
    .map((one) => {
      const text = document.createRange();
      text.selectNodeContents(one);
      return [one, (one.matches(".box") ? one : text).getBoundingClientRect()];
    })
    .filter(([, box]) => box.width && (box.right > edge.right + 0.5 || box.left < edge.left - 12))
    .map(([one]) => `${bar.textContent.trim().slice(0, 12)}: ${one.textContent}`);
})
"""
SIZES = """
(selector) => [...document.querySelectorAll(selector)]
  .filter((one) => one.checkVisibility())
  .map((one) => one.getBoundingClientRect())
  .map(({ width, height }) => [width, height])
"""
ROWS = """
() => [...document.querySelectorAll(".chart")].map((chart) =>
  Object.values(Object.groupBy(chart.querySelectorAll(".bar"), (bar) => bar.offsetTop))
    .map((bars) => bars.length))
"""


@pytest.fixture
def phone(browser: Browser, root: Path, tmp_path: Path) -> Iterator[Page]:
    path = tmp_path / "page.html"
    lesson = load_lesson(root / "data" / "lessons" / "stiff_dominant.md")
    path.write_text(write_page(lesson), encoding="utf-8")
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.goto(path.as_uri())
    page.evaluate("document.fonts.ready.then(() => true)")
    yield page
    context.close()


def test_a_telephone_shows_bars_two_by_two_and_long_tables_folded(phone: Page) -> None:
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    assert phone.evaluate(BEYOND) == []
    rows = phone.evaluate(ROWS)
    assert rows and all(set(row) <= {1, 2} for row in rows)
    assert all(row.count(2) >= len(row) / 2 for row in rows)
    # No box stands twice in a chart; its frets stand, and sound, wherever it is played.
    level = phone.locator(".level").first
    shown = level.locator(".cell:visible:not(.again) .box:visible use")
    ids = shown.evaluate_all("(all) => all.map((one) => one.getAttribute('href'))")
    assert len(ids) == level.locator(".cell .box:visible").count() > 0
    expect(level.locator(".cell .digits:visible")).to_have_count(level.locator(".cell").count())
    # Numbers of bars, frets and what is set: 44 pixels; what stands in a line of text: 24.
    for each in (".from", ".digits", "button.play", "summary", "label", ".hear.sound", ".unfold"):
        assert all(min(size) >= 44 or each == "label" for size in phone.evaluate(SIZES, each))
    assert all(min(size) >= 24 for size in phone.evaluate(SIZES, "button, select, label, summary"))
    # The sections are listed, and found.
    name = phone.locator(".contents a").last.inner_text()
    phone.locator(".contents a").last.tap()
    expect(phone.get_by_role("heading", name=name, exact=True)).to_be_in_viewport()
    # What is folded is shown by a press, and on paper.
    folded, more = phone.locator(".folded"), phone.locator(".unfold")
    before, count = folded.count(), more.count()
    assert before and count and not folded.first.is_visible()
    phone.emulate_media(media="print")
    expect(folded.first).to_be_visible()
    phone.emulate_media(media="screen")
    more.first.tap()
    expect(more).to_have_count(count - 1)
    assert folded.count() < before
    # No number is broken, as beside the sign of an ending.
    assert phone.evaluate(LINES) == [1, 1]


def test_what_is_played_is_seen_though_the_ways_to_practise_were_open(phone: Page) -> None:
    level = phone.locator(".level").nth(1)
    ways, bar = level.locator(".practise"), level.locator(".bar").nth(6)
    ways.locator("summary").tap()
    expect(ways.locator(".left")).to_be_visible()
    bar.locator(".from").tap()
    expect(level.locator(".play")).to_have_text("Stop")
    expect(ways.locator(".left")).to_be_hidden()
    covered = level.locator(".player").evaluate("(one) => one.getBoundingClientRect().bottom")
    assert covered < PHONE["height"] * 0.6
    expect(bar).to_be_in_viewport()
    # No line of the chart, that lies under it, is seen beside it.
    edges = "(one) => [one.getBoundingClientRect().left, one.getBoundingClientRect().right]"
    left, right = level.locator(".player").evaluate(edges)
    lines = [level.locator(".bar").nth(n).evaluate(edges) for n in (0, 1)]
    assert left <= lines[0][0] - 2 and right >= lines[1][1] + 2
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    # It is opened again by who wants it.
    ways.locator("summary").tap()
    expect(ways.locator(".left")).to_be_visible()
    level.locator(".play").tap()


def test_a_sign_leaves_its_bar_where_the_others_stand(phone: Page) -> None:
    assert phone.evaluate(HIGH) == 0
