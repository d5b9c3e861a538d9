"""A page for each test of a script."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest
from playwright.sync_api import Browser, Page
from script_in_browser import opened


@pytest.fixture
def load(browser: Browser) -> Iterator[Callable[[str], Page]]:
    """Return what opens a blank page with a script."""
    with ExitStack() as stack:
        yield lambda script: stack.enter_context(opened(browser, script))
