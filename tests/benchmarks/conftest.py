"""A worktree of 0.1.0, for benchmarks that measure against it."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def released(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Give a worktree of 0.1.0, and take it away again."""
    changes = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"### 0\.1\.0\n\n.*?`([0-9a-f]{7,40})`", changes)
    assert found is not None
    place = tmp_path_factory.mktemp("released") / "0.1.0"
    git = ["git", "-C", str(root), "worktree"]
    subprocess.run([*git, "add", "-q", "--detach", str(place), found[1]], check=True)
    yield place
    subprocess.run([*git, "remove", "--force", str(place)], check=True)
