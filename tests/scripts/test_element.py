"""Elements: made, named, filled, pressed, found."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page

Load = Callable[[str], Page]
SCRIPT = "kit/element.js"


def test_an_element_has_its_attributes_and_what_is_inside(load: Load) -> None:
    html = load(SCRIPT).evaluate(
        "() => { const { element } = kit;"
        " return element('p', { class: 'a', title: '\"<' }, 'x < ', element('b', {}, 'y'), '')"
        ".outerHTML; }"
    )
    assert html == '<p class="a" title="&quot;&lt;">x &lt; <b>y</b></p>'


def test_empty_text_leaves_an_element_empty(load: Load) -> None:
    """A place is hidden by `:empty`: it must hold no text, not even an empty one."""
    assert load(SCRIPT).evaluate("kit.element('p', {}, '').childNodes.length") == 0


def test_a_button_does_what_it_is_for_and_sends_no_form(load: Load) -> None:
    found = load(SCRIPT).evaluate(
        "() => { let pressed = 0; const made = kit.button('Go', () => (pressed += 1), { id: 'g' });"
        " made.click(); made.click(); return [pressed, made.outerHTML]; }"
    )
    assert found == [2, '<button type="button" id="g">Go</button>']


def test_the_same_words_are_not_put_in_again(load: Load) -> None:
    """A screen reader reads out what is put in."""
    changes = load(SCRIPT).evaluate(
        "async () => { const place = kit.element('p', {}, 'one'); let changes = 0;"
        " const watch = new MutationObserver((all) => (changes += all.length));"
        " watch.observe(place, { childList: true, characterData: true, subtree: true });"
        " kit.say(place, 'one'); await Promise.resolve(); const none = changes;"
        " kit.say(place, 'two'); await Promise.resolve();"
        " return [none, changes > 0, place.textContent]; }"
    )
    assert changes == [0, True, "two"]


def test_what_was_clicked_is_found_from_what_is_inside_it(load: Load) -> None:
    found = load(SCRIPT).evaluate(
        "() => { const { element, at, find, findAll } = kit; const root = element('div');"
        " root.innerHTML = '<p data-press=\"a\"><b>x</b></p><p>y</p>'; const seen = [];"
        " root.addEventListener('click', (e) => seen.push(at(e, '[data-press]')?.dataset.press ?? ''));"  # noqa: E501
        " find(root, 'b').click(); findAll(root, 'p')[1].click(); return seen; }"
    )
    assert found == ["a", ""]
