"""Essays as pages in a browser, from their files: panels answer as in the notebook, without one."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from page_in_browser import Opened, opened
from playwright.sync_api import Browser, expect

import harmonykit as hk
from harmonykit.cli import main
from harmonykit.home.essays import PAGES, write_essay

MOST_BYTES = 2_000_000


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("essays") / "02_four_parents.html"
    path.write_text(write_essay("02_four_parents"), encoding="utf-8")
    return path


def faults(tab: Opened) -> list[tuple[str, str]]:
    response = Axe().run(tab.page).response
    assert len(response["passes"]) > 8
    return [
        (each["id"], each["nodes"][0]["html"])
        for each in response["violations"]
        if each["impact"] in ("serious", "critical")
    ]


def test_an_essay_asks_and_its_panel_answers_as_python_does(browser: Browser, file: Path) -> None:
    assert len(file.read_bytes()) < MOST_BYTES
    tab = opened(browser, file, 390)
    page = tab.page
    assert page.locator(".panel").count() == 2
    expect(page.locator(".hk-essay")).to_be_visible()
    panel = hk.workbook.OneNotePanel(hk.Chord.parse("Adim7"))
    shown = page.locator(".panel").nth(1)
    expect(shown.locator(".hk-facts")).to_have_text(panel.facts)
    for part in panel.parts()[:3]:
        panel.press(part)
        shown.locator(f"[data-part='{part}']").dispatch_event("click")
        expect(shown.locator(".hk-facts")).to_have_text(panel.trouble or panel.facts)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert faults(tab) == []
    tab.healthy()
    tab.leave()


def test_a_panel_is_heard_and_says_where_it_ends(browser: Browser, file: Path) -> None:
    """The bytes are a WAV file (RIFF, 16 bits, one channel) that is as loud as it should be."""
    tab = opened(browser, file, 1024, "dark")
    page = tab.page
    told = page.evaluate(
        "async () => { await sound.wake(); const made = mixed([[60, 64, 67], [59, 62, 67]]);"
        " const view = new DataView(wavOf(made)); let most = 0;"
        " for (let n = 44; n < view.byteLength; n += 2) most = Math.max(most, Math.abs(view.getInt16(n, true)));"  # noqa: E501
        " return [view.getUint32(0), view.getUint32(40, true) + 44, view.byteLength, view.getUint16(34, true), most]; }"  # noqa: E501
    )
    assert told[0] == int.from_bytes(b"RIFF", "big") and told[1] == told[2] and told[3] == 16
    assert 5_000 < told[4] < 32_768
    shown = page.locator(".panel").nth(1)
    page.evaluate(
        "() => { const told = JSON.parse(document.getElementById('panels').textContent)[1];"
        " const r = new Replay(told); r.on('change:shown', () => null);"
        " r.go('press nowhere'); window.said = r.get('shown').trouble; }"
    )
    assert "goes no further" in page.evaluate("window.said")
    shown.get_by_role("button", name="Hear it").click()
    expect(shown.locator(".harmonykit-panel[data-played]")).to_be_attached()
    tab.asked[:] = [url for url in tab.asked if not url.startswith("blob:")]
    tab.healthy()
    tab.leave()


@pytest.mark.long
def test_all_pages_are_small_and_without_a_fault(
    browser: Browser, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(["workbook", "--pages", str(tmp_path / "home")])
    assert left.value.code == 0 and "open index.html" in capsys.readouterr().out
    names = [f"{name}.html" for name in PAGES] + ["practice.html", "index.html"]
    files = json.loads((tmp_path / "home" / "manifest.json").read_text("utf-8"))["files"]
    assert set(files) == set(names)
    for name in names:
        path = tmp_path / "home" / name
        text = path.read_text("utf-8")
        assert len(text.encode()) < MOST_BYTES, name
        linked = set(re.findall(r'href="([\w.]+\.html)"', text))
        assert linked <= set(names), name
        for width in (360, 768, 1280):
            tab = opened(browser, path, width, "dark" if width == 768 else "light")
            assert tab.page.evaluate("document.documentElement.scrollWidth") <= width, name
            if width != 768:
                assert faults(tab) == [], name
            tab.healthy()
            tab.leave()


WALK = """([n, steps]) => {
  const panel = document.querySelectorAll(".panel .harmonykit-panel:not(.hk-essay, .hk-start)")[n];
  const facts = panel.querySelector(".hk-facts");
  const said = [];
  let chance = 7;
  for (let step = 0; step < steps; step += 1) {
    const all = panel.querySelectorAll("button[data-control], select, input, [data-press]");
    const offered = [...all].filter((one) => one.getAttribute("aria-disabled") !== "true"
      && !one.disabled && one.style.display !== "none" && one.dataset.control !== "hear");
    chance = (chance * 1103515245 + 12345) % 2147483648;
    const one = offered[chance % offered.length];
    if (one.matches("select")) {
      const others = [...one.options].filter((each) => !each.disabled && each.value !== one.value);
      one.value = others[chance % others.length].value;
      one.dispatchEvent(new Event("change"));
    } else one.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    if (facts.textContent.includes("goes no further")) said.push(one.outerHTML.slice(0, 90));
  }
  return said;
}"""


@pytest.mark.parametrize(
    ("name", "panels"), [("03_sixth_diminished_scale", 2), ("07_set_class_catalogue", 3)]
)
def test_a_page_offers_nothing_that_it_cannot_do(
    browser: Browser, tmp_path: Path, name: str, panels: int
) -> None:
    """Whatever is offered is pressed by chance, 150 times: the page goes on each time."""
    path = tmp_path / f"{name}.html"
    path.write_text(write_essay(name), encoding="utf-8")
    assert len(path.read_bytes()) < MOST_BYTES
    tab = opened(browser, path, 390)
    shown = tab.page.locator(".panel .harmonykit-panel:not(.hk-essay)")
    assert shown.count() == panels
    for n in range(panels):
        assert tab.page.evaluate(WALK, [n, 150]) == []
        back = shown.nth(n).get_by_role("button", name="Back to the beginning")
        back.dispatch_event("click")
        expect(back).to_have_attribute("aria-disabled", "true")
    tab.healthy()
    tab.leave()


def test_a_scale_is_played_up_to_its_end(browser: Browser, tmp_path: Path) -> None:
    """Every step up that the notebook takes is on the page, and the first step of each tuning."""
    path = tmp_path / "03.html"
    path.write_text(write_essay("03_sixth_diminished_scale"), encoding="utf-8")
    tab = opened(browser, path, 390)
    shown = tab.page.locator(".panel").nth(2)
    panel = hk.workbook.ChordScalePanel("D", "major", "2222")
    up = shown.get_by_role("button", name="Step up")
    for _ in range(6):
        panel.set("up")
        up.click()
        expect(shown.locator(".hk-facts")).to_have_text(panel.facts)
    expect(up).to_have_attribute("aria-disabled", "true")
    for instrument in ("guitar", "baritone ukulele"):
        shown.get_by_role("button", name="Back to the beginning").click()
        shown.get_by_label("instrument").select_option(instrument)
        up.click()
        expect(shown.locator(".hk-facts")).to_contain_text("step 1 of")
    tab.healthy()
    tab.leave()


def test_linked_panels_answer_together_as_python_does(browser: Browser, tmp_path: Path) -> None:
    """A note is taken off the clock: neck and catalogue show what is left, and go back with it."""
    path = tmp_path / "07.html"
    path.write_text(write_essay("07_set_class_catalogue"), encoding="utf-8")
    clock, neck = hk.workbook.ClockPanel("C7", axes=True), hk.workbook.NeckPanel("C7")
    catalogue = hk.workbook.CataloguePanel("4-27")
    here = (clock, neck, catalogue)
    hk.workbook.link(*here)
    tab = opened(browser, path, 360)
    shown = [tab.page.locator(".panel").nth(place) for place in (1, 2, 3)]
    for press in (lambda: None, lambda: clock.press("pc-10"), lambda: clock.press("pc-10")):
        before = clock.state
        press()
        if clock.state != before:
            shown[0].locator("[data-part=pc-10]").dispatch_event("click")
        for place, panel in zip(shown, here, strict=True):
            expect(place.locator(".hk-facts")).to_have_text(panel.facts)
    # It fits a telephone, and can be enlarged to be pressed.
    figure = shown[1].locator(".hk-figure")
    wide = "(one) => one.scrollWidth - one.clientWidth"
    assert figure.evaluate(wide) <= 1
    shown[1].get_by_role("button", name="Enlarge the picture").click()
    assert figure.evaluate(wide) > 200
    tab.healthy()
    tab.leave()


def test_the_first_page_is_alive_and_speaks_of_no_menu() -> None:
    text = write_essay("00_start_here")
    assert "StartView" in text and "Expand All Code" not in text
    assert "A still picture" not in text
    # Where no cell is run, too.
    plain = write_essay("08_which_key")
    assert "How this is computed is folded below" in plain and "Expand All Code" not in plain


@pytest.mark.parametrize("name", PAGES)
def test_a_page_speaks_of_nothing_that_only_a_notebook_has(name: str) -> None:
    """No other notebook, no cell to run, nothing to type: a page has no field for text."""
    text = write_essay(name)
    prose = " ".join(re.findall(r'<div class="text">(.*?)</div>', text, re.DOTALL))
    prose += " ".join(re.findall(r'<p class="note">(.*?)</p>', text))
    assert "You need" in prose
    only = r"Run All|otebook|\b[Tt]ype\b|\d\d_\w+</|hk\.|harmonykit|checkout|<!--|-->"
    assert re.findall(rf".{{20}}(?:{only})", prose) == []


class Places(HTMLParser):
    """The ids of a page's elements, where its links lead, and what a figure has fixed."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: set[str] = set()
        self.within: set[str] = set()
        self.fixed: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            text = value or ""
            if name == "id":
                self.ids.append(text)
            if tag == "a" and name == "href":
                self.links.add(text)
            if "href" in name and text.startswith("#") or "url(#" in text:
                self.within.add(text)
            if name in ("fill", "stroke") and text.startswith("#"):
                self.fixed.add(text)
            if tag == "svg" and name == "style":
                self.fixed.add(text)


def test_figures_share_a_page_and_links_lead_to_pages() -> None:
    """No id twice, no figure that points at one, no colour or ground that stays in the dark."""
    page, text = Places(), write_essay("00_start_here")
    page.feed(text)
    assert len(page.ids) == len(set(page.ids)) > 3
    assert page.within == set() and page.fixed == set()
    assert {"practice.html", "02_four_parents.html"} <= page.links
    assert not [each for each in page.links if each.endswith(".ipynb")]
    # A notebook that a text names as a link is one link, not two within another.
    prose = " ".join(re.findall(r'<div class="text">(.*?)</div>', text, re.DOTALL))
    assert "In which key" in prose and not re.search(r"\]\(|\.ipynb", prose)
