"""What every test may use, and how the suite behaves everywhere."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import settings
from small_arrangements import arranged as arranged
from waiting import LIMIT

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# No test opens a window, and no test depends on how fast the machine is.
os.environ.setdefault("MPLBACKEND", "agg")
settings.register_profile("harmonykit", deadline=None, derandomize=True)
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


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests that open a browser, so that a run can go without them, and put them first.

    A run on several processes deals out the tests in order, and who has none left takes some from
    the end of another's: one browser and one JupyterLab serve all that comes first, and the end is
    made of tests that take no time.
    """
    for item in items:
        if "chromium" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


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
