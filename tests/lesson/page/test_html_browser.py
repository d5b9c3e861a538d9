"""The page in a real browser: it plays, it follows its content policy, it fits a phone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest
from page_in_browser import LEAD, LISTEN, STEP, Opened, agrees, opened, until
from playwright.sync_api import Browser, expect

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Lesson

WIDTHS = (360, 768, 1440)


@pytest.fixture(scope="module")
def shipped(root: Path) -> Lesson:
    return load_lesson(root / "data" / "lessons" / "stiff_dominant.md")


@pytest.fixture(scope="module")
def file(shipped: Lesson, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "page.html"
    path.write_text(write_page(shipped), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def necks(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of a lesson with figures of the whole neck."""
    path = tmp_path_factory.mktemp("necks") / "page.html"
    lesson = load_lesson(root / "data" / "lessons" / "scale_of_chords.md")
    path.write_text(write_page(lesson), encoding="utf-8")
    return path


@pytest.fixture
def tab(browser: Browser, file: Path) -> Iterator[Opened]:
    tab = opened(browser, file)
    yield tab
    tab.healthy()
    tab.leave()


OVERFLOWING = """
[...document.querySelectorAll("body *")]
  .filter((each) => !each.closest(".scroll, .wide .frame, .store"))
  .filter((each) => each.getBoundingClientRect().right > innerWidth + 0.5)
  .map((each) => each.outerHTML.slice(0, 80))
"""


@pytest.mark.parametrize("scheme, paper", [("light", (255, 255, 255)), ("dark", (17, 24, 32))])
def test_nothing_overflows_nothing_fails(
    browser: Browser, file: Path, scheme: str, paper: tuple[int, int, int]
) -> None:
    tab = opened(browser, file, WIDTHS[0], scheme)
    tab.page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
    for width in WIDTHS:
        tab.page.set_viewport_size({"width": width, "height": 900})
        assert tab.page.evaluate("document.documentElement.scrollWidth") <= width
        assert tab.page.evaluate(OVERFLOWING) == [], width
    colour = tab.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert colour == f"rgb{paper}"
    # A font that cannot be read would be refused.
    loaded = "Promise.all([...document.fonts].map((font) => font.load())).then((all) => all.length)"
    assert tab.page.evaluate(loaded) == 5
    tab.healthy()
    tab.leave()


def test_the_neck_scrolls_in_its_own_frame_on_a_phone(browser: Browser, necks: Path) -> None:
    tab = opened(browser, necks, 360)
    frame = tab.page.locator(".wide .frame").first
    assert frame.evaluate("(f) => f.scrollWidth > f.clientWidth + 100")
    # It can be reached and moved by the keyboard.
    frame.focus()
    tab.page.keyboard.press("ArrowRight")
    until(tab, "document.querySelector('.wide .frame').scrollLeft > 0")
    tab.leave()


def test_bars_wrap(browser: Browser, file: Path) -> None:
    tab = opened(browser, file, 360)
    bars = tab.page.locator(".level").first.locator(".bar")
    for width, in_a_row in [(360, 2), (768, 4), (1440, 4)]:
        tab.page.set_viewport_size({"width": width, "height": 900})
        tops = bars.evaluate_all(
            "(bars) => bars.map((bar) => Math.round(bar.getBoundingClientRect().top))"
        )
        assert len(tops) == 12 and tops.count(tops[0]) == in_a_row, width
    tab.leave()


LINES = """
[...document.querySelectorAll(".chart")].flatMap((chart) => {
  const bars = [...chart.querySelectorAll(".bar")];
  return bars.slice(1).map((bar, n) => [bars[n], bar]);
}).map((pair) => pair.map((bar) => bar.getBoundingClientRect()).concat(pair))
  .filter(([a, b]) => a.top === b.top)
  .map(([a, b, , bar]) => a.right - b.left - parseFloat(getComputedStyle(bar).borderLeftWidth))
"""


def test_neighbours_share_one_bar_line(browser: Browser, file: Path) -> None:
    """The right line of a bar and the left line of the next are one, not two side by side."""
    tab = opened(browser, file)
    apart = tab.page.evaluate(LINES)
    assert len(apart) > 20 and np.max(np.abs(apart)) < 0.02
    tab.leave()


def test_the_policy_keeps_out_what_is_not_the_pages_own(browser: Browser, file: Path) -> None:
    tab = opened(browser, file)
    tab.page.evaluate(
        """() => {
          const script = document.createElement("script");
          script.textContent = "window.broken = 1";
          document.body.append(script);
          const style = document.createElement("div");
          style.setAttribute("style", "color: red");
          const image = new Image();
          image.src = "http://127.0.0.1:9/x.gif";
          document.body.append(style, image);
        }"""
    )
    assert tab.page.evaluate("fetch('data:text/plain,x').then(() => 1, () => 0)") == 0
    until(tab, "window.kept.length >= 4")
    kept = {entry.split()[0] for entry in tab.page.evaluate("window.kept")}
    assert kept == {"script-src-elem", "style-src-attr", "img-src", "connect-src"}
    assert tab.page.evaluate("window.broken") is None
    tab.leave()


BEAT = 60 / 76  # seconds, at the tempo of the second level


def test_it_plays_and_the_mark_moves_from_bar_to_bar(tab: Opened) -> None:
    level = tab.page.locator(".level").nth(1)
    tab.stand_still()
    level.get_by_role("button", name="Play", exact=True).focus()
    tab.page.keyboard.press("Enter")
    expect(level.get_by_role("button", name="Stop", exact=True)).to_be_visible()
    seen = tab.walk(LEAD + 8.5 * BEAT)
    # By hand: a bar of four is counted in, then Dm6, Gm6 and Dm6 have a bar each.  While it is
    # counted in no bar sounds, and a chord is shown a beat ahead.
    agrees(
        seen,
        [
            (0, [], [], [], [], "", "Dm6"),
            (LEAD + 3 * BEAT, [], [], [0], [0], "", "Dm6"),
            (LEAD + 4 * BEAT, [0], [0], [], [], "Dm6", "Gm6"),
            (LEAD + 7 * BEAT, [0], [0], [1], [1], "Dm6", "Gm6"),
            (LEAD + 8 * BEAT, [1], [1], [], [], "Gm6", "Dm6"),
        ],
    )
    counts = [each.count for n, each in enumerate(seen) if not n or each.count != seen[n - 1].count]
    assert "".join(counts) == "123412341"
    tab.page.keyboard.press("Escape")
    expect(level.get_by_role("button", name="Play", exact=True)).to_be_visible()
    assert level.locator(".sounds, .comes").count() == 0


def test_one_level_plays_at_a_time(tab: Opened) -> None:
    levels = tab.page.locator(".level")
    levels.nth(0).locator(".play").click()
    levels.nth(1).locator(".play").click()
    expect(levels.nth(1)).to_have_class("level playing")
    expect(levels.nth(0)).to_have_class("level")
    tab.page.keyboard.press("Escape")
    expect(levels.nth(1)).to_have_class("level")


@pytest.mark.parametrize("speed, rate", [("normal", 1.0), ("slow", 0.7)])
def test_it_sounds_the_events_of_the_lesson_in_time(
    tab: Opened, shipped: Lesson, speed: str, rate: float
) -> None:
    level = tab.page.locator(".level").nth(2)
    performance = shipped.played[2].performance
    tab.page.evaluate(LISTEN)
    level.get_by_label("Speed").select_option(label=speed)
    level.get_by_role("button", name="Play from bar 1", exact=True).click()
    until(tab, "window.played.length >= 24")
    tab.page.keyboard.press("Escape")
    start = performance.bars[0][1]
    # A hand may be a few ms before the bar line; a click of the count-in is a beat before it.
    events = [event for event in performance.events if event.onset >= start - 0.03][:24]
    calls = tab.page.evaluate("window.played")[:24]
    assert [call[:3] for call in calls] == [[e.kind, e.midi, e.velocity] for e in events]
    assert [call[5] for call in calls] == [e.string for e in events]
    onsets = [(event.onset - events[0].onset) / rate for event in events]
    assert [call[3] - calls[0][3] for call in calls] == pytest.approx(onsets, abs=1e-4)
    # A click is as short at any speed.
    lengths = [event.length / (1 if event.kind == "click" else rate) for event in events]
    assert [call[4] for call in calls] == pytest.approx(lengths, abs=1e-4)


def test_a_change_of_speed_holds_from_the_next_bar_on(tab: Opened) -> None:
    level = tab.page.locator(".level").nth(1)
    tab.stand_still()
    level.get_by_role("button", name="Play from bar 9", exact=True).click()
    assert tab.walk(LEAD + 2 * BEAT)[-1].bars == [8]
    level.get_by_label("Speed").select_option(label="slow")
    seen = tab.walk(2.5 * BEAT + 4 * BEAT / 0.7)
    moved = [each for n, each in enumerate(seen) if n and each.bars != seen[n - 1].bars]
    # Bar 9 is played to its end as it was, bar 10 at seven tenths of the speed: without a gap.
    assert [each.bars for each in moved] == [[9], [10]]
    ends = [LEAD + 4 * BEAT, LEAD + 4 * BEAT + 4 * BEAT / 0.7]
    assert [each.at for each in moved] == pytest.approx(ends, abs=STEP + 1e-6)
    tab.page.keyboard.press("Escape")


# The number of each bar that is marked as sounding, noted when that is done.
NOTE_MARKS = """
window.marks = [];
new MutationObserver((all) => all.forEach(({ target }) => {
  if (target.matches(".bar.sounds")) marks.push(target.querySelector(".number").textContent.trim());
})).observe(document.querySelectorAll(".level")[1], {
  attributes: true, attributeFilter: ["class"], subtree: true,
});
true;
"""


def test_it_ends_by_itself(tab: Opened) -> None:
    level = tab.page.locator(".level").nth(1)
    tab.page.evaluate(NOTE_MARKS)
    level.get_by_role("button", name="Play from bar 12", exact=True).click()
    until(tab, "window.marks.length > 0")
    expect(level.get_by_role("button", name="Play", exact=True)).to_be_visible()
    assert set(tab.page.evaluate("window.marks")) == {"12"}
    assert level.locator(".sounds, .comes").count() == 0


def test_shapes_are_heard_by_click_and_by_key(tab: Opened) -> None:
    tab.page.evaluate(LISTEN)
    # 2-4-3-4 on g C E A: A4, E4, G4, C sharp 5, counted up from the open strings.
    tab.page.locator(".text .hear").first.click()
    until(tab, "window.played.length == 4")
    assert [call[1] for call in tab.page.evaluate("window.played")] == [69, 64, 67, 73]
    # 3-3-3-4: B flat, E flat, G, D flat.
    tab.page.get_by_role("button", name="Hear E flat seven").first.focus()
    tab.page.keyboard.press("Space")
    until(tab, "window.played.length == 8")
    assert [call[1] for call in tab.page.evaluate("window.played")][4:] == [70, 63, 67, 73]
    # The drawing itself: 3-4-3-3, a C where the D flat was, and an E.
    tab.page.locator("figure:not(.wide) .frame[data-frets='3-4-3-3']").first.click()
    until(tab, "window.played.length == 12")
    assert [call[1] for call in tab.page.evaluate("window.played")][8:] == [70, 64, 67, 72]


def test_one_note_of_the_neck_is_heard(browser: Browser, necks: Path) -> None:
    tab = opened(browser, necks)
    tab.page.evaluate(LISTEN)
    # The A string at the fourth fret: C sharp 5.
    tab.page.locator(".wide [data-part=string-4-fret-4]").first.click()
    until(tab, "window.played.length == 1")
    assert tab.page.evaluate("window.played[0][1]") == 73
    tab.healthy()
    tab.leave()


def test_a_chart_is_one_stop_of_the_tab_key(tab: Opened) -> None:
    tab.page.get_by_role("button", name="Play from bar 1", exact=True).first.focus()
    tab.page.keyboard.press("ArrowRight")
    assert tab.page.evaluate("document.activeElement.dataset.frets") == "2-2-1-2"
    tab.page.keyboard.press("ArrowRight")
    assert tab.page.evaluate("document.activeElement.dataset.bar") == "1"
    tab.page.keyboard.press("Tab")
    assert tab.page.evaluate("document.activeElement.closest('.chart')") is None
    tab.page.keyboard.press("Shift+Tab")
    assert tab.page.evaluate("document.activeElement.dataset.bar") == "1"


def test_strings_are_in_tune_within_a_cent(tab: Opened) -> None:
    # ISO 16:1975: A4 = 440 Hz; equal temperament from there.
    rate = 48_000
    for midi in (40, 52, 60, 67, 69, 81, 88):
        what = "{string: null, midi: m, layer: 1, seconds: 2}"
        made = f"pluck(music.voices.tone, {what}, r, music.pluck)"
        plucked = f"([m, r]) => JSON.stringify([...{made}])"
        samples = np.array(json.loads(tab.page.evaluate(plucked, [midi, rate])))
        wanted = 440 * 2 ** ((midi - 69) / 12)
        assert abs(1200 * np.log2(fundamental(samples, rate, wanted) / wanted)) < 1, midi
        assert 0.1 < np.abs(samples).max() < 1


def fundamental(samples: np.ndarray[Any, Any], rate: int, near: float) -> float:
    """Return the frequency of the highest peak near one, between bins by a parabola."""
    size = 1 << 19
    spectrum = np.log(np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size)) + 1e-12)
    low, high = (int(near * ratio * size / rate) for ratio in (0.97, 1.03))
    peak = low + int(np.argmax(spectrum[low:high]))
    a, b, c = spectrum[peak - 1 : peak + 2]
    return float((peak + (a - c) / (2 * (a - 2 * b + c))) * rate / size)


def test_a_chart_of_three_rows_is_printed_on_one_page(browser: Browser, file: Path) -> None:
    """Nobody turns a page in mid-tune; what is for the screen alone is not printed."""
    tab = opened(browser, file)
    tab.page.emulate_media(media="print")
    pages = pypdf.PdfReader(BytesIO(tab.page.pdf(prefer_css_page_size=True))).pages
    texts = [page.extract_text() for page in pages]
    for level in range(1, 6):
        (chart,) = [text for text in texts if f"level {level} \u00b7" in " ".join(text.split())]
        rest = chart[chart.index(f"level {level}") :].split()
        assert {str(bar) for bar in range(1, 13)} <= set(rest), level
    assert not any("All files of this lesson" in text for text in texts)
    # No last page holds the legend, or the rights, alone.
    (end,) = [" ".join(text.split()) for text in texts if "This is not legal advice" in text]
    assert "Take care" in end and "finger that stays" in end
    tab.leave()


def test_it_is_printed_in_ink_on_white_without_its_buttons(browser: Browser, file: Path) -> None:
    tab = opened(browser, file, scheme="dark")
    tab.page.emulate_media(media="print")
    colours = "[getComputedStyle(document.body).color, getComputedStyle(document.body).background]"
    ink, paper = tab.page.evaluate(colours)
    assert ink == "rgb(0, 0, 0)" and "rgb(255, 255, 255)" in paper
    assert not tab.page.locator(".player").first.is_visible()
    assert not tab.page.locator(".hear.sound").first.is_visible()
    assert tab.page.locator(".chart").first.is_visible()
    tab.leave()
