"""The page plays bars round and round: exactly in time, shown, by hand and by keyboard."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from page_in_browser import LEAD, LISTEN, STEP, Opened, agrees, opened, until
from playwright.sync_api import Browser, Locator, expect

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Played
from harmonykit.sound.events import play_loops
from harmonykit.sound.performance import Performance

# Two sections of two bars; at 240 a bar lasts a second, and two are counted in.
SECTIONS = """
| Gm6 | Bb7 |
\"\"\"

[[sections]]
name = "B"
changes = \"\"\"
| Eb6 D7 | Gm6 |
"""
BEAT, BAR, COUNT_IN = 0.25, 1.0, 2.0


@pytest.fixture(scope="module")
def written(
    tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]
) -> tuple[Path, Performance, Played]:
    lesson = write_lesson(tmp_path_factory.mktemp("loops"))
    fast = lesson.read_text("utf-8").replace("tempo = 120", "tempo = 240")
    lesson.write_text(fast.replace("hand = 3", "hand = 3\nleast_seconds = 0.2"), encoding="utf-8")
    tune = lesson.with_name("fog.toml")
    one = "\n| Gm6 | Bb7 | Eb6 D7 | Gm6 |\n"
    tune.write_text(tune.read_text("utf-8").replace(one, SECTIONS), encoding="utf-8")
    loaded = load_lesson(lesson)
    page = lesson.with_name("page.html")
    page.write_text(write_page(loaded), encoding="utf-8")
    return page, loaded.played[0].performance, loaded.played[0]


@pytest.fixture
def tab(browser: Browser, written: tuple[Path, Performance, Played]) -> Iterator[Opened]:
    tab = opened(browser, written[0])
    tab.page.evaluate(LISTEN)
    yield tab
    tab.healthy()
    tab.leave()


def sounds_of(played: Played, section: str) -> list[tuple[float, str, int]]:
    """Return what one round of a section's loop file sounds: seconds, kind, pitch."""
    loop = dict(play_loops(played.arrangement, played.level.tempo))[section]
    return [(event.onset, event.kind, event.midi) for event in loop.events]


def heard(tab: Opened, count: int) -> list[dict[str, Any]]:
    until(tab, f"window.played.length >= {count}")
    calls = tab.page.evaluate("window.played")
    return [
        {"kind": kind, "midi": midi, "at": at - calls[0][3], "end": at + length - calls[0][3]}
        for kind, midi, _, at, length, _ in calls
    ]


def in_round(tab: Opened, choice: str) -> None:
    tab.page.get_by_label("Loop", exact=True).select_option(label=choice)


def status(tab: Opened) -> Locator:
    return tab.page.get_by_role("status")


@pytest.mark.parametrize(
    "speed, rate", [("slow", 0.7), pytest.param("normal", 1.0, marks=pytest.mark.long)]
)
def test_a_section_goes_round_exactly_in_time(
    tab: Opened, written: tuple[Path, Performance, Played], speed: str, rate: float
) -> None:
    in_round(tab, "B, bars 3 and 4")
    tab.page.get_by_label("Speed").select_option(label=speed)
    tab.page.get_by_role("button", name="Play", exact=True).click()
    once = sounds_of(written[2], "B")
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
        # A hand is a few ms before the beat, but in a file of a round never before its start.
        mine = sorted((s["kind"], s["midi"], s["at"]) for s in part)
        file = sorted((kind, midi, start + onset / rate) for onset, kind, midi in once)
        assert [s[:2] for s in mine] == [s[:2] for s in file]
        away = [abs(one[2] - other[2]) for one, other in zip(mine, file, strict=True)]
        late = [one for one in zip(away, mine, strict=True) if one[0] > 1e-4]
        assert all(one[0] < 0.012 / rate and one[1][2] < start + 0.03 / rate for one in late)
        # What rings over the end is over where the next round begins.
        assert max(s["end"] for s in part) == pytest.approx(start + 2 * BAR / rate, abs=1e-4)


def test_a_loops_first_bar_and_chord_are_shown_before_they_come_again(tab: Opened) -> None:
    tab.stand_still()
    in_round(tab, "bars you choose")
    tab.page.get_by_label("from bar", exact=True).select_option("2")
    tab.page.get_by_label("to", exact=True).select_option("3")
    tab.page.get_by_role("button", name="Play from bar 3", exact=True).click()
    seen = tab.walk(LEAD + 2.6 * BAR)
    tab.page.keyboard.press("Escape")
    # By hand: Gm6 Adim7, Bb7 Ddim7, Eb6 C#dim7 D7 F#dim7, Gm6; before each chord of the tune the
    # diminished seventh on the note below its root.  Each is shown a beat ahead; the last of bar 3
    # leads back to the first of bar 2, and that bar is marked with it.
    agrees(
        seen,
        [
            (0, [2], [4], [], [5], "E♭6", "C♯°7"),
            (LEAD + 0.25, [2], [5], [], [6], "C♯°7", "D7"),
            (LEAD + 0.5, [2], [6], [], [7], "D7", "F♯°7"),
            (LEAD + 0.75, [2], [7], [1], [2], "F♯°7", "B♭7"),
            (LEAD + 1, [1], [2], [], [], "B♭7", "D°7"),
            (LEAD + 1.25, [1], [2], [], [3], "B♭7", "D°7"),
            (LEAD + 1.5, [1], [3], [], [], "D°7", "E♭6"),
            (LEAD + 1.75, [1], [3], [2], [4], "D°7", "E♭6"),
            (LEAD + 2, [2], [4], [], [5], "E♭6", "C♯°7"),
            (LEAD + 2.25, [2], [5], [], [6], "C♯°7", "D7"),
            (LEAD + 2.5, [2], [6], [], [7], "D7", "F♯°7"),
        ],
    )


def test_what_comes_is_shown_a_beat_ahead(
    tab: Opened, written: tuple[Path, Performance, Played]
) -> None:
    performance = written[1]
    starts = [start for _, start in performance.steps]
    tab.stand_still()
    # Each step leads to the next, and is shown a beat before that sounds.
    bars = tab.page.evaluate("players[0].level.steps.map((step) => step[2])")
    for step in range(len(starts) - 1):
        if not step or bars[step] != bars[step - 1]:
            tab.page.locator(".from").nth(bars[step]).click()
            tab.walk(LEAD + BEAT / 2)
        following, ready = tab.page.evaluate(f"players[0].after({step})")
        assert following == step + 1
        assert ready == pytest.approx(starts[step + 1] - BEAT, abs=1e-5)
    tab.page.locator(".from").last.click()
    tab.walk(LEAD + BEAT / 2)
    assert tab.page.evaluate(f"players[0].after({len(starts) - 1})[0]") == -1
    # In a loop the last leads to the first, and so do the clicks that count it in.
    in_round(tab, "B, bars 3 and 4")
    tab.page.keyboard.press("Escape")
    tab.page.locator(".play").click()
    tab.walk(BEAT)
    third, end = performance.bars[2][1], performance.sections[-1][-1]
    first = next(i for i, start in performance.steps if start >= third - 1e-9)
    counted = tab.page.evaluate("players[0].after(-1)")
    assert counted == [first, pytest.approx(third - BEAT, abs=1e-5)]
    tab.walk(COUNT_IN + BAR)
    assert not tab.page.evaluate("players[0].stretch.counts")
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
        "off", "the whole tune", "A, bars 1 and 2", "B, bars 3 and 4", "hard change, bars 3 and 4",
        "bars you choose",
    ]  # fmt: skip
    first, last = (
        tab.page.get_by_label("from bar", exact=True),
        tab.page.get_by_label("to", exact=True),
    )
    expect(first).to_be_hidden()
    for choice, bars in (("the whole tune", [0, 1, 2, 3]), ("B, bars 3 and 4", [2, 3])):
        in_round(tab, choice)
        assert looped(tab) == bars
    expect(first).to_have_value("2")
    expect(status(tab)).to_have_text("Bars 3 and 4, looped")
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


def test_a_loop_is_set_and_left_while_it_plays_without_a_gap(tab: Opened) -> None:
    tab.stand_still()
    tab.page.get_by_role("button", name="Play from bar 1", exact=True).click()
    seen = tab.walk(LEAD + 0.5)
    assert seen[-1].bars == [0]
    # Neither key changes what is played before the bar is over.
    tab.page.locator(".play").focus()
    tab.page.keyboard.press("a")
    tab.page.keyboard.press("b")
    assert looped(tab) == [0]
    seen += tab.walk(2 * BAR)
    in_round(tab, "off")
    seen += tab.walk(3.25 * BAR)
    tab.page.keyboard.press("Escape")
    # Bar 1 was played three times, then the others; the mark moved when each of them began.
    moved = [each for n, each in enumerate(seen) if n == 0 or each.bars != seen[n - 1].bars]
    assert [each.bars for each in moved] == [[0], [1], [2], [3]]
    begins = [0, *(LEAD + BAR * bar for bar in (3, 4, 5))]
    assert [each.at for each in moved] == pytest.approx(begins, abs=STEP + 1e-6)
    played = tab.page.evaluate("window.played")
    clicks = sorted({round(call[3] - LEAD, 3) for call in played if call[0] == "click"})
    # A click a beat, whatever was changed meanwhile: six bars of four.
    assert clicks == pytest.approx([BEAT * beat for beat in range(24)], abs=2e-3)


def test_click_and_bass_come_and_go_while_it_plays(tab: Opened) -> None:
    tab.stand_still()
    tab.page.get_by_label("click", exact=True).uncheck()
    tab.page.locator(".play").click()

    def kinds(since: float) -> set[str]:
        return {call[0] for call in tab.page.evaluate("window.played") if call[3] >= since - 1e-6}

    # What is counted in is always heard.
    assert tab.walk(LEAD + COUNT_IN + 0.5)[-1].bars == [0]
    found = [call[0] for call in tab.page.evaluate("window.played")]
    assert found[:9] == ["click"] * 8 + ["tone"] and kinds(LEAD + COUNT_IN) == {"tone", "drum"}
    tab.page.get_by_label("percussion").uncheck()
    tab.page.get_by_label("bass").check()
    tab.walk(BAR)
    assert kinds(LEAD + COUNT_IN + 1.3 * BAR) == {"tone", "bass"}
    tab.page.get_by_label("click", exact=True).check()
    tab.walk(BAR)
    assert kinds(LEAD + COUNT_IN + 2 * BAR) == {"tone", "bass", "click"}
    tab.page.keyboard.press("Escape")
    # The bass walks from E2 (MIDI 40) up, below C4; the ukulele has nothing lower than that.
    low = [call for call in tab.page.evaluate("window.played") if call[0] == "bass"]
    assert low and all(40 <= call[1] < 60 for call in low)


def test_a_bar_outside_of_the_loop_ends_it(tab: Opened) -> None:
    tab.stand_still()
    in_round(tab, "B, bars 3 and 4")
    tab.page.get_by_role("button", name="Play from bar 2", exact=True).click()
    assert tab.walk(LEAD + BAR / 2)[-1].bars == [1]
    assert looped(tab) == []
    tab.page.keyboard.press("Escape")
    expect(status(tab)).to_be_empty()
