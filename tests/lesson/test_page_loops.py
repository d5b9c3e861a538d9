"""The page plays bars round and round: exactly in time, shown, by hand and by keyboard."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from page_in_browser import LISTEN, Opened, opened, until
from playwright.sync_api import Browser, Locator, expect

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page import write_page
from harmonykit.show.performance import Performance

# Two sections of two bars; at 240 a bar lasts a second, and two are counted in.
SECTIONS = """
| C6 | A7 |
\"\"\"

[[sections]]
name = "B"
changes = \"\"\"
| Dm7 G7 | C6 |
"""
BEAT, BAR, COUNT_IN = 0.25, 1.0, 2.0


@pytest.fixture(scope="module")
def written(
    tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]
) -> tuple[Path, Performance]:
    lesson = write_lesson(tmp_path_factory.mktemp("loops"))
    fast = lesson.read_text("utf-8").replace("tempo = 120", "tempo = 240")
    lesson.write_text(fast.replace("hand = 3", "hand = 3\nleast_seconds = 0.2"), encoding="utf-8")
    tune = lesson.with_name("fog.toml")
    one = "\n| C6 | A7 | Dm7 G7 | C6 |\n"
    tune.write_text(tune.read_text("utf-8").replace(one, SECTIONS), encoding="utf-8")
    loaded = load_lesson(lesson)
    page = lesson.with_name("page.html")
    page.write_text(write_page(loaded), encoding="utf-8")
    return page, loaded.played[0].performance


@pytest.fixture
def tab(browser: Browser, written: tuple[Path, Performance]) -> Iterator[Opened]:
    tab = opened(browser, written[0])
    tab.page.evaluate(LISTEN)
    yield tab
    tab.healthy()
    tab.page.context.close()


def sounds_of(performance: Performance, first: int, last: int) -> list[tuple[float, str, int]]:
    """Return what sounds in some bars, counted from 0: seconds from their start, kind, pitch."""
    starts = [start for _, start in performance.bars] + [performance.sections[-1][-1]]
    begin, end = starts[first], starts[last + 1]
    return [
        (event.onset - begin, event.kind, event.midi)
        for event in performance.events
        if begin - 1e-6 <= event.onset < end - 1e-6
    ]


def heard(tab: Opened, count: int) -> list[dict[str, Any]]:
    until(tab, f"window.played.length >= {count}")
    calls = tab.page.evaluate("window.played")
    return [
        {"kind": kind, "midi": midi, "at": at - calls[0][3], "end": at + length - calls[0][3]}
        for kind, midi, _, at, length in calls
    ]


def in_round(tab: Opened, choice: str) -> None:
    tab.page.get_by_label("Loop", exact=True).select_option(label=choice)


def status(tab: Opened) -> Locator:
    return tab.page.get_by_role("status")


@pytest.mark.parametrize("speed, rate", [("normal", 1.0), ("slow", 0.7)])
def test_a_section_goes_round_exactly_in_time(
    tab: Opened, written: tuple[Path, Performance], speed: str, rate: float
) -> None:
    in_round(tab, "B, bars 3 to 4")
    tab.page.get_by_label(speed).check()
    tab.page.get_by_role("button", name="Play", exact=True).click()
    once = sounds_of(written[1], 2, 3)
    rounds = 2
    found = heard(tab, 8 + rounds * len(once))
    tab.page.keyboard.press("Escape")
    assert [sound["kind"] for sound in found[:8]] == ["click"] * 8
    assert [sound["at"] for sound in found[:8]] == pytest.approx(
        [beat * BEAT / rate for beat in range(8)], abs=1e-5
    )
    for turn in range(rounds):
        start = (COUNT_IN + turn * 2 * BAR) / rate
        part = found[8 + turn * len(once) :][: len(once)]
        assert [(s["kind"], s["midi"]) for s in part] == [event[1:] for event in once]
        assert [s["at"] for s in part] == pytest.approx(
            [start + onset / rate for onset, _, _ in once], abs=1e-5
        )
        # What rings over the end is over where the next round begins.
        assert max(s["end"] for s in part) == pytest.approx(start + 2 * BAR / rate, abs=1e-4)


# When the classes of bars and chords change: which, and to what.
WATCH_CLASSES = """
window.changes = [];
new MutationObserver((all) => all.forEach(({ target }) => window.changes.push([
  target.classList[0],
  [...document.querySelectorAll("." + target.classList[0])].indexOf(target),
  [...target.classList].filter((name) => ["sounds", "comes"].includes(name)).join(),
]))).observe(document.querySelector(".chart"), {
  attributes: true, attributeFilter: ["class"], subtree: true,
});
true;
"""


def test_a_loops_first_bar_and_chord_are_shown_before_they_come_again(tab: Opened) -> None:
    in_round(tab, "bars of your own")
    tab.page.get_by_label("from bar", exact=True).select_option("2")
    tab.page.get_by_label("to", exact=True).select_option("3")
    tab.page.get_by_role("button", name="Play from bar 3", exact=True).click()
    expect(tab.page.locator(".bar.sounds .number")).to_contain_text("3")
    tab.page.evaluate(WATCH_CLASSES)
    # The last chord of bar 3 leads back to the first of bar 2.
    expect(tab.page.locator(".next.comes .chord")).to_have_text("A7")
    expect(tab.page.locator(".bar.sounds .number")).to_contain_text("2")
    tab.page.keyboard.press("Escape")
    first = tab.page.locator(".bar").first.locator(".cell").count()
    for kind, place in (("bar", 1), ("cell", first)):
        changes = [c[2] for c in tab.page.evaluate("window.changes") if c[:2] == [kind, place]]
        assert changes[0] == "comes" and "sounds" in changes[1:], changes


def test_what_comes_is_shown_a_beat_ahead(tab: Opened, written: tuple[Path, Performance]) -> None:
    performance = written[1]
    starts = [start for _, start in performance.steps]
    # Each step leads to the next, and is shown a beat before that sounds.
    tab.page.locator(".play").click()
    until(tab, "players[0].stretches.length > 0")
    for step in range(-1, len(starts) - 1):
        following, ready = tab.page.evaluate(f"players[0].after({step})")
        assert following == step + 1
        assert ready == pytest.approx(starts[step + 1] - BEAT, abs=1e-5)
    assert tab.page.evaluate(f"players[0].after({len(starts) - 1})[0]") == -1
    # In a loop the last leads to the first, and so do the clicks that count it in.
    in_round(tab, "B, bars 3 to 4")
    tab.page.keyboard.press("Escape")
    tab.page.locator(".play").click()
    until(tab, "players[0].stretches.length > 0")
    third, end = performance.bars[2][1], performance.sections[-1][-1]
    first = next(i for i, start in performance.steps if start >= third - 1e-9)
    counted = tab.page.evaluate("players[0].after(-1)")
    assert counted == [first, pytest.approx(performance.count_in_seconds - BEAT, abs=1e-5)]
    until(tab, "!players[0].stretch.counts")
    last = tab.page.evaluate(f"players[0].after({len(starts) - 1})")
    assert last == [first, pytest.approx(end - BEAT, abs=1e-5)]
    tab.page.keyboard.press("Escape")


def looped(tab: Opened) -> list[int]:
    """Return the places of the bars that go round, checked against the signs at their ends."""
    bars = "[...document.querySelectorAll('.bar')]"
    found = tab.page.evaluate(
        f"['looped', 'first-looped', 'last-looped'].map((name) => {bars}"
        ".map((bar, index) => (bar.classList.contains(name) ? index : -1))"
        ".filter((index) => index >= 0))"
    )
    assert found[1:] == ([found[0][:1], found[0][-1:]] if found[0] else [[], []])
    return list(found[0])


def test_bars_are_chosen_by_section_or_one_by_one_and_shown(tab: Opened) -> None:
    names = tab.page.locator("select.loop option").all_text_contents()
    assert names == [
        "off", "the whole tune", "A, bars 1 to 2", "B, bars 3 to 4", "bars of your own",
    ]  # fmt: skip
    first, last = (
        tab.page.get_by_label("from bar", exact=True),
        tab.page.get_by_label("to", exact=True),
    )
    expect(first).to_be_hidden()
    for choice, bars in (("the whole tune", [0, 1, 2, 3]), ("B, bars 3 to 4", [2, 3])):
        in_round(tab, choice)
        assert looped(tab) == bars
    expect(first).to_have_value("2")
    expect(status(tab)).to_have_text("Bars 3 to 4, round and round")
    # An end that would pass the other takes it along.
    last.select_option("1")
    assert looped(tab) == [0]
    first.select_option("4")
    assert looped(tab) == [3]
    first.select_option("1")
    last.select_option("2")
    expect(tab.page.locator("select.loop")).to_have_value("0-1")
    in_round(tab, "off")
    assert looped(tab) == []
    expect(first).to_be_hidden()


def test_a_and_b_set_the_ends_of_the_loop_by_keyboard(tab: Opened) -> None:
    tab.page.get_by_role("button", name="Play from bar 2", exact=True).focus()
    tab.page.keyboard.press("a")
    assert looped(tab) == [1, 2, 3]
    tab.page.get_by_role("button", name="Play from bar 3", exact=True).focus()
    tab.page.keyboard.press("B")
    assert looped(tab) == [1, 2]
    # With Ctrl they are the browser's own; in a list of choices letters find a choice.
    tab.page.get_by_role("button", name="Play from bar 1", exact=True).focus()
    tab.page.keyboard.press("Control+a")
    assert looped(tab) == [1, 2]
    tab.page.locator("select.loop").focus()
    tab.page.keyboard.press("t")
    assert looped(tab) == [0, 1, 2, 3]


def test_a_loop_is_set_and_left_while_it_plays_without_a_gap(
    tab: Opened, written: tuple[Path, Performance]
) -> None:
    tab.page.get_by_role("button", name="Play from bar 1", exact=True).click()
    expect(tab.page.locator(".bar.sounds .number")).to_contain_text("1")
    # Neither key changes what is played before the bar is over.
    tab.page.locator(".play").focus()
    tab.page.keyboard.press("a")
    tab.page.keyboard.press("b")
    assert looped(tab) == [0]
    bar = len(sounds_of(written[1], 0, 0))
    until(tab, f"window.played.length >= {2 * bar + 4}")
    in_round(tab, "off")
    until(tab, f"window.played.some(([kind, midi, , , ]) => midi === {d_of(written[1])})")
    tab.page.keyboard.press("Escape")
    clicks = [call[3] for call in tab.page.evaluate("window.played") if call[0] == "click"]
    begun = sorted({round(at - clicks[0], 3) for at in clicks})
    # A click a beat, whatever was changed meanwhile.
    assert begun == pytest.approx([BEAT * beat for beat in range(len(begun))], abs=2e-3)


def d_of(performance: Performance) -> int:
    """Return a pitch that bar 1 does not have, and bar 3 has: the top note of Dm7 as 2-2-1-3."""
    return 72


def test_click_and_bass_come_and_go_while_it_plays(
    tab: Opened, written: tuple[Path, Performance]
) -> None:
    tab.page.get_by_label("click").uncheck()
    tab.page.locator(".play").click()
    # What is counted in is always heard.
    until(tab, "window.played.length >= 9")
    kinds = [call[0] for call in tab.page.evaluate("window.played")]
    assert kinds[:9] == ["click"] * 8 + ["tone"]
    expect(tab.page.locator(".bar.sounds .number")).to_contain_text("1")
    tab.page.get_by_label("bass").check()
    until(tab, "window.played.some(([kind]) => kind === 'bass')")
    assert "click" not in [call[0] for call in tab.page.evaluate("window.played")][8:]
    tab.page.get_by_label("click").check()
    until(tab, "window.played.slice(8).some(([kind]) => kind === 'click')")
    tab.page.keyboard.press("Escape")
    # By hand: bar 1 begins with C6, and a bass an octave below the ukulele has its C as C3.
    low = [call for call in tab.page.evaluate("window.played") if call[0] == "bass"]
    assert low[0][1] < 60


def test_a_bar_outside_of_the_loop_ends_it(tab: Opened) -> None:
    in_round(tab, "B, bars 3 to 4")
    tab.page.get_by_role("button", name="Play from bar 2", exact=True).click()
    assert looped(tab) == []
    expect(tab.page.locator(".bar.sounds .number")).to_have_text("2")
    tab.page.keyboard.press("Escape")
    expect(status(tab)).to_be_empty()
