"""One JupyterLab and one browser for all the tests of the panels."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from lab_in_browser import FLAGS, Lab, running
from playwright.sync_api import Browser, sync_playwright


@pytest.fixture(scope="session")
def lab(chromium: str, root: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    with running(tmp_path_factory.mktemp("lab"), root) as lab:
        yield lab


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        yield browser
        browser.close()
