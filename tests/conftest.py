"""What every test may use, and how the suite behaves everywhere."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Callable, Generator, Iterator
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

import made_once
import pytest
from _pytest.doctest import DoctestModule
from hypothesis import settings
from small_arrangements import arranged as arranged
from waiting import LIMIT

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# No test opens a window, and no test depends on how fast the machine is.
os.environ.setdefault("MPLBACKEND", "agg")
# Of what is made at random 30 examples are tried, and 200 where the long tests run too; where each
# takes long, a part of them (``settings().max_examples // 2``).
settings.register_profile("harmonykit", deadline=None, derandomize=True, max_examples=30)
settings.register_profile("harmonykit-long", deadline=None, derandomize=True, max_examples=200)
settings.load_profile("harmonykit")

ROOT = Path(__file__).resolve().parents[1]
# No sandbox, and not a word to the network.
FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_configure(config: pytest.Config) -> None:
    """Try more examples where tests are not chosen by their marks (``test --long``)."""
    if not config.option.markexpr:
        settings.load_profile("harmonykit-long")
    # What tests make by the million, such as the trees of all our files, is looked through less
    # often for what may go.
    gc.set_threshold(100_000, 20, 50)


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Look for no examples in the docstrings of tests: there are none."""
    found = yield
    return [each for each in found if not isinstance(each, DoctestModule)]


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[None]:
    """Collect the tests without looking for what may go: all of it stays to the end.

    What stays is not looked at again, so that tests take no longer beside 15,000 others than alone.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()
        gc.freeze()


@pytest.hookimpl(wrapper=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """Mark the tests that open a browser, so that a run can go without them, and deal all out."""
    for item in items:
        if "chromium" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)
    yield
    items[:] = dealt_out(items, int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1")))


def dealt_out(items: list[pytest.Item], processes: int) -> list[pytest.Item]:
    """Return the tests so that half of the processes begin with as many that open a browser.

    Processes are given equal stretches of the row, and who has none left takes some from the end of
    another's: one browser and one JupyterLab serve all that a process has of them, and the end is
    made of tests that take no time.  The tests of a file stay together.  The other processes
    work while these wait for their browsers.
    """
    files: dict[Path, list[pytest.Item]] = {}
    rest = []
    for item in items:
        with_browser = item.get_closest_marker("browser") is not None
        (files.setdefault(item.path, []) if with_browser else rest).append(item)
    first: list[list[pytest.Item]] = [[] for _ in range(max(1, processes // 2))]
    for file in sorted(files.values(), key=len, reverse=True):
        min(first, key=len).extend(file)
    others = iter(rest)
    share = -(-len(items) // processes)
    row = [[*some, *islice(others, max(0, share - len(some)))] for some in first]
    return [*chain.from_iterable(row), *others]


@pytest.fixture(scope="session", autouse=True)
def _shared_folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Say where the processes of a run find what one of them made for all."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        made_once.shared[:] = [tmp_path_factory.getbasetemp().parent]


@pytest.fixture(scope="session")
def root() -> Path:
    """Return the top folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def chromium() -> str:
    """Return the path of chromium; where there is none the test is skipped."""
    found = shutil.which("chromium")
    if found is None:
        pytest.skip("no chromium here: the browser tests need Debian's package `chromium`")
    return found


def patient(make: Callable[..., Any]) -> Callable[..., Any]:
    """Give what is made in a browser as long as it takes."""

    def made(**given: Any) -> Any:
        one = make(**given)
        one.set_default_timeout(LIMIT * 1000)
        return one

    return made


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    """Return a browser, one for all tests."""
    from playwright.sync_api import expect, sync_playwright

    # What is waited for comes, however slow the machine; what never comes is told after a while.
    expect.set_options(timeout=LIMIT * 1000)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium, args=FLAGS, timeout=LIMIT * 1000
        )
        browser.new_context = patient(browser.new_context)  # type: ignore[method-assign]
        browser.new_page = patient(browser.new_page)  # type: ignore[method-assign]
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def schema() -> Any:
    """Return the W3C schema of MusicXML 4.0, from the folder that HARMONYKIT_SCHEMA names."""
    folder = os.environ.get("HARMONYKIT_SCHEMA")
    if not folder:
        pytest.skip("HARMONYKIT_SCHEMA names no folder with musicxml.xsd of MusicXML 4.0")
    xmlschema = pytest.importorskip("xmlschema")
    return xmlschema.XMLSchema(str(Path(folder) / "musicxml.xsd"))
