"""The page practises: what is set is what is handed to the sound card, bar by bar, as in a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from page_in_browser import LEAD, LISTEN, Opened, opened, until
from playwright.sync_api import Browser, expect

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.rehearsals import rehearsed
from harmonykit.sound.material import EARLY
from harmonykit.sound.performance import Performance
from harmonykit.sound.rehearsal import Rehearsal

# At 240 a bar lasts a second, and two are counted in.
BEAT, BAR = 0.25, 1.0
LINES = ("bars 2-3, tempi 50 100, click 2+4, without strum", "leading tones")
VOICE = """
window.told = [];
window.voices = [];
window.speechSynthesis.getVoices = () => window.voices;
window.speechSynthesis.speak = (said) => window.told.push([said.text, sound.time]);
true;
"""


@pytest.fixture(scope="module")
def written(
    tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]
) -> tuple[Path, Played]:
    path = write_lesson(tmp_path_factory.mktemp("practise"))
    text = path.read_text("utf-8")
    for former, now in {
        "format = 1": "format = 2", "group =": "class =", "\nshape =": "\nchord_shape =",
        "from =": "scale_shape =", "hand = 3": 'reach = "wide"\nshortest_chord_seconds = 0.2',
        "tempo = 120": f"tempo = 240\npractice = {list(LINES)!r}".replace("'", '"'),
    }.items():  # fmt: skip
        assert former in text
        text = text.replace(former, now, 1)
    path.write_text(text, encoding="utf-8")
    lesson = load_lesson(path)
    page = path.with_name("page.html")
    page.write_text(write_page(lesson), encoding="utf-8")
    return page, lesson.played[0]


@pytest.fixture
def tab(browser: Browser, written: tuple[Path, Played]) -> Iterator[Opened]:
    tab = opened(browser, written[0])
    tab.page.evaluate(LISTEN)
    tab.stand_still()
    tab.page.locator("summary").click()
    yield tab
    tab.healthy()
    tab.leave()


def choose(tab: Opened, label: str, choice: str) -> None:
    tab.page.get_by_label(label, exact=True).select_option(label=choice)


def play(tab: Opened, seconds: float) -> list[list[Any]]:
    """Press play, let the clock run, and return what was handed to the sound card by then."""
    tab.page.locator(".play").click()
    tab.walk(LEAD + seconds)
    return calls(tab, seconds)


def calls(tab: Opened, seconds: float) -> list[list[Any]]:
    """Return kind, pitch, velocity, onset and length of what sounds from the first click on."""
    found = tab.page.evaluate("window.played")
    sounds = [[*call[:3], call[3] - LEAD, call[4]] for call in found]
    return sorted((each for each in sounds if each[3] < seconds - 1e-3), key=_order)


def _order(call: list[Any]) -> tuple[float, str, int, float]:
    return round(call[3], 3), call[0], call[1], call[4]


def sounds_of(performance: Performance, seconds: float) -> list[list[Any]]:
    found = [
        [event.kind, event.midi, event.velocity, event.onset, event.length]
        for event in performance.events
        if event.onset < seconds - 1e-3
    ]
    return sorted(found, key=_order)


def agree(found: list[list[Any]], wanted: list[list[Any]]) -> None:
    """Hold that the same sounds at the same times, sound by sound: times are rounded."""
    found, wanted = (
        sorted(each, key=lambda c: (c[0], c[1], c[2], c[3])) for each in (found, wanted)
    )
    assert [call[:3] for call in found] == [call[:3] for call in wanted]
    assert [call[3] for call in found] == pytest.approx([call[3] for call in wanted], abs=1e-4)
    assert [call[4] for call in found] == pytest.approx([call[4] for call in wanted], abs=1e-4)


SETTINGS: dict[str, dict[str, str]] = {
    "tempi 60-100": {"Speed": "60 to 100 %"},
    "tempi 50 100": {"Speed": "half, then full"},
    "call and answer": {"Left to you": "two bars of four"},
    "click 2+4": {"Click on": "two and four"},
    "count-in 1": {"Count-in": "one bar"},
    "disappearing": {"Left to you": "two of eight, then four"},
    "tempi 50 100, call and answer, click 2+4": {
        "Speed": "half, then full", "Left to you": "two bars of four", "Click on": "two and four",
    },
}  # fmt: skip


# The last holds all in one; the others tell which of them it was.
USUAL = ("tempi 60-100", "count-in 1", "tempi 50 100, call and answer, click 2+4")


@pytest.mark.parametrize(
    "line",
    [pytest.param(line, marks=() if line in USUAL else pytest.mark.long) for line in SETTINGS],
)
def test_the_page_sounds_what_the_file_sounds(
    tab: Opened, written: tuple[Path, Played], line: str
) -> None:
    """Every onset, length, pitch and velocity of the file is handed to the sound card."""
    played = written[1]
    for label, choice in SETTINGS[line].items():
        choose(tab, label, choice)
    tab.page.get_by_label("bass").check()
    file = rehearsed(played.arrangement, Rehearsal.parse(line), played.level.tempo)
    # To the end, and it ends by itself; of the longest the first three eights of bars.
    seconds = min(file.seconds, 2 + 24 * BAR)
    found = play(tab, seconds)
    agree(found, sounds_of(file, seconds))
    if seconds == file.seconds:
        # What would ring of the last chord is waited for.
        tab.walk(2)
        assert tab.page.evaluate("playing") is None


@pytest.mark.parametrize("part", ["strum", "bass"])
def test_a_part_may_be_silent(tab: Opened, written: tuple[Path, Played], part: str) -> None:
    played = written[1]
    tab.page.get_by_label("bass").check()
    tab.page.get_by_label(part).uncheck()
    file = rehearsed(played.arrangement, Rehearsal.parse(f"without {part}"), played.level.tempo)
    agree(play(tab, file.seconds), sounds_of(file, file.seconds))


def test_a_line_of_the_lesson_sets_all(tab: Opened, written: tuple[Path, Played]) -> None:
    said = (
        "bars 2 and 3, at 50 and 100 per cent of the tempo, without the strum, with the click on "
    )
    choose(tab, "From the lesson", f"{said}beats 2 and 4")
    expect(tab.page.get_by_label("Speed")).to_have_value("50 100")
    expect(tab.page.get_by_label("strum")).not_to_be_checked()
    expect(tab.page.locator(".round")).to_have_text("Bars 2 and 3, looped")
    played = written[1]
    file = rehearsed(played.arrangement, Rehearsal.parse(LINES[0]), played.level.tempo)
    # The file ends after four times at each tempo, where the page goes on.
    seconds = file.bars[-1][1]
    agree(play(tab, seconds), sounds_of(file, seconds))
    tab.page.keyboard.press("Escape")


def test_leading_tones_are_sung_over_their_roots(tab: Opened, written: tuple[Path, Played]) -> None:
    played = written[1]
    file = rehearsed(played.arrangement, Rehearsal.parse("leading tones"), played.level.tempo)
    tab.page.get_by_role("button", name="Sing the leading tones").click()
    tab.walk(LEAD + file.seconds - 0.5)
    expect(tab.page.locator(".round")).to_have_text(file.sections[-1][0])
    agree(calls(tab, file.seconds), sounds_of(file, file.seconds))


def test_what_is_set_while_it_plays_holds_from_the_next_bar_on(tab: Opened) -> None:
    choose(tab, "Loop", "the whole tune")
    play(tab, 2 + 0.5)
    # In the first bar the strum goes away; in the second half the speed is chosen.
    tab.page.get_by_label("strum").uncheck()
    tab.walk(BAR)
    choose(tab, "Speed", "half, then full")
    seen = tab.walk(5 * BAR)
    tab.page.keyboard.press("Escape")
    moved = [each for n, each in enumerate(seen) if n and each.bars != seen[n - 1].bars]
    # Bar 1 and bar 2 at full speed, bar 3 and bar 4 at half of it: no gap, no beat lost.
    assert [each.bars for each in moved][:3] == [[2], [3], [0]]
    begins = [LEAD + 2 + at for at in (2, 4, 6)]
    assert [each.at for each in moved][:3] == pytest.approx(begins, abs=0.021)
    # All that was handed on is stopped.
    assert tab.page.evaluate("players[0].track.sources.size") == 0


def test_what_is_taken_back_never_sounds(tab: Opened, written: tuple[Path, Played]) -> None:
    """What was handed on for the next bar and is not wanted any more is stopped in time."""
    tab.page.evaluate(
        "() => { const real = sound.play; window.live = new Map();"
        " sound.play = (...call) => { const source = real(...call); window.live.set(source, call);"
        # The clock of the card goes on by itself: no sound ends by it.
        " source.addEventListener = () => {};"
        " const stop = source.stop.bind(source); source.stop = (...when) => {"
        " if (!when.length) window.live.delete(source); stop(...when); };"
        " return source; }; }"
    )
    play(tab, 2 + 0.6)
    tab.page.get_by_label("strum").uncheck()
    tab.walk(3 * BAR)
    live = tab.page.evaluate("[...window.live.values()].map((call) => [call[0], call[3]])")
    onsets = [at - LEAD - 2 for kind, at in live if kind == "tone"]
    # Bar 1 whole, as the file has it; after its bar line nothing.
    file = rehearsed(written[1].arrangement, Rehearsal(), written[1].level.tempo)
    first = [event for event in file.strummed if event.onset < 2 + BAR - EARLY]
    assert len(onsets) == len(first) and max(onsets) < BAR
    tab.page.keyboard.press("Escape")


def test_bars_that_are_left_say_so(tab: Opened) -> None:
    choose(tab, "Left to you", "two bars of four")
    play(tab, 2 + 1.5)
    expect(tab.page.locator(".now p")).to_have_text("now")
    tab.walk(BAR)
    expect(tab.page.locator(".now p")).to_have_text("your turn")
    expect(tab.page.locator(".level")).to_have_class("level playing yours")
    tab.page.keyboard.press("Escape")
    expect(tab.page.locator(".level")).to_have_class("level")


def test_the_tempo_is_shown_while_it_climbs(tab: Opened) -> None:
    choose(tab, "Speed", "60 to 100 %")
    play(tab, 2)
    expect(tab.page.locator(".pace")).to_have_text("60 %")
    tab.page.keyboard.press("Escape")


def test_names_are_spoken_a_beat_before_the_first_time(tab: Opened) -> None:
    tab.page.evaluate(VOICE)
    tab.page.evaluate("window.voices = [{ name: 'one', lang: 'en' }]; true")
    choose(tab, "Loop", "the whole tune")
    choose(tab, "Name the next chord", "the first time")
    expect(tab.page.locator(".mute")).to_be_hidden()
    play(tab, 2 + 9 * BAR)
    told = tab.page.evaluate("window.told")
    tab.page.keyboard.press("Escape")
    names = tab.page.evaluate("players[0].level.names.map(([name]) => name)")
    starts = tab.page.evaluate("players[0].level.steps.map(([start]) => start)")
    # Once through, and only that: each name a beat before its chord.
    assert [name for name, _ in told][: len(names)] == names
    ready = [LEAD + start - BEAT for start in starts]
    assert [at for _, at in told][: len(names)] == pytest.approx(ready, abs=0.021)
    assert len(told) <= len(names) + 1


def test_without_a_voice_the_page_says_so_and_sounds_the_root(tab: Opened) -> None:
    tab.page.evaluate(VOICE)
    choose(tab, "Name the next chord", "always")
    expect(tab.page.locator(".mute")).to_contain_text("no voice")
    expect(tab.page.locator(".mute")).to_be_visible()
    tab.page.get_by_label("strum").uncheck()
    found = [call for call in play(tab, 2 + 1 * BAR) if call[0] == "tone"]
    roots = tab.page.evaluate("players[0].level.names.map(([, root]) => root)")
    starts = tab.page.evaluate("players[0].level.steps.map(([start]) => start)")
    assert [call[1] - 60 for call in found] == roots[: len(found)] and len(found) > 1
    ready = [start - BEAT for start in starts[: len(found)]]
    assert [call[3] for call in found] == pytest.approx(ready, abs=0.021)
    assert tab.page.evaluate("window.told") == []
    tab.page.keyboard.press("Escape")


def test_the_first_sound_comes_within_a_tenth_of_a_second(
    browser: Browser, written: tuple[Path, Played]
) -> None:
    tab = opened(browser, written[0])
    tab.page.evaluate("window.begun = []; sound.wake()")
    tab.page.evaluate(
        "() => { const real = sound.play.bind(sound);"
        " sound.play = (...call) => {"
        " window.begun.push(call[3] - sound.time); return real(...call); };"
        " sound.clock = () => ({ time: 7, late: 0 }); }"
    )
    tab.page.locator(".play").click()
    until(tab, "window.begun.length > 0")
    assert 0 < tab.page.evaluate("window.begun[0]") < 0.1
    tab.page.keyboard.press("Escape")
    tab.healthy()
    tab.leave()


def test_the_controls_are_reached_by_keyboard_and_named(tab: Opened) -> None:
    """Every control has a name that is read out, and the Tab key leads to it."""
    names = [
        "Play", "Speed", "strum", "click", "bass", "percussion", "Loop", "Practise",
        "From the lesson",
        "Left to you", "Click on", "Count-in", "Intro", "Name the next chord",
        "Sing the leading tones",
    ]  # fmt: skip
    tab.page.locator(".play").focus()
    found = []
    for _ in names:
        found.append(
            tab.page.evaluate(
                "(() => { const e = document.activeElement;"
                " return (e.labels?.[0] ?? e).textContent.trim(); })()"
            )
        )
        tab.page.keyboard.press("Tab")
    assert found == names


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_what_follows_the_music_leaves_room_for_the_chart(tab: Opened, width: int) -> None:
    tab.page.set_viewport_size({"width": width, "height": 740})
    tab.page.locator("summary").click()
    tab.page.locator(".play").click()
    tab.walk(LEAD + 2.5)
    box = tab.page.locator(".player").bounding_box()
    assert box is not None and box["height"] < 370
    heights = tab.page.evaluate(
        "[...document.querySelectorAll('.player select, .player label, .play, summary')]"
        ".filter((e) => e.checkVisibility() && !e.closest('.pick > label'))"
        ".map((e) => e.getBoundingClientRect().height)"
    )
    assert min(heights) >= 24
    tab.page.keyboard.press("Escape")
