"""Controls as the kernel asks for them: made once, shown as they stand, told when they are used."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from playwright.sync_api import Page, expect

Load = Callable[[str], Page]
BEGIN = """
(asked) => {
  window.told = [];
  window.buffers = [];
  document.body.innerHTML = "<div id=bar></div><div id=foot></div>";
  const rows = [...document.body.children];
  window.controls = new kit.Controls({
    own: "k1-",
    tell: (message, given) => { told.push(message); buffers.push(given); },
    before: () => told.push("before"),
    rows,
    rowOf: (each) => rows[each.row === "foot" ? 1 : 0],
  });
  controls.show(asked);
}
"""


def asked(id: str, kind: str, **other: Any) -> dict[str, Any]:
    return {"id": id, "kind": kind, "label": id, "value": "", "options": [], "enter": "", **other}


BUTTON = asked("hear", "button")
CHOICE = asked("way", "choice", value="b", options=["", "a", "b"])
CHECK = asked("axes", "check", value=True)
LINE = asked("tune", "text", value="x", enter="draft", suggested=["one", "two"], row="foot")


@pytest.fixture
def page(load: Load) -> Page:
    page = load("kit/controls.js")
    page.evaluate(BEGIN, [BUTTON, CHOICE, CHECK, LINE])
    return page


def of(page: Page, control: str) -> Any:
    return page.locator(f"[data-control={control}]")


def test_each_stands_in_its_row_under_its_label_with_its_value(page: Page) -> None:
    expect(page.locator("#bar [data-control]")).to_have_count(3)
    expect(page.locator("#foot").get_by_label("tune")).to_have_value("x")
    expect(page.get_by_label("way")).to_have_value("b")
    expect(page.get_by_label("axes")).to_be_checked()
    assert page.locator("select option").all_inner_texts() == ["–", "a", "b"]
    assert page.locator("#k1-tune option").evaluate_all("(a) => a.map((o) => o.value)") == [
        "one",
        "two",
    ]
    expect(page.get_by_label("tune")).to_have_attribute("list", "k1-tune")


def test_what_is_used_is_told(page: Page) -> None:
    of(page, "hear").click()
    of(page, "way").select_option("a")
    of(page, "axes").uncheck()
    of(page, "tune").fill("y")
    page.keyboard.press("Enter")
    assert page.evaluate("told") == [
        "before",
        {"set": "hear", "value": ""},
        {"set": "way", "value": "a"},
        {"set": "axes", "value": False},
        {"set": "tune", "value": "y"},
        {"set": "draft", "value": ""},
    ]


def test_a_button_that_is_off_keeps_the_focus_and_tells_nothing(page: Page) -> None:
    of(page, "hear").focus()
    page.evaluate("(all) => controls.show(all)", [{**BUTTON, "off": True}, CHOICE, CHECK, LINE])
    expect(of(page, "hear")).to_have_attribute("aria-disabled", "true")
    expect(of(page, "hear")).to_be_focused()
    page.keyboard.press("Enter")
    assert page.evaluate("told") == []


def test_controls_stay_where_only_their_values_are_others(page: Page) -> None:
    page.evaluate("document.querySelector('select').dataset.mine = '1'")
    page.evaluate("(all) => controls.show(all)", [BUTTON, {**CHOICE, "value": "a"}, CHECK, LINE])
    expect(of(page, "way")).to_have_attribute("data-mine", "1")
    expect(of(page, "way")).to_have_value("a")


def test_where_there_are_others_all_are_made_anew_and_the_focus_stays(page: Page) -> None:
    """A line that is made anew shows its value although it has the focus: nobody typed in it."""
    of(page, "tune").focus()
    more = {**CHOICE, "options": ["", "a", "b", "c"]}
    page.evaluate("(all) => controls.show(all)", [BUTTON, more, {**LINE, "value": "new"}])
    expect(of(page, "tune")).to_be_focused()
    expect(of(page, "tune")).to_have_value("new")
    expect(of(page, "axes")).to_have_count(0)
    expect(page.locator("select option")).to_have_count(4)


def test_a_line_is_copied_and_where_that_is_refused_it_is_shown(page: Page) -> None:
    line = 'hk.workbook.ClockPanel.from_text("clock 1")'
    page.evaluate(
        "(all) => { window.put = []; Object.defineProperty(navigator, 'clipboard', { value: "
        "{ writeText: async (text) => { if (put.length) throw new Error('no'); put.push(text); } }"
        " }); controls.show(all); }",
        [asked("share", "copy", value=line)],
    )
    of(page, "share").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#bar [role=status]")).to_contain_text("Copied. Paste it")
    assert page.evaluate("put") == [line]
    page.keyboard.press("Enter")
    field = page.get_by_label("the line to copy")
    expect(field).to_have_value(line)
    expect(field).to_be_focused()
    assert page.evaluate("getSelection().toString() || document.activeElement.value") == line
    assert page.evaluate("told") == []


def test_a_file_is_handed_over_whole(page: Page) -> None:
    page.evaluate("(all) => controls.show(all)", [asked("pick", "file"), LINE])
    page.locator("input[type=file]").set_input_files(
        {"name": "a.abc", "mimeType": "text/plain", "buffer": b"X:1\n"}
    )
    page.wait_for_function("told.length")
    assert page.evaluate("told") == [{"file": "a.abc"}]
    assert page.evaluate("[...new Uint8Array(buffers[0][0])]") == list(b"X:1\n")
    expect(page.get_by_role("button", name="pick")).to_be_visible()
    # The same file can be picked once more.
    expect(page.locator("input[type=file]")).to_have_value("")


# What was told, the buffers as text.
TOLD = """
() => told.map((message, n) => [message, btoa(Array.from(new Uint8Array(buffers[n][0]),
  (each) => String.fromCharCode(each)).join(""))])
"""


@pytest.mark.parametrize(("rate", "seconds"), [(48_000, 4), (44_100, 75)])
def test_a_recording_is_made_small_and_told_in_pieces(
    load: Load, tmp_path: Path, rate: int, seconds: int
) -> None:
    page = load("kit/controls.js")
    page.evaluate(BEGIN, [asked("recording", "file", options=["audio/*", ".wav"])])
    # Until it was told, which takes seconds, the button says what goes on.
    page.evaluate(
        "() => { const one = document.querySelector('[data-control=recording]'); window.words = [];"
        " new MutationObserver(() => words.push([one.textContent, told.length]))"
        ".observe(one, { childList: true }); }"
    )
    # A4 on the left, E5 on the right.
    time = np.arange(seconds * rate) / rate
    both = np.stack([np.sin(2 * np.pi * hertz * time) for hertz in (440, 659.255)], axis=1)
    soundfile.write(tmp_path / "mine.wav", 0.4 * both, rate)
    page.locator("[data-file=recording]").set_input_files(tmp_path / "mine.wav")
    pieces = -(-(44 + 2 * 22_050 * seconds) // 3_000_000)
    page.wait_for_function(f"told.length === {pieces}")
    expect(page.locator("[data-control=recording]")).to_have_text("recording")
    assert page.evaluate("words") == [["Reading mine.wav", 0], ["recording", pieces]]
    told = page.evaluate(TOLD)
    assert [each for each, _ in told] == [
        {"file": "mine.wav", "piece": n, "last": pieces - 1} for n in range(pieces)
    ]
    data = b"".join(base64.b64decode(text) for _, text in told)
    heard, got = soundfile.read(io.BytesIO(data))
    assert (got, heard.ndim) == (22_050, 1)
    assert len(heard) == pytest.approx(22_050 * seconds, abs=100)
    spectrum = np.abs(np.fft.rfft(heard[:44_100]))
    peaks = sorted(np.argsort(spectrum)[-2:] / 2)
    assert peaks == pytest.approx([440, 659.5], abs=1)


def test_what_the_browser_cannot_read_is_told_as_it_is(load: Load, tmp_path: Path) -> None:
    page = load("kit/controls.js")
    page.evaluate(BEGIN, [asked("recording", "file", options=["audio/*"])])
    (tmp_path / "mine.wav").write_bytes(b"no sound at all")
    page.locator("[data-file=recording]").set_input_files(tmp_path / "mine.wav")
    page.wait_for_function("told.length === 1")
    ((message, data),) = page.evaluate(TOLD)
    assert message["last"] == 0 and base64.b64decode(data) == b"no sound at all"


def test_an_option_is_shown_as_printed_and_told_as_typed(page: Page) -> None:
    named = asked("key", "choice", value="Eb", options=["Eb", "A"], printed=["E♭", "A"])
    page.evaluate("(asked) => controls.show(asked)", [named])
    field = page.get_by_label("key")
    expect(field.locator("option")).to_have_text(["E♭", "A"])
    expect(field).to_have_value("Eb")
    field.select_option(label="A")
    field.select_option(label="E♭")
    assert page.evaluate("told.slice(-1)") == [{"set": "key", "value": "Eb"}]
