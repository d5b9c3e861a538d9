"""The arranger's page in JupyterLab: by mouse, by keyboard, by ear, and after a crash.

What stands on the page is compared with a search of the test's own for the state that was kept, and
what was taken away is read back by music21.
"""

from __future__ import annotations

import json
import os
import random
import re
import signal
from collections.abc import Iterator
from pathlib import Path

import music21
import pytest
from axe_playwright_python.sync_playwright import Axe
from heard import loudness_played
from lab_in_browser import CUT_OFF, Bench, Lab, open_notebook, write_notebook
from playwright.sync_api import Browser, Locator, expect
from pypdf import PdfReader

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.workbook.reharmonise.charts import put_in
from harmonykit.workbook.reharmonise.decisions import held_bars, places_of
from harmonykit.workbook.reharmonise.state import ReharmoniseState, from_kept
from harmonykit.workbook.reharmonise.ways import Ways, find_best, find_front

CELLS = (
    "import os; _ = open('kernel', 'w').write(str(os.getpid()))",
    "from harmonykit.workbook import ReharmonisePanel",
    "panel = ReharmonisePanel('slack_water_waltz')",
    "panel",
    "print('ready')",
)
KEPT = "reharmonise-kept.json"
PARTS = ".hk-reharmonise :is(.bar, .cell, .box, .number, button, select, input, textarea, th, td)"
TYPED = "| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | Eb6 D7 | Gm6 |"
SETTLED = "document.querySelector('.hk-reharmonise').dataset.settled === 'yes'"
# Sounds stand still where they begin, until the test goes to another place: what is shown for
# it then stays for as long as it takes to look.
STAND_STILL = """
() => {
  window.realPlay ??= HTMLMediaElement.prototype.play;
  HTMLMediaElement.prototype.play = () => Promise.resolve();
}
"""
PLAY_ON = "() => { HTMLMediaElement.prototype.play = window.realPlay; }"
# Go on by some seconds, in both sounds.
GO_ON = "(root, s) => root.querySelectorAll('audio').forEach((each) => { each.currentTime += s; })"


def quiet(done: int, total: int) -> None:
    pass


class Arranger:
    """Whoever arranges, with eyes and hands on one page."""

    def __init__(self, bench: Bench, folder: Path) -> None:
        self.bench, self.page, self.folder = bench, bench.page, folder
        self.panel: Locator = self.page.locator(".hk-reharmonise")
        expect(self.panel).to_have_count(1)
        self.text = self.panel.locator("textarea")
        self.known: dict[ReharmoniseState, Arrangement] = {}
        self.panel.scroll_into_view_if_needed()
        self.settled()

    def settled(self) -> None:
        """Wait until all was heard, found and drawn."""
        self.page.wait_for_function(SETTLED)

    def type(self, text: str) -> None:
        self.text.fill(text)
        self.text.press("Tab")
        self.settled()

    def press(self, part: str, within: str = "") -> None:
        self.panel.locator(f'{within} [data-press="{part}"]').first.click()
        self.settled()

    def tick(self, control: str) -> None:
        self.panel.locator(f'[data-set="{control}"]').click()
        self.settled()

    def button(self, name: str) -> None:
        self.panel.get_by_role("button", name=name, exact=True).click()
        self.settled()

    @property
    def state(self) -> ReharmoniseState:
        return from_kept(json.loads((self.folder / KEPT).read_text(encoding="utf-8"))["typed"])

    def in_step(self) -> Ways:
        """Compare the page with a search of our own for the state that was kept."""
        self.settled()
        state = self.state
        ways = find_front(find_best(state, quiet), quiet)
        chosen, listed = ways.chosen(state.chosen), ways.listed(state)
        expect(self.text).to_have_value(state.text)
        parts = "(all) => all.map((each) => each.dataset.press)"
        plot = self.panel.locator("[data-region=plot] [data-press]")
        assert set(plot.evaluate_all(parts)) == {f"row-{row.id}" for row in ways.rows}
        table = self.panel.locator("tr[data-press]")
        assert table.evaluate_all(parts) == [f"row-{row.id}" for row in listed]
        for where in ("[data-region=plot]", "table"):
            pressed = self.panel.locator(f'{where} [data-press][aria-pressed="true"]')
            assert pressed.evaluate_all(parts) == [f"row-{chosen.id}"]
        numbers = [row.locator("td").first.inner_text() for row in table.all()]
        assert numbers == [str(row.measures.semitones) for row in listed]
        self.shows(chosen.arrangement)
        held = self.panel.locator('[data-press^="hold-"][aria-pressed="true"]')
        bars = {int(each.split("-")[1]) for each in held.evaluate_all(parts)}
        assert bars == held_bars(chosen.arrangement, ways.framing.shown(state.decided))
        reasons = self.panel.locator('[data-press^="step-"][data-way="chosen"]')
        assert reasons.count() == len(put_in(chosen.arrangement))
        return ways

    def way(self) -> Arrangement:
        """Return the best for the state that was kept, found by ourselves; the page shows it."""
        self.settled()
        state = self.state
        if state not in self.known:
            self.known[state] = find_best(state, quiet).chosen("best-1").arrangement
        self.shows(self.known[state])
        return self.known[state]

    def shows(self, way: Arrangement) -> None:
        chart = self.panel.locator('.cells[data-way="chosen"]')
        words = "(all) => all.map((each) => each.textContent)"
        shown = chart.locator(".cell .chord").evaluate_all(words)
        assert shown == [step.chord.unicode if step.chord else "N.C." for step in way.steps]
        digits = chart.locator(".digits").evaluate_all(words)
        assert digits == [step.voicing.digits for step in way.steps if step.voicing]


@pytest.fixture(scope="module")
def begun(browser: Browser, lab: Lab) -> Iterator[Arranger]:
    folder = lab.new_folder("arranger")
    write_notebook(folder / "page.ipynb", *CELLS)
    bench = open_notebook(browser, lab, f"{folder.name}/page.ipynb")
    assert not (folder / KEPT).exists()
    yield Arranger(bench, folder)
    bench.leave()


@pytest.fixture
def arranger(begun: Arranger) -> Arranger:
    """The page with a tune of eight bars, its chart and the usual moves, whatever was done before.

    A tune of few bars comes first: each tick of a move is followed by a search.
    """
    menu = begun.panel.locator(".hk-menu")
    if menu.count() and menu.first.is_visible():
        menu.first.press("Escape")
        expect(menu).to_have_count(0)
    begun.button("Chart")
    begun.type(TYPED)
    # Above 160 little is added: a tempo that another test set stays until it is set again.
    tempo = begun.panel.locator('[data-set="tempo"]')
    if tempo.input_value() == "240":
        tempo.fill("120")
        tempo.press("Enter")
        begun.settled()
    begun.button("Unlock and allow all")
    for name in ("intro", "ending"):
        if begun.panel.locator(f'[data-set="{name}"]').input_value():
            begun.panel.locator(f'[data-set="{name}"]').select_option("")
            begun.settled()
    shown = begun.panel.locator('.hk-beside[aria-pressed="true"]')
    if shown.count() and shown.is_enabled():
        shown.click()
        begun.settled()
    for name in MOVES:
        ticked = begun.panel.locator(f'[data-set="move-{name}"]').is_checked()
        if ticked != (name in USUAL):
            begun.tick(f"move-{name}")
    return begun


def test_opened_and_what_is_wrong_is_said_in_its_place(arranger: Arranger, tmp_path: Path) -> None:
    panel = arranger.panel
    chart = panel.locator("[data-region=chart]")
    before = chart.inner_text()
    arranger.type("| C6 | Hx7 |")
    fault = panel.locator(".hk-fault")
    expect(fault).to_contain_text("line 1, column 8")
    expect(fault).to_contain_text("^")
    assert chart.inner_text() == before  # the last that was good
    arranger.type(TYPED)
    expect(fault).to_have_count(0)
    tempo, trouble = (panel.locator(each) for each in ('[data-set="tempo"]', ".hk-trouble"))
    stood = tempo.input_value()
    tempo.fill("quick")
    tempo.press("Enter")
    expect(trouble).to_contain_text("'quick' is not a number")
    expect(tempo).to_have_value("quick")
    arranger.press("row-best-1", "table")
    expect(trouble).to_be_hidden()
    expect(tempo).to_have_value(stood)
    # What was chosen stays as it was, and is what a search of our own finds.
    arranger.in_step()
    abc = tmp_path / "two.abc"
    abc.write_text(
        'X:1\nT:Ebb\nM:4/4\nL:1/4\nK:G\n"G"G4|"D7"A4|"G"G4|\n\n'
        'X:7\nT:Flow\nM:3/4\nL:1/4\nK:D\n"D"D3|"A7"A3|"D"D3|\n'
    )
    panel.locator("[data-upload]").set_input_files(abc)
    expect(panel.locator(".hk-said")).to_contain_text("Ebb in G major")
    panel.locator('[data-set="number"]').select_option("7")
    expect(panel.locator(".hk-said")).to_contain_text("Flow in D major")
    panel.locator("[data-typed=path]").fill("no such file.toml")
    panel.locator("[data-typed=path]").press("Enter")
    tune = panel.locator("section", has_text="The tune").first
    expect(tune.locator(".hk-trouble")).to_contain_text("no such file")
    arranger.type(TYPED)
    expect(trouble).to_be_hidden()
    panel.locator("[data-typed=path]").fill(" ")
    arranger.text.fill(TYPED.replace("Gm6", "Gm7"))
    panel.locator("button[data-do=open]").click()
    expect(panel.locator("[data-typed=path]")).to_be_focused()
    arranger.settled()
    expect(arranger.text).to_have_value(TYPED.replace("Gm6", "Gm7"))
    expect(tune.locator(".hk-trouble")).to_be_hidden()
    arranger.bench.healthy()


def test_heard_at_the_tempo_with_the_bar_shown_and_two_in_turn(arranger: Arranger) -> None:
    panel = arranger.panel
    arranger.panel.locator('[data-set="tempo"]').fill("240")
    arranger.panel.locator('[data-set="tempo"]').press("Enter")
    arranger.settled()
    panel.get_by_role("button", name="Compare usual 2 with the chosen one").click()
    arranger.settled()
    expect(panel.locator('.cells[data-way="beside"]')).to_have_count(8)
    expect(panel.locator(".bar.differs")).not_to_have_count(0)
    hear, stop = (panel.get_by_role("button", name=n) for n in ("Hear it from bar 3", "Stop"))
    hear.click()
    # It is said when the browser has begun to play.
    expect(panel).to_have_attribute("data-sound", re.compile(r"^[\d.]+$"))
    expect(panel.locator("audio")).to_have_count(2)
    # Each is as loud as all our files, so that the two can be compared.
    for each in panel.locator("audio").all():
        assert loudness_played(each) == pytest.approx(-20, abs=0.2)
    stop.click()
    arranger.page.evaluate(STAND_STILL)
    hear.click()
    # At 240 a minute each bar lasts a second: the count-in is passed over.
    sounding = panel.locator('.bar.sounds:has([data-way="chosen"] .sounds)')
    expect(sounding).to_have_attribute("data-bar", "2")
    panel.evaluate(GO_ON, 0.98)
    expect(panel.locator(".cell.comes")).to_have_count(1)
    expect(sounding).to_have_attribute("data-bar", "2")
    panel.evaluate(GO_ON, 0.04)
    expect(sounding).to_have_attribute("data-bar", "3")
    panel.get_by_role("button", name="Switch").click()
    beside = panel.locator('.bar.sounds:has([data-way="beside"] .sounds)')
    expect(beside).to_have_attribute("data-bar", "3")
    expect(panel.locator(".hk-where")).to_have_text("beside: bar 4")
    stop.click()
    expect(panel.locator(".sounds")).to_have_count(0)
    panel.get_by_role("button", name="Hear both in turn").click()
    expect(panel.locator(".hk-where")).to_contain_text("count-in")
    stop.click()
    arranger.page.evaluate(PLAY_ON)
    arranger.bench.healthy()


def read_back(path: Path) -> list[tuple[int, ...]]:
    """The chords of a score's last part as music21 reads them, from the lowest pitch up."""
    part = music21.converter.parse(path).parts[-1]
    chords = part.recurse().getElementsByClass("Chord")
    plain = (each for each in chords if not isinstance(each, music21.harmony.ChordSymbol))
    return [tuple(sorted(pitch.midi for pitch in chord.pitches)) for chord in plain]


# Which views are looked at light (no), dark (yes), or both ways, one after the other.
LIGHTS = {"Neck": ["false"], "Staff": ["true"], "Map": ["false"], "Chart": ["false", "true"]}


@pytest.mark.parametrize(
    "lights",
    [
        LIGHTS,
        pytest.param(dict.fromkeys(LIGHTS, ["false", "true"]), marks=pytest.mark.long),
    ],
    ids=["some", "all"],
)
def test_no_serious_fault_for_those_who_cannot_see_and_nothing_cut(
    arranger: Arranger, lights: dict[str, list[str]]
) -> None:
    """Each view, with a menu open and two beside each other, light and dark, narrow and wide."""
    panel, page = arranger.panel, arranger.page
    chosen = arranger.in_step().chosen("best-1").arrangement
    panel.get_by_role("button", name="Compare as written with the chosen one").click()
    arranger.settled()
    panel.locator('[data-press^="step-"]').first.click()
    arranger.settled()
    step = chosen.steps[arranger.state.step]
    for view, themes in lights.items():
        arranger.button(view)
        if view == "Neck":
            expect(panel.locator("[data-region=neck]")).to_contain_text(step.reason)
        if view == "Staff":
            expect(panel.locator("[data-region=staff] g.measure")).to_have_count(8)
        if view == "Chart":
            panel.locator(".cell.added").first.click()
            expect(panel.locator("[data-press=other-0]")).to_be_visible()
        for light in themes:
            page.evaluate("(is) => document.body.dataset.jpThemeLight = is", light)
            panel.evaluate("(panel) => panel.id = 'looked-at'")
            found = Axe().run(page, context="#looked-at").response["violations"]
            panel.evaluate("(panel) => panel.removeAttribute('id')")
            serious = [
                (each["id"], each["nodes"][0]["html"])
                for each in found
                if each["impact"] in ("serious", "critical")
            ]
            assert serious == [], (view, light)
    assert panel.locator("[data-press][role=button]:not([aria-label])").count() == 0
    page.keyboard.press("Escape")
    files = page.locator("#jp-left-stack")
    if files.is_visible():
        page.locator(".jp-NotebookPanel-toolbar").click(position={"x": 2, "y": 2})
        page.keyboard.press("Control+b")
    expect(files).to_be_hidden()
    for width in (768, 1024, 1440):
        page.set_viewport_size({"width": width, "height": 1600})
        assert page.evaluate(CUT_OFF, PARTS) == [], width
    page.set_viewport_size({"width": 1280, "height": 1600})
    arranger.press("row-best-1", "table")


OWN = """X:1
T:Gull on the Post
M:4/4
L:1/4
Q:1/4=96
K:G
"G"G B d B|"Em7"e2 d B|"Am7"c A c e|"D7"d3 z|
"G"G B d g|"C"e2 c e|"D7"d c A F|"G"G4|
"""


class Hands:
    """Press what stands on the page by the mouse, or by keys alone."""

    def __init__(self, arranger: Arranger, by: str) -> None:
        self.arranger, self.by, self.panel = arranger, by, arranger.panel
        self.keyboard = arranger.page.keyboard
        self.took: list[float] = []

    def press(self, name: str) -> None:
        """Press a part of the chart or the menu."""
        part = self.panel.locator(f'[data-press="{name}"]').first
        if self.by == "mouse":
            part.click()
        elif name.startswith("other-"):
            self.walk("ArrowDown", name)
        else:
            self.panel.locator('[data-region=chart] [tabindex="0"]').first.focus()
            self.walk("ArrowRight", name)

    def walk(self, key: str, name: str) -> None:
        """Go by arrow keys, a row at a time, until a part has the focus; press it."""
        for _ in range(200):
            now = self.focused
            if now == name:
                self.keyboard.press("Enter")
                return
            self.keyboard.press(key)
            if self.focused == now:  # the end of the row: on from the start of the next
                self.keyboard.press("ArrowDown")
                for _ in range(40):
                    now = self.focused
                    self.keyboard.press("ArrowLeft")
                    if self.focused == now:
                        break
        raise AssertionError(f"{name} is not reached by keys")

    @property
    def focused(self) -> str:
        said = self.arranger.page.evaluate(
            "(({ dataset, id, className }) => dataset.press ?? dataset.from ?? dataset.do ?? id ??"
            " className)(document.activeElement)"
        )
        return str(said)

    def do(self, what: str) -> None:
        button = self.panel.locator(f'[data-do="{what}"]')
        if self.by == "mouse":
            button.click()
            return
        button.focus()
        self.keyboard.press("Enter")

    def found_at_once(self) -> None:
        """Note how long the chart took that was found around the place."""
        self.arranger.settled()
        self.took.append(float(self.panel.get_attribute("data-drew") or "inf"))

    def choose(self, control: str, label: str) -> None:
        select = self.panel.locator(f'select[data-set="{control}"]')
        if self.by == "mouse":
            select.select_option(label)
        else:
            select.focus()
            self.keyboard.press(label[0])  # no other label begins so
        self.arranger.settled()


# All else here is done by mouse.
@pytest.mark.parametrize("by", [pytest.param("mouse", marks=pytest.mark.long), "keys"])
def test_refused_exchanged_locked_bent_and_taken_away(arranger: Arranger, by: str) -> None:
    """A tune of one's own with its melody, every gesture, and the files read by other libraries."""
    panel, hands = arranger.panel, Hands(arranger, by)
    arranger.type(OWN)
    # The tune is known from the run before, with what was decided about it.
    arranger.button("Unlock and allow all")
    panel.locator('[data-set="contour-1"]').select_option("")
    arranger.settled()
    way = arranger.way
    assert [note.note.midi for note in way().tune.melody[:4]] == [67, 71, 74, 71]
    # One is refused,
    before = way()
    place = next(p for p in places_of(before) if before.steps[p.index].added)
    chord = before.steps[place.index].chord
    hands.press(place.id)
    hands.do("refuse")
    hands.found_at_once()
    assert arranger.state.decided.refused == ((place.slot.onset, chord),)
    assert chord not in [
        s.chord for s in way().steps if place.slot.onset <= s.onset < place.slot.end
    ]
    assert re.match(f"place-{place.number}-", hands.focused)
    # one exchanged,
    other = next(p for p in places_of(way()) if p.number > place.number)
    hands.press(other.id)
    expect(panel.locator("[data-press=other-1]")).to_be_visible()
    names = panel.locator("[data-press^=other-] b").all_inner_texts()
    stands = panel.locator("[data-press^=other-]").evaluate_all(
        "(all) => all.findIndex((one) => one.ariaPressed === 'true')"
    )
    taken = next(n for n in range(len(names)) if n != stands)
    hands.press(f"other-{taken}")
    hands.found_at_once()
    expect(panel).to_have_attribute("data-excerpt", re.compile(r"^[\d.]+$"))
    arranger.page.keyboard.press("Escape")
    now = [s for s in way().steps if other.slot.onset <= s.onset < other.slot.end]
    said = [s.chord.unicode for s in now if s.chord]
    assert (
        " ".join(n for n, before in zip(said, ["", *said], strict=False) if n != before)
        == names[taken]
    )
    # two bars locked,
    for bar in (4, 6):
        hands.press(f"hold-{bar}")
        hands.found_at_once()
    kept = [way().bars()[bar] for bar in (4, 6)]
    # the contour of the second phrase changed, undone and done again.
    hands.choose("contour-1", "fall")
    found = way()
    assert arranger.state.decided.contours == ("", "fall")
    if by == "mouse":
        hands.do("undo")
    else:
        panel.locator('[data-region=chart] [tabindex="0"]').first.focus()
        hands.keyboard.press("Control+z")
    arranger.settled()
    assert arranger.state.decided.contours == ()
    hands.do("redo")
    arranger.settled()
    assert way().steps == found.steps
    for bar, steps in zip((4, 6), kept, strict=True):
        assert [s.chord for s in found.bars()[bar]] == [s.chord for s in steps]
    for name in ("Score (MusicXML)", "MIDI", "Pages (PDF)"):
        arranger.button(name)
    folder = arranger.folder / "reharmonised"
    stem = folder / "gull-on-the-post-best-1"
    sounds = [tuple(sorted(set(step.sounds))) for step in found.steps]
    assert read_back(stem.with_suffix(".musicxml")) == sounds
    played = music21.converter.parse(stem.with_suffix(".mid")).flatten().notes
    heard = {pitch.midi for note in played for pitch in note.pitches}
    assert heard == {n for each in sounds for n in each} | {n.note.midi for n in found.tune.melody}
    pages = PdfReader(stem.with_suffix(".pdf")).pages
    assert "Gull on the Post" in pages[0].extract_text()
    arranger.in_step()
    # An intro goes before it all, and what was locked stays locked, until it is undone.
    hold = panel.locator('[data-press^="hold-"][aria-pressed="true"]')
    held = [int(each.get_attribute("data-press").split("-")[1]) for each in hold.all()]
    hands.choose("intro", "turnaround twice")
    assert {4, 6} <= {*held} and arranger.in_step().framing.bars.start == 4
    expect(panel.locator("[data-region=chart] h4").first).to_contain_text("Intro, bars 1 to 4")
    assert [each.get_attribute("data-press") for each in hold.all()] == [
        f"hold-{bar + 4}" for bar in held
    ]
    hands.do("undo")
    assert arranger.in_step().framing.bars.start == 0
    assert [each.get_attribute("data-press") for each in hold.all()] == [
        f"hold-{bar}" for bar in held
    ]
    print("found at once, in ms:", hands.took)
    arranger.type(TYPED)
    arranger.bench.healthy()


def test_a_long_search_is_answered_meanwhile_and_can_be_stopped(arranger: Arranger) -> None:
    panel = arranger.panel
    panel.locator('[data-set="move-idioms"]').click()
    arranger.text.fill("|" + " Gm6 | Bb7 | Eb6 | D7 | Cm6 | F7 |" * 16)
    arranger.text.press("Tab")
    expect(panel.locator(".bar")).to_have_count(96)
    expect(panel.locator(".hk-busy")).to_contain_text("searching")
    panel.locator('table [data-press="row-best-2"]').first.click()
    expect(panel.locator(".hk-name")).to_contain_text("usual 2")
    panel.get_by_role("button", name="Stop", exact=True).click()
    expect(panel.locator(".hk-trouble")).to_contain_text("was stopped")
    assert panel.locator(".bar").count() == 96
    arranger.tick("move-idioms")
    arranger.bench.healthy()


ACT = """
async (panel, draws) => {
  for (const [draw, place] of draws) {
    const kinds = [
      "[data-region=plot] [data-press]", "tr[data-press] button", "[data-press^=place-]",
      "[data-press^=hold-]", "[data-press^=other-]", "[data-press^=allow-]",
      "[data-set^=move-]", "[data-press^=step-]", "[data-set=view]", "[data-set=order]",
      "[data-set=all_numbers]", "[data-set=intro]", "[data-set=ending]",
      "[data-do]:not([data-do=stop])", "[data-play]",
    ];
    const all = [...panel.querySelectorAll(kinds[Math.floor(draw * kinds.length)])];
    const seen = all.filter((each) => !each.disabled && !each.closest("[hidden]"));
    const one = seen[Math.floor(place * seen.length)];
    if (one?.matches("select")) {
      one.selectedIndex = Math.floor(place * 97) % one.options.length;
      one.dispatchEvent(new Event("change", { bubbles: true }));
    } else {
      one?.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
    }
    await new Promise((done) => requestAnimationFrame(done));
  }
}
"""


def kernel(folder: Path) -> int:
    return int((folder / "kernel").read_text(encoding="utf-8"))


def memory_mib(folder: Path) -> float:
    status = Path(f"/proc/{kernel(folder)}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmRSS:\s*(\d+)", status)[1]) / 1024  # type: ignore[index]


@pytest.mark.parametrize("actions", [30, pytest.param(200, marks=pytest.mark.long)])
def test_random_actions_leave_all_in_step(arranger: Arranger, actions: int) -> None:
    draw = random.Random(actions)

    def act() -> None:
        draws = [[draw.random(), draw.random()] for _ in range(actions)]
        arranger.panel.evaluate(ACT, draws)
        arranger.in_step()

    # The first round loads what sounds and pictures need.
    act()
    before = memory_mib(arranger.folder)
    act()
    assert memory_mib(arranger.folder) - before < 50
    arranger.bench.healthy()


def test_what_was_typed_outlives_the_kernel(arranger: Arranger) -> None:
    page = arranger.page
    arranger.button("Chart")
    arranger.type(TYPED + "\n| F6 | G7 | C6 | C6 |")
    arranger.press("hold-8")
    kept = arranger.state
    os.kill(kernel(arranger.folder), signal.SIGKILL)
    # JupyterLab says so, and begins the kernel anew; what is typed meanwhile is kept too.
    page.get_by_role("button", name=re.compile("^Ok$")).first.click()
    arranger.text.fill(kept.text + "\n| G7 | C6 |")
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    expect(arranger.panel.locator(".hk-said")).to_contain_text("14 bars")
    arranger.settled()
    now = arranger.in_step().state
    assert now.text.endswith("| G7 | C6 |") and (now.decided, now.moves) == (
        kept.decided,
        kept.moves,
    )
    # What a tab says of a kernel that dies is no fault of the page.
    arranger.bench.complaints.clear()
