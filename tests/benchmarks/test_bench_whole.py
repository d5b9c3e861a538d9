"""What a person waits for: set-up, a tune on each instrument, a panel in the browser; memory.

Beside each a reference of the same run: an environment with nothing in it, a tenth of the bars, a
button of ipywidgets that a kernel answers, the bare imports.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from lab_in_browser import Bench, Lab, open_notebook, running, write_notebook
from measured import SPAWNED, measured
from playwright.sync_api import Browser

from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import read_instruments
from harmonykit.paths import data_dir
from harmonykit.score.files import read_tune

ROOT = Path(__file__).resolve().parents[2]
BARS, LONGER, GROWTH, OF_A_BUTTON = 32, 10, 10, 4
NAMES = {neck.name for neck in read_instruments(data_dir() / "instruments.toml").values()}


def test_set_up_of_a_clone(tmp_path: Path) -> None:
    """The README's first line but for its lesson; what was fetched before is at hand."""
    clone = tmp_path / "clone"
    subprocess.run(["git", "clone", "-q", str(ROOT), str(clone)], check=True)
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-m", "venv", str(tmp_path / "bare")], check=True)
    bare = time.perf_counter() - begun
    begun = time.perf_counter()
    start = [sys.executable, str(clone / "shared" / "start.py"), "chord", "C7"]
    subprocess.run(start, check=True, capture_output=True)
    spent = time.perf_counter() - begun
    measured("set-up of a clone", spent, beside=("an environment with pip alone", bare))


@pytest.mark.parametrize("name", sorted(NAMES))
def test_ten_times_the_bars_on_each_instrument(name: str) -> None:
    tune, neck = read_tune("heron_landing"), Instrument.named(name)
    assert tune.bar_count == BARS
    spans = []
    for order in (tune.order, tune.order * LONGER):
        rounds = []
        for more in range(3):
            longer = replace(tune, order=order, tempo=tune.tempo + more)
            begun = time.process_time()
            reharmonise(longer, neck, USUAL, k=1)
            rounds.append(time.process_time() - begun)
        spans.append(min(rounds))
    short, long = spans
    row = measured(f"{LONGER * BARS} bars, {name}", long, beside=("32 bars", short), most=GROWTH)
    assert row.figure <= 1.25 * GROWTH


MEMORY = {
    "the imports of a lesson": "import fontTools.ttLib, music21, verovio, typst",
    "320 bars on guitar": (
        "from dataclasses import replace\nimport harmonykit as hk\n"
        "tune = hk.read_tune('heron_landing')\n"
        "hk.reharmonise(replace(tune, order=tune.order * 10), 'guitar')"
    ),
    "a panel": "import harmonykit as hk\nhk.workbook.ClockPanel('C7')",
    "the page of reharmonisation": (
        "import harmonykit as hk\nhk.workbook.ReharmonisePanel('heron_landing', keep=None)"
    ),
}


@pytest.mark.skipif(os.name != "posix", reason="memory as POSIX counts it")
def test_memory() -> None:
    found = {}
    for name, code in {"Python and numpy": "import numpy", **MEMORY}.items():
        done = subprocess.run(
            [sys.executable, "-c", SPAWNED, sys.executable, "-c", code],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        )
        found[name] = float(done.stdout.split()[-1]) / 1024
    assert min(found.values()) > 0
    bare = found.pop("Python and numpy")
    for name, most in found.items():
        measured(f"memory of {name}", most, "MiB", beside=("Python and numpy", bare))


# Each panel, and two parts that are pressed by turns.
PANELS = {
    "clock": ('ClockPanel("C7")', ("pc-3", "pc-5")),
    "neck": ('NeckPanel("C6")', ("string-2-fret-1", "string-1-fret-3")),
    "one note": ('OneNotePanel("Adim7")', ("pc-3", "pc-6")),
    "chord scale": ('ChordScalePanel("C", "major")', ("step-2", "step-3")),
    "cube": ('CubePanel("Bdim7")', ("corner-1000", "corner-0000")),
    "distances": ('DistancePanel("C6 Bdim7 G7 C")', ("cell-4-3", "cell-2-1")),
}
BUTTON = """
import ipywidgets
button = ipywidgets.Button(description="0")
def pressed(one):
    one.description = str(int(one.description) + 1)
button.on_click(pressed)
button
"""
# Presses a part, and waits until what is said beside it is another.
ANSWERED = """
([selector, said]) => new Promise((resolve, reject) => {
  const part = document.querySelector(selector);
  const begun = performance.now();
  const watch = new MutationObserver(() => {
    watch.disconnect();
    resolve(performance.now() - begun);
  });
  const options = { subtree: true, childList: true, characterData: true };
  watch.observe(document.querySelector(said), options);
  setTimeout(() => reject(new Error("no answer to " + selector)), 20000);
  part.dispatchEvent(new MouseEvent("click", { bubbles: true }));
})
"""
DRAWN = """
[...document.querySelectorAll(".harmonykit-panel")].every((one) => one.querySelector("[data-part]"))
"""


@pytest.fixture(scope="module")
def bench(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    lab: Lab
    with running(tmp_path_factory.mktemp("lab"), ROOT) as lab:
        cells = ["from harmonykit.workbook import *", BUTTON, *(c for c, _ in PANELS.values())]
        write_notebook(lab.folder / "panels.ipynb", *cells, "print('ready')")
        bench = open_notebook(browser, lab, "panels.ipynb")
        bench.panels.nth(len(PANELS) - 1).wait_for()
        bench.page.wait_for_function(DRAWN)
        yield bench
        bench.page.context.close()


def answered(bench: Bench, parts: tuple[str, ...], said: str) -> float:
    """Return the middle of sixteen times from a press to what it changes, in ms."""
    times = [bench.page.evaluate(ANSWERED, [part, said]) for part in parts * (16 // len(parts))]
    return statistics.median(times)


@pytest.mark.parametrize("name", PANELS)
def test_a_panel_answers_in_the_browser(name: str, bench: Bench) -> None:
    """From the press to the words beside the picture: to the kernel and back."""
    place = list(PANELS).index(name)
    bench.page.evaluate(
        "place => document.querySelectorAll('.harmonykit-panel')[place].id = 'measured-' + place",
        place,
    )
    here = f"#measured-{place}"
    parts = tuple(f"{here} [data-part={json.dumps(part)}]" for part in PANELS[name][1])
    ours = answered(bench, parts, f"{here} .hk-facts")
    bare = answered(bench, ("button.jupyter-button",), "button.jupyter-button")
    beside = "a bare button", bare
    row = measured(f"panel {name} in the browser", ours, "ms", beside=beside, most=OF_A_BUTTON)
    assert row.met


def test_the_practice_page_in_the_browser(browser: Browser, tmp_path: Path) -> None:
    """From the address to the first question, beside a page of as many bytes that does nothing."""
    page = tmp_path / "practice.html"
    words = ["practice", "--out", str(page)]
    subprocess.run(
        [sys.executable, "-m", "harmonykit", *words],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=True,
        capture_output=True,
    )
    plain = tmp_path / "plain.html"
    filling = "x" * (page.stat().st_size - 60)
    plain.write_text(f"<!doctype html><h1>Plain</h1><!--{filling}-->", encoding="utf-8")
    spans = {}
    for path in (page, plain):
        rounds = []
        for _ in range(5):
            tab = browser.new_page()
            begun = time.perf_counter()
            tab.goto(path.as_uri())
            tab.locator("h1").first.wait_for()
            rounds.append(time.perf_counter() - begun)
            tab.close()
        spans[path] = min(rounds) * 1e3
    measured("practice page, opened", spans[page], "ms", beside=("as many bytes", spans[plain]))
    measured("practice page, size", page.stat().st_size / 1e6, "MB", most=10)
    shutil.rmtree(tmp_path, ignore_errors=True)
