"""The parts of the arranger's chart: which of them an arrow key reaches, and how large they are."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from playwright.sync_api import Browser, Page

from harmonykit.workbook.base.view import ReharmoniseView
from harmonykit.workbook.reharmonise import page as regions
from harmonykit.workbook.reharmonise.charts import Charts
from harmonykit.workbook.reharmonise.decisions import place_at
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Ways, find_best

Load = Callable[[str], Page]
PUT = """
([css, chart, rest]) => {
  const style = document.createElement("style");
  style.textContent = css;
  document.body.replaceChildren(style);
  const put = `<div class="hk-picture"><div data-region="chart">${chart}</div>${rest}</div>`;
  document.body.insertAdjacentHTML("beforeend", `<div class="hk-reharmonise">${put}</div>`);
}
"""
NAME = """
(each) => each.dataset.press
  ?? `${each.matches(".letter") ? each.dataset.for : "number"} ${each.dataset.from}`
"""
GO = """
([name, key]) => {
  const all = [...document.querySelectorAll("[data-press][role=button], .from")];
  const part = all.find((each) => (%s)(each) === name);
  kit.focusOn(part);
  kit.keyOn(new KeyboardEvent("keydown", { key }), part, () => {});
  return (%s)(document.activeElement);
}
""" % (NAME, NAME)  # noqa: UP031
SMALL = """
() => [...document.querySelectorAll(".hk-reharmonise :is(button, select, .hold)")]
  .filter((each) => each.checkVisibility())
  .map((each) => [each.outerHTML.slice(0, 90), each.getBoundingClientRect()])
  .filter(([, box]) => box.height < 43.5 || box.width < 43.5)
  .map(([text, box]) => `${text}: ${box.width} x ${box.height}`)
"""


@cache
def ways() -> Ways:
    state = ReharmoniseState(text="| C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 G7 | C6 |", best=2)
    return find_best(state, lambda *_: None)


def parts(beside: str) -> list[str]:
    found = ways()
    state = ReharmoniseState(text=found.state.text, best=2, beside=beside)
    way = found.chosen(state.chosen).arrangement
    menu = regions.place_html(place_at(way, "place-0-0"), way, state.decided, ())
    chart = regions.chart_html(found, state, Charts())
    rest = regions.direct_html(state) + menu + regions.table_html(found, state)
    return [str(ReharmoniseView._css), chart, rest]


def test_arrow_down_reaches_every_row_of_a_column_and_arrow_up_goes_back(load: Load) -> None:
    """Of two arrangements: the number, the letter, the chord, the other letter, the next line."""
    page = load("reharmonise/parts.js")
    page.set_viewport_size({"width": 900, "height": 900})
    page.evaluate(PUT, parts("written"))

    def gone(start: str, key: str, times: int) -> list[str]:
        found = [start]
        for _ in range(times):
            found.append(page.evaluate(GO, [found[-1], key]))
        return found

    down = gone("hold-0", "ArrowDown", 4)
    assert down[1:] == ["chosen 0", "place-0-0", "beside 0", "hold-4"]
    up = gone("hold-4", "ArrowUp", 4)
    assert up[1] == "beside 0" and up[-1] == "hold-0"
    along = gone("hold-0", "ArrowRight", 2)
    assert along[1:] == ["number 1", "hold-1"]


def test_each_target_is_44_pixels_under_a_finger(browser: Browser) -> None:
    """The size that the WCAG 2.2 asks for in criterion 2.5.5."""
    context = browser.new_context(
        viewport={"width": 360, "height": 780}, has_touch=True, is_mobile=True
    )
    page = context.new_page()
    page.set_content("<!doctype html><meta name='viewport' content='width=device-width'>")
    page.evaluate(PUT, parts("written"))
    assert page.evaluate("matchMedia('(pointer: coarse)').matches")
    assert page.evaluate(SMALL) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    context.close()
