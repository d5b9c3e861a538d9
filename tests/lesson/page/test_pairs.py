"""The page shows the changes that the sheet shows, and two bars to practise, which it plays."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from page_in_browser import LISTEN, Opened, opened, until
from playwright.sync_api import Browser, expect

from harmonykit.arrange.written import printed_numbers
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import handout_data
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Lesson


@pytest.fixture(scope="module")
def small(
    tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]
) -> tuple[Lesson, Path]:
    path = write_lesson(tmp_path_factory.mktemp("pairs"))
    lesson = load_lesson(path)
    page = path.with_name("page.html")
    page.write_text(write_page(lesson), encoding="utf-8")
    return lesson, page


def changes_of(text: str) -> list[tuple[list[str], list[tuple[str, str]]]]:
    """Return each pair of the page: the frets of its two shapes, and its table of fingers."""
    found = []
    for pair in re.split(r'<div class="pair"', text)[1:]:
        shapes, _, table = pair.partition("<dl>")
        frets = re.findall(r'<div class="held" data-frets="([^"]+)"', shapes)
        rows = re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", table.partition("</dl>")[0], re.S)
        found.append((frets, [(verb, html.unescape(said)) for verb, said in rows]))
    return found


def test_pairs_are_those_of_the_sheet_and_of_the_tune(small: tuple[Lesson, Path]) -> None:
    """Shapes that follow one another in the bars that are named, with the words of the sheet."""
    lesson, page = small
    way = lesson.played[0].arrangement
    pairs = changes_of(page.read_text("utf-8"))
    (level,) = handout_data(lesson)["lessons"][0]["levels"]
    assert len(pairs) == len(level["changes"]) == 2
    numbers = [number for number, _ in printed_numbers(way)]
    steps = [step for step in way.steps if step.voicing is not None]
    for (frets, rows), told in zip(pairs, level["changes"], strict=True):
        said = [row for row in rows if row[0] != "easier"]
        # On paper no line ends within "fret 2".
        paper = [(verb, text.replace("\N{NO-BREAK SPACE}", " ")) for verb, text in told["lines"]]
        assert said == paper
        assert [(verb, re.sub("<.*?>", "", text)) for verb, text in rows if verb == "easier"] == [
            tuple(line) for line in told["easier"]
        ]
        there = {
            str(numbers[after.bar])
            for before, after in zip(steps, steps[1:], strict=False)
            if before.voicing and after.voicing
            and [before.voicing.digits, after.voicing.digits] == frets
        }  # fmt: skip
        assert set(said[0][1].split(", ")) == there


def test_two_bars_are_shown_with_their_chords_between_repeats(small: tuple[Lesson, Path]) -> None:
    """Of Gm6 | Bb7 | Eb6 D7 | Gm6 with what the level adds, beat by beat."""
    lesson, page = small
    way = lesson.played[0].arrangement
    found = re.search(r'data-loop="(\d)-(\d)" hidden>.*?Loop bars (\d) and (\d)<',
                      page.read_text("utf-8"), re.S)  # fmt: skip
    assert found
    first, last, said, then = map(int, found.groups())
    assert (last, said, then) == (first + 1, first + 1, first + 2)
    shown = page.read_text("utf-8").partition('class="loop-bars"')[2].partition("</p>")[0]
    bars = [
        [name or None for name in re.findall(r'<b class="chord">(.*?)</b>|<i>/</i>', bar)]
        for bar in shown.split('<span class="loop-bar">')[1:]
    ]
    for bar, beats in zip((first, last), bars, strict=True):
        onset = way.tune.playing[bar].onset
        wanted = {int(s.onset - onset): s.chord.unicode for s in way.bars()[bar] if s.chord}
        assert len(beats) == 4
        assert {beat: name for beat, name in enumerate(beats) if name} == wanted


@pytest.fixture
def tab(browser: Browser, small: tuple[Lesson, Path]) -> Iterator[Opened]:
    tab = opened(browser, small[1], 360)
    tab.page.evaluate(LISTEN)
    yield tab
    tab.healthy()
    tab.leave()


def test_two_bars_are_looped_by_one_press(tab: Opened, small: tuple[Lesson, Path]) -> None:
    """By the keyboard too; nothing is wider than a phone."""
    button = tab.page.locator(".loop-now")
    button.focus()
    tab.page.keyboard.press("Enter")
    until(tab, "window.played.length > 8")
    said = button.inner_text().removeprefix("Loop bars ")
    assert tab.page.locator(".round").inner_text() == f"Bars {said}, looped"
    assert tab.page.locator(".bar.looped").count() == 2
    tab.page.keyboard.press("Escape")
    assert tab.page.evaluate("document.documentElement.scrollWidth") <= 360


def test_a_loop_from_below_the_chart_comes_into_view_as_it_is_counted_in(tab: Opened) -> None:
    tab.stand_still()
    page, first = tab.page, tab.page.locator(".bar.first-looped")
    page.set_viewport_size({"width": 360, "height": 640})
    page.locator(".loop-now").evaluate("(one) => one.scrollIntoView({ block: 'start' })")
    expect(page.locator(".bar").first).not_to_be_in_viewport()
    page.locator(".loop-now").click()
    expect(first).to_be_in_viewport()
    # Below what sounds now, which stands over the page; nothing has sounded yet but clicks.
    until(
        tab,
        "document.querySelector('.first-looped').getBoundingClientRect().top >="
        " document.querySelector('.player').getBoundingClientRect().bottom - 1",
    )
    assert not page.locator(".bar.sounds").count()
    page.keyboard.press("Escape")


def test_a_shape_of_a_pair_is_heard(tab: Opened, small: tuple[Lesson, Path]) -> None:
    held = tab.page.locator(".held").first
    frets = held.get_attribute("data-frets")
    assert frets
    strings = small[0].front.instrument.midi
    held.locator(".box").click()
    until(tab, f"window.played.length >= {len(strings)}")
    heard = tab.page.evaluate("window.played.map(([, midi]) => midi)")
    wanted = [s + int(f) for s, f in zip(strings, frets.split("-"), strict=True) if f != "x"]
    assert sorted(heard[: len(wanted)]) == sorted(wanted)
    named = held.locator("svg").get_attribute("aria-label")
    assert named and frets in named
