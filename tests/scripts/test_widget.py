"""What every view needs in a notebook: ids of its own, its keys, word from the kernel."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page

Load = Callable[[str], Page]
SCRIPT = "kit/widget.js"


def test_two_views_share_no_ids(load: Load) -> None:
    found = load(SCRIPT).evaluate("['hk', 'hk', 'hkr'].map(kit.ownIds)")
    assert found == ["hk1-", "hk2-", "hkr3-"]


def test_what_has_the_focus_keeps_its_keys(load: Load) -> None:
    page = load(SCRIPT)
    marked = (
        "() => { document.body.innerHTML = '<div><button>a</button></div><button>b</button>';"
        " kit.keepKeys(document.querySelector('div'));"
        " return [...document.querySelectorAll('button')].map((each) => { each.focus();"
        " return each.hasAttribute('data-lm-suppress-shortcuts'); }); }"
    )
    assert page.evaluate(marked) == [True, False]


def test_a_new_line_is_typed_although_others_keep_it_out(load: Load) -> None:
    """A listener that is put at the text later, and that forbids what is typed, is not reached."""
    page = load(SCRIPT)
    page.evaluate(
        "() => { const area = document.body.appendChild(document.createElement('textarea'));"
        " kit.keepLines(area); area.addEventListener('beforeinput', (e) => e.preventDefault()); }"
    )
    page.locator("textarea").press_sequentially("a")
    page.keyboard.press("Enter")
    assert page.locator("textarea").input_value() == "a\n"


def test_a_view_that_ends_hears_nothing_more(load: Load) -> None:
    found = load(SCRIPT).evaluate(
        "() => { const model = new Model({}); const said = [];"
        " const end = kit.hear(model, [['change:a', () => said.push('a')], ['msg', (m) => said.push(m)]]);"  # noqa: E501
        " model.set({ a: 1, b: 2 }); model.call('msg', 'm'); end(); model.set({ a: 3 });"
        " return [said, model.listeners.length]; }"
    )
    assert found == [["a", "m"], 0]
