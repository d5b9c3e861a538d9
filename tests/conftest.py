"""What every test may use, and how the suite behaves everywhere."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import settings

# No test opens a window, and no test depends on how fast the machine is.
os.environ.setdefault("MPLBACKEND", "agg")
settings.register_profile("harmonykit", deadline=None, derandomize=True)
settings.load_profile("harmonykit")

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def root() -> Path:
    """Return the top folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def chromium() -> str:
    """Return the path of chromium; where there is none the test is skipped, but not in CI."""
    found = shutil.which("chromium")
    if found is None and os.environ.get("CI"):
        pytest.fail("chromium is not installed, and CI runs every browser test")
    if found is None:
        pytest.skip("no chromium here: the browser tests need Debian's package `chromium`")
    return found
