"""What is typed: gathered, kept by the browser, told once, and never overwritten under a hand."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page

Load = Callable[[str], Page]
SCRIPT = "kit/typed.js"


def test_strokes_are_gathered_into_one(load: Load) -> None:
    page = load(SCRIPT)
    page.clock.install(time=0)
    page.clock.pause_at(1000)
    page.evaluate("() => { window.done = 0; window.g = new kit.Gathered(100, () => (done += 1)); }")
    for _ in range(5):
        page.evaluate("g.later()")
        page.clock.run_for(90)
    assert page.evaluate("[done, g.waits]") == [0, True]
    page.clock.run_for(20)
    assert page.evaluate("[done, g.waits]") == [1, False]
    page.evaluate("g.later(); g.now()")
    page.clock.run_for(500)
    assert page.evaluate("[done, g.waits]") == [2, False]
    page.evaluate("g.later(); g.cancel()")
    page.clock.run_for(500)
    assert page.evaluate("[done, g.waits]") == [2, False]


def test_a_text_is_kept_under_its_name(load: Load) -> None:
    page = load(SCRIPT)
    page.evaluate("new kit.Kept('a').put('one'); new kit.Kept('b').put('')")
    assert page.evaluate("['a', 'b', 'c'].map((n) => new kit.Kept(n).text)") == ["one", "", None]
    page.evaluate("new kit.Kept('a').forget()")
    assert page.evaluate("new kit.Kept('a').text") is None


def test_without_a_name_nothing_is_kept(load: Load) -> None:
    page = load(SCRIPT)
    page.evaluate("new kit.Kept('').put('one')")
    assert page.evaluate("[new kit.Kept('').text, localStorage.length]") == [None, 0]


def test_a_browser_that_keeps_nothing_does_no_harm(load: Load) -> None:
    page = load(SCRIPT)
    page.evaluate(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } }); 1"
    )
    page.evaluate("(() => { const k = new kit.Kept('a'); k.put('x'); k.forget(); })()")
    assert page.evaluate("new kit.Kept('a').text") is None


FIELD = """
() => {
  window.told = [];
  window.field = document.body.appendChild(document.createElement("input"));
  document.body.append(document.createElement("button"));
  kit.tellOnce(field, () => told.push(field.value), () => told.push("enter"));
}
"""


def test_what_was_typed_is_told_once(load: Load) -> None:
    """Enter tells it, and leaving the line afterwards does not tell it again."""
    page = load(SCRIPT)
    page.evaluate(FIELD)
    page.locator("input").press_sequentially("ab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("told") == ["ab", "enter"]
    page.locator("input").press("End")
    page.keyboard.type("c")
    page.keyboard.press("Tab")
    assert page.evaluate("told") == ["ab", "enter", "abc"]


def test_while_someone_types_the_line_is_theirs(load: Load) -> None:
    page = load(SCRIPT)
    page.evaluate(FIELD)
    page.locator("input").press_sequentially("mine")
    page.evaluate("kit.showValue(field, 'theirs')")
    assert page.evaluate("field.value") == "mine"
    page.keyboard.press("Tab")
    assert page.evaluate("field.value") == "theirs"
    page.evaluate("kit.showValue(field, 'later')")
    assert page.evaluate("field.value") == "later"
