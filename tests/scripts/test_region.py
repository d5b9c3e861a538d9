"""Regions: put in anew as a whole; what a person has in them stays."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page

Load = Callable[[str], Page]
SCRIPT = "kit/region.js"
LINE = '<input type="text" data-set="tempo" value="{}">'
LONG = '<ul tabindex="0" style="height:20px;overflow:auto">{}</ul>'
ITEMS = "".join(f"<li>{n}</li>" for n in range(40))
BEGIN = """
(html) => {
  const place = document.body.appendChild(document.createElement("div"));
  window.back = kit.put(place, html);
  window.place = place;
}
"""


def begun(load: Load, html: str) -> Page:
    page = load(SCRIPT)
    page.evaluate(BEGIN, html)
    return page


def test_the_same_is_not_put_in_again(load: Load) -> None:
    page = begun(load, "<p>one</p>")
    same = "() => { const p = place.firstChild; return [kit.put(place, '<p>one</p>'), p === place.firstChild]; }"  # noqa: E501
    assert page.evaluate(same) == [None, True]
    assert page.evaluate("kit.put(place, '<p>one</p>') === undefined")
    assert page.evaluate("kit.put(place, '<p>two</p>') === null && place.textContent") == "two"


def test_what_is_put_in_may_be_made_of_what_is_sent(load: Load) -> None:
    page = begun(load, "")
    page.evaluate("kit.put(place, '<i id=\"@own@a\"></i>', (h) => h.replaceAll('@own@', 'k1-'))")
    assert page.evaluate("place.firstChild.id") == "k1-a"
    # What is compared is what was sent.
    assert page.evaluate("kit.put(place, '<i id=\"@own@a\"></i>') === undefined")


def test_the_focus_goes_back_to_the_same_control(load: Load) -> None:
    two = '<button data-do="a">A</button><button data-set="v" data-value="1">B</button>'
    page = begun(load, two)
    page.evaluate("place.lastChild.focus()")
    assert page.evaluate(f"kit.put(place, '<p></p>{two}')?.textContent") == "B"
    # What bears no name, or is no longer there, is not looked for.
    page.evaluate("place.lastChild.focus()")
    assert page.evaluate("kit.put(place, '<p></p>') === null")


def test_names_with_quotes_are_found_again(load: Load) -> None:
    page = begun(load, "")
    page.evaluate(
        "() => { const one = place.appendChild(document.createElement('button'));"
        " one.dataset.press = 'a\"b\\\\]'; }"
    )
    assert page.evaluate("place.querySelector(kit.sign(place.firstChild)) === place.firstChild")


def test_a_line_in_which_one_types_keeps_what_is_typed(load: Load) -> None:
    page = begun(load, LINE.format("120"))
    page.locator("input").fill("9")
    put = f"kit.put(place, `{LINE.format('126')}<b></b>`)?.value"
    # Told already, it is the kernel's.
    assert page.evaluate(put) == "126"
    page.locator("input").fill("9")
    page.evaluate("place.querySelector('input').dataset.dirty = '1'")
    assert page.evaluate(put.replace("<b>", "<i>")) == "9"
    assert page.evaluate("place.querySelector('input').dataset.dirty") == "1"


def test_scrolling_and_what_is_opened_stay(load: Load) -> None:
    closed = "<details><p>one</p></details>"
    page = begun(load, f"{LONG.format(ITEMS)}<details><p>x</p></details>{closed}")
    page.evaluate(
        "place.querySelector('ul').scrollTop = 120; place.querySelector('details').open = true"
    )
    page.evaluate(
        "(h) => kit.put(place, h)", f"{LONG.format(ITEMS)}<details><p>y</p></details>{closed}"
    )
    assert page.evaluate("place.querySelector('ul').scrollTop") == 120
    opened = "[...place.querySelectorAll('details')].map((each) => each.open)"
    assert page.evaluate(opened) == [True, False]
