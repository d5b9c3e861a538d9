"""One JupyterLab for all the tests of the panels."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from lab_in_browser import Lab, running


@pytest.fixture(scope="session")
def lab(chromium: str, root: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    with running(tmp_path_factory.mktemp("lab"), root) as lab:
        yield lab
