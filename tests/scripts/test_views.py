"""Each view without a kernel: what its script shows of a model, and what it tells."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from lab_in_browser import paste
from playwright.sync_api import Page, expect

from harmonykit.workbook import DistancePanel, IdeasPanel, WritingPanel
from harmonykit.workbook.base.view import ReharmoniseView, WritingView
from harmonykit.workbook.panels.clock import ClockPanel

Load = Callable[[str], Page]
# What JupyterLab has of every widget.
LAB = {"layout", "tabbable", "tooltip", "comm"}
BEGIN = """
(values) => {
  window.model = new Model(values);
  window.end = kit.view.render({ model, el: document.body });
}
"""


def values(view: Any) -> dict[str, Any]:
    """Return what a view would send to the browser."""
    names = {name for name in view.trait_names(sync=True) if not name.startswith("_")} - LAB
    found: dict[str, Any] = json.loads(json.dumps({name: getattr(view, name) for name in names}))
    return found


@pytest.fixture
def clock(load: Load) -> Page:
    page = load("panel/panel.js")
    page.evaluate(BEGIN, values(ClockPanel("C").view))
    return page


def test_a_panel_is_reached_by_one_tab_and_told_what_is_pressed(clock: Page) -> None:
    assert clock.locator("[data-press][tabindex='0']").count() == 1
    clock.locator("[data-part=pc-4]").click()
    clock.keyboard.press("ArrowUp")
    reached = clock.evaluate("document.activeElement.dataset.part")
    clock.keyboard.press("Enter")
    assert clock.evaluate("model.sent") == [{"press": "pc-4"}, {"press": reached}]
    # On a clock E lies at four: what is above it is D sharp.
    assert reached == "pc-3"
    assert clock.locator("[data-press][tabindex='0']").count() == 1


def test_a_panel_changes_looks_and_leaves_its_picture(clock: Page) -> None:
    clock.evaluate("document.querySelector('svg').dataset.mine = '1'")
    panel = ClockPanel("C")
    panel.press("pc-10")
    clock.evaluate("(shown) => model.set({ shown })", values(panel.view)["shown"])
    expect(clock.locator("[data-part=pc-10]")).to_have_attribute("aria-pressed", "true")
    expect(clock.locator(".hk-facts")).to_have_text(panel.facts)
    expect(clock.locator("svg")).to_have_attribute("data-mine", "1")
    expect(clock.locator(".harmonykit-panel")).to_have_attribute("data-count", "2")


def test_what_was_wrong_is_said_instead_of_the_facts(clock: Page) -> None:
    shown = {**values(ClockPanel("C").view)["shown"], "trouble": "that cannot be"}
    clock.evaluate("(shown) => model.set({ shown })", shown)
    expect(clock.locator(".hk-facts.wrong")).to_have_text("that cannot be")
    near = clock.locator(".hk-controls + .hk-near")
    expect(near).to_be_hidden()
    # Of a control it is said beside the controls too, which a screen may part from the facts.
    clock.locator(".hk-controls button[data-control]").first.click()
    clock.evaluate("(shown) => model.set({ shown })", shown)
    expect(near).to_have_text("that cannot be")
    clock.evaluate("(shown) => model.set({ shown })", {**shown, "trouble": ""})
    expect(near).to_be_hidden()


def test_a_line_that_is_pasted_is_told_but_text_in_a_field_is_not(clock: Page) -> None:
    line = ClockPanel("F").line()
    paste(clock.locator(".hk-figure"), line)
    paste(clock.locator(".hk-figure"), "C E G")
    assert clock.evaluate("model.sent") == [{"set": "share", "value": line}]


@pytest.mark.parametrize("name", ["panel", "ideas", "writing", "reharmonise"])
def test_each_view_says_that_the_kernel_is_lost_and_keeps_what_was_typed(
    load: Load, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """In every frame: a message without an answer, one that cannot be sent, then an answer."""
    monkeypatch.chdir(tmp_path)
    maker, use = LOSABLE[name]
    page = load(f"{name}/{'panel' if name == 'panel' else 'page'}.js")
    page.clock.install()
    page.evaluate(BEGIN, values(maker()))
    for query, typed in use:
        place = page.locator(query).first
        if typed:
            place.fill(typed)
            place.blur()
        else:
            place.click()
    # Every clock in its turn: what was typed is told, then nobody answers it.
    page.clock.run_for(7000)
    said = page.locator(":is([role=alert], .hk-trouble):visible")
    expect(said).to_contain_text("The kernel does not answer.")
    for query, typed in use:
        if typed:
            expect(page.locator(query).first).to_have_value(typed)
    page.evaluate("model.call('msg:custom', { answered: true }, [])")
    expect(page.locator("body")).not_to_contain_text("The kernel does not answer. While")
    page.evaluate("() => { model.send = () => { throw new Error(); }; }")
    query, typed = use[-1]
    place = page.locator(query).first
    if typed:
        place.fill(f"{typed} ")
        place.blur()
        page.clock.run_for(1000)
    else:
        place.click()
    expect(said).to_contain_text("What you typed or answered stays here.")


LOSABLE: dict[str, tuple[Callable[[], Any], list[tuple[str, str]]]] = {
    "panel": (
        lambda: DistancePanel("C G7").view,
        [("[data-control=chords]", "C F G7"), ("[data-part=place-1]", "")],
    ),
    "ideas": (lambda: waited(IdeasPanel("C+")).view, [("[data-control=source]", "Am7")]),
    "writing": (lambda: WritingPanel().view, [("textarea", "# A lesson")]),
    "reharmonise": (ReharmoniseView, [("textarea", "| C | G7 | C |")]),
}


def waited(panel: IdeasPanel) -> IdeasPanel:
    assert panel.wait()
    return panel


SCRIPTS = {
    "panel/panel.js": lambda: ClockPanel("C").view,
    "reharmonise/page.js": ReharmoniseView,
    "writing/page.js": WritingView,
}


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_view_that_ends_hears_nothing_more(load: Load, script: str) -> None:
    page = load(script)
    page.evaluate(BEGIN, values(SCRIPTS[script]()))
    assert page.evaluate("model.listeners.length") > 0
    page.evaluate("end()")
    assert page.evaluate("model.listeners.length") == 0


# The page of reharmonisation.

CHART = """<ol class="chart">
<li class="bar"><button class="from" data-from="0" data-for="chosen">1</button>
<div data-way="chosen"><div class="cell" data-step="0" data-press="place-0-0" role="button"
 tabindex="-1">
<b class="chord">F6</b></div></div>
<div data-way="beside"><div class="cell" data-step="0"><b class="chord">Dm</b></div></div></li>
<li class="bar"><button class="from" data-from="1" data-for="chosen">2</button>
<div data-way="chosen"><div class="cell" data-step="1" data-press="place-1-0" role="button"
 tabindex="-1">
<b class="chord">E°7</b></div></div>
<div data-way="beside"><div class="cell" data-step="1"><b class="chord">C</b></div></div></li>
</ol>"""
MENU = """<div class="hk-menu" role="dialog" aria-label="E°7"><button data-do="close">x</button>
<button data-do="refuse">Refuse</button><button data-press="other-0">B7</button></div>"""
# A count-in of a second, then two bars of two seconds; the second chord is shown ahead at 2.
TIMES = {"seconds": 6.0, "bars": [1.0, 3.0], "steps": [[1, 0, 0], [3, 2, 1]], "turns": [1.0]}


@pytest.fixture
def arranger(load: Load) -> Page:
    page = load("reharmonise/page.js")
    now = {"chart": CHART, "sounds": {"chosen": "1-a", "beside": "1-b"}, "kept": "k"}
    page.evaluate(BEGIN, {**values(ReharmoniseView()), **now})
    # Sounds that stand still where the test puts them.
    page.evaluate(
        "() => { for (const one of document.querySelectorAll('audio')) {"
        " one.at = 0; Object.defineProperties(one, { readyState: { value: 4 },"
        " currentTime: { get() { return one.at; }, set(t) { one.at = t; } } });"
        " one.play = async () => { window.heard = one; }; } }"
    )
    return page


def hear(page: Page, which: str, key: str) -> None:
    page.evaluate(
        "([sound, key, times]) =>"
        " model.call('msg:custom', { sound, key, times }, [new ArrayBuffer(8)])",
        [which, key, TIMES],
    )


def sent(page: Page) -> list[dict[str, Any]]:
    """Return what was told since the last time, without the messages' numbers."""
    told: list[dict[str, Any]] = page.evaluate("model.sent.splice(0)")
    assert all(each.pop("turn") for each in told)
    return told


def test_a_list_within_a_part_of_the_page_is_not_a_part_of_its_own(arranger: Page) -> None:
    # A list of reasons is a section too, within the part that is headed "Reasons".
    reasons = "<section><h4>Refused</h4><p>Nothing was refused.</p></section>"
    arranger.evaluate("(reasons) => model.set({ reasons })", reasons)
    arranger.get_by_text("Nothing was refused.").click()
    arranger.evaluate("() => model.set({ status: { trouble: 'that cannot be' } })")
    place = arranger.locator("section", has=arranger.locator("h3", has_text="Reasons"))
    expect(place.locator(".hk-trouble")).to_have_text("that cannot be")


def test_a_sound_is_asked_for_once_and_followed_in_the_chart(arranger: Page) -> None:
    play = arranger.locator("[data-play=chosen]")
    play.click()
    assert sent(arranger) == [{"hear": "chosen", "have": []}]
    expect(play).to_have_text("Preparing the sound …")
    hear(arranger, "chosen", "0-old")
    expect(play).to_have_text("Preparing the sound …")
    hear(arranger, "chosen", "1-a")
    expect(play).to_have_text("Stop")
    expect(arranger.locator(".hk-where")).to_have_text("count-in")
    arranger.evaluate("heard.at = 1.5")
    expect(arranger.locator(".hk-where")).to_have_text("bar 1")
    expect(arranger.locator("[data-way=chosen] .cell.sounds .chord")).to_have_text("F6")
    assert arranger.locator(".comes").count() == 0
    arranger.evaluate("heard.at = 2.5")
    expect(arranger.locator(".cell.comes .chord")).to_have_text("E°7")
    expect(arranger.locator(".hk-next .chord")).to_have_text("E°7")
    arranger.evaluate("heard.at = 3.1")
    expect(arranger.locator(".bar.sounds .from")).to_have_text("2")
    arranger.evaluate("heard.at = 5.97")
    expect(arranger.locator(".sounds")).to_have_count(0)
    expect(play).to_have_text("Hear it")


def test_one_changes_over_at_the_same_place(arranger: Page) -> None:
    for which, key in (("chosen", "1-a"), ("beside", "1-b")):
        hear(arranger, which, key)
    arranger.locator("[data-from='1'][data-for=chosen]").click()
    assert sent(arranger) == []
    assert arranger.evaluate("heard.at") == 3.0
    arranger.evaluate("heard.at = 3.4")
    arranger.locator("[data-swap]").click()
    assert arranger.evaluate("heard.at") == 3.4
    expect(arranger.locator(".hk-where")).to_have_text("beside: bar 2")
    expect(arranger.locator("[data-play=beside]")).to_have_text("Stop")
    # What sounds is no longer there: it stops.
    arranger.evaluate("model.set({ sounds: { chosen: '2-a' } })")
    expect(arranger.locator(".sounds")).to_have_count(0)
    expect(arranger.locator("[data-play=beside]")).to_be_disabled()


def test_two_are_heard_in_turn(arranger: Page) -> None:
    for which, key in (("chosen", "1-a"), ("beside", "1-b")):
        hear(arranger, which, key)
    arranger.locator("[data-play=both]").click()
    arranger.evaluate("heard.at = 5.92")
    expect(arranger.locator(".hk-where")).to_have_text("beside: count-in")
    arranger.evaluate("heard.at = 5.92")
    expect(arranger.locator(".sounds")).to_have_count(0)
    expect(arranger.locator("[data-play=both]")).to_have_text("Hear both in turn")


def test_all_is_settled_once_the_last_message_is_drawn(arranger: Page) -> None:
    root = arranger.locator(".hk-reharmonise")
    expect(root).to_have_attribute("data-settled", "yes")
    arranger.locator("[data-press=place-1-0]").click()
    expect(root).to_have_attribute("data-settled", "no")
    turn = arranger.evaluate("model.sent.at(-1).turn")
    arranger.evaluate("(t) => model.set({ shown: t - 1 })", turn)
    expect(root).to_have_attribute("data-settled", "no")
    arranger.evaluate("(t) => model.set({ shown: t })", turn)
    expect(root).to_have_attribute("data-settled", "yes")
    assert sent(arranger) == [{"press": "place-1-0"}]


def test_a_menu_takes_the_focus_and_gives_it_back_to_its_chord(arranger: Page) -> None:
    name = "document.activeElement.dataset.press ?? document.activeElement.dataset.do ?? ''"
    cell = arranger.locator("[data-press=place-1-0]")
    cell.focus()
    arranger.keyboard.press("Enter")
    arranger.evaluate("(menu) => model.set({ menu })", MENU)
    assert arranger.evaluate(name) == "refuse"
    arranger.keyboard.press("ArrowDown")
    assert arranger.evaluate(name) == "other-0"
    below = arranger.locator(".hk-menu").bounding_box()
    above = cell.bounding_box()
    assert below and above and below["y"] >= above["y"] + above["height"]
    # What is drawn anew meanwhile takes nothing from it.
    arranger.evaluate("(chart) => model.set({ chart })", CHART.replace("F6", "F7"))
    assert arranger.evaluate(name) == "other-0"
    arranger.keyboard.press("Escape")
    assert [each.get("do") for each in sent(arranger)] == [None, "close"]
    arranger.evaluate("model.set({ menu: '' })")
    assert arranger.evaluate(name) == "place-1-0"
    # A chord that is gone leaves the focus to another of its place.
    gone = CHART.replace("place-1-0", "place-1-7")
    arranger.evaluate("(chart) => model.set({ chart })", gone)
    assert arranger.evaluate(name) == "place-1-7"


def test_keys_undo_but_not_in_a_line(arranger: Page) -> None:
    arranger.evaluate("model.set({ status: { undo: true, redo: true } })")
    arranger.locator("[data-press=place-0-0]").focus()
    for keys in ("Control+z", "Control+y", "Control+Shift+Z"):
        arranger.keyboard.press(keys)
    assert [each["do"] for each in sent(arranger)] == ["undo", "redo", "redo"]
    arranger.locator("textarea").focus()
    arranger.keyboard.press("Control+z")
    assert sent(arranger) == []
    arranger.evaluate("model.set({ status: { undo: false, redo: false } })")
    expect(arranger.locator("[data-do=undo]")).to_be_disabled()


def test_what_was_wrong_is_said_in_the_part_where_it_was_asked(arranger: Page) -> None:
    arranger.locator("[data-do=unlock]").click()
    arranger.evaluate("model.set({ status: { trouble: 'no' } })")
    expect(
        arranger.locator("section", has_text="The chosen arrangement").locator(".hk-trouble")
    ).to_have_text("no")
    arranger.evaluate("model.set({ status: {} })")
    expect(arranger.locator(".hk-trouble")).to_be_hidden()


def test_a_tune_that_no_kernel_heard_is_told_when_the_page_is_shown_again(load: Load) -> None:
    page = load("reharmonise/page.js")
    begin = {**values(ReharmoniseView()), "text": "| C6 |", "kept": "k"}
    page.evaluate(BEGIN, begin)
    page.locator("textarea").fill("| C6 | F6 |")
    page.evaluate("end(); document.body.replaceChildren()")
    page.evaluate(BEGIN, begin)
    expect(page.locator("textarea")).to_have_value("| C6 | F6 |")
    assert sent(page) == [{"set": "text", "value": "| C6 | F6 |"}]
    page.evaluate("model.set({ text: '| C6 | F6 |' })")
    assert page.evaluate("localStorage.length") == 0


def test_a_tune_that_is_opened_while_a_key_is_waited_for_is_shown(load: Load) -> None:
    page = load("reharmonise/page.js")
    page.evaluate(BEGIN, {**values(ReharmoniseView()), "text": "| Gm6 |"})
    area = page.locator("textarea")
    area.fill("| Gm6 |")
    area.press("Tab")
    page.evaluate("model.set({ text: '| Bb7 |' })")
    expect(area).to_have_value("| Bb7 |")
    assert sent(page) == []


# The page where a lesson is written.


@pytest.fixture
def teacher(load: Load) -> Page:
    page = load("writing/page.js")
    page.evaluate(BEGIN, {**values(WritingView()), "kept": "k"})
    page.evaluate("model.call('msg:custom', { put: 'one\\ntwo' }, [])")
    return page


def told(page: Page) -> list[Any]:
    """Return the texts that were told, with their turns."""
    found: list[Any] = page.evaluate(
        "model.sent.filter((m) => 'text' in m).map((m) => [m.turn, m.text])"
    )
    return found


def test_a_text_is_told_one_turn_after_the_other(teacher: Page) -> None:
    area = teacher.locator("textarea")
    area.press("Control+End")
    teacher.clock.install(time=0)
    teacher.clock.pause_at(1000)
    teacher.keyboard.type("!")
    teacher.clock.run_for(100)
    assert told(teacher) == [[1, "one\ntwo!"]]
    # What is typed before the answer waits for it.
    teacher.keyboard.type("??")
    teacher.clock.run_for(100)
    assert told(teacher) == [[1, "one\ntwo!"]]
    answer = (
        "() => { const m = model.sent.at(-1);"
        " model.call('msg:custom', { heard: m.turn, by: m.by }, []); }"
    )
    teacher.evaluate(answer)
    assert told(teacher) == [[1, "one\ntwo!"], [2, "one\ntwo!??"]]
    expect(area).to_have_attribute("data-heard", "no")
    teacher.evaluate(answer)
    expect(area).to_have_attribute("data-heard", "yes")
    assert teacher.evaluate("localStorage.length") == 0


def test_a_late_answer_is_an_answer(teacher: Page) -> None:
    area = teacher.locator("textarea")
    area.press("Control+End")
    teacher.clock.install(time=0)
    teacher.clock.pause_at(1000)
    teacher.keyboard.type("!")
    teacher.clock.run_for(100)
    teacher.keyboard.type("?")
    teacher.clock.run_for(4000)
    expect(teacher.locator(".hk-unheard")).to_contain_text("The kernel does not answer.")
    assert told(teacher) == [[1, "one\ntwo!"]]
    answer = "([turn, by]) => model.call('msg:custom', { heard: turn, by }, [])"
    by = teacher.evaluate("model.sent.findLast((m) => 'text' in m).by")
    teacher.evaluate(answer, [1, by])
    # What was typed meanwhile is told without another key.
    expect(teacher.locator(".hk-unheard")).to_be_empty()
    assert told(teacher) == [[1, "one\ntwo!"], [2, "one\ntwo!?"]]
    teacher.evaluate(answer, [2, by])
    expect(area).to_have_attribute("data-heard", "yes")


def test_lines_are_numbered_and_marked_to_the_end_of_a_call(teacher: Page) -> None:
    teacher.evaluate("model.call('msg:custom', { put: 'a {{ b }} {{ c }}\\n\\nd' }, [])")
    # The second call of the line is told first.
    verdicts = [
        [1, 11, "proved", "", "yes", "", "", "", 0],
        [1, 3, "fails", "", "no", "", "", "", 0],
        [3, 1, "proved", "", "yes", "", "", "", 0],
    ]
    teacher.evaluate("(verdicts) => model.set({ verdicts })", verdicts)
    lines = teacher.locator(".hk-under > div")
    assert lines.evaluate_all("(all) => all.map((e) => [e.dataset.line, e.className])") == [
        ["1", "wrong"], ["2", ""], ["3", "proved"],
    ]  # fmt: skip
    assert teacher.locator(".hk-under .wrong span").all_text_contents() == ["{{ b }}", "{{ c }}"]
    teacher.locator("textarea").press("Control+End")
    teacher.keyboard.press("F8")
    assert teacher.evaluate("document.activeElement.selectionEnd") == len("a {{ b }} {{ c }}")


def test_what_was_typed_while_no_kernel_listened_is_offered(teacher: Page) -> None:
    teacher.locator("textarea").fill("mine")
    # What the kernel has is not offered.
    teacher.evaluate("model.call('msg:custom', { put: 'mine' }, [])")
    expect(teacher.locator(".hk-unheard")).to_be_empty()
    teacher.locator("textarea").fill("mine!")
    teacher.locator("textarea").fill("mine")
    teacher.evaluate("model.call('msg:custom', { put: 'theirs' }, [])")
    expect(teacher.locator("textarea")).to_have_value("theirs")
    teacher.get_by_role("button", name="Restore it").click()
    expect(teacher.locator("textarea")).to_have_value("mine")
    expect(teacher.locator(".hk-unheard")).to_be_empty()


def test_who_types_elsewhere_has_the_text_and_it_can_be_taken_over(teacher: Page) -> None:
    teacher.evaluate("model.call('msg:custom', { heard: 7, by: 'another view' }, [])")
    expect(teacher.locator("textarea")).to_be_disabled()
    teacher.get_by_role("button", name="Continue here").click()
    hello = teacher.evaluate("model.sent.at(-1).hello")
    teacher.evaluate("(id) => model.call('msg:custom', { put: 'three', for: id }, [])", hello)
    expect(teacher.locator("textarea")).to_have_value("three")
    expect(teacher.locator("textarea")).to_be_focused()
