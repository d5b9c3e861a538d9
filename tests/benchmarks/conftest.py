"""A worktree of 0.1.0, for benchmarks that measure against it."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from measured import COLUMNS, ROOT, ROWS, last_kept, write

import harmonykit as hk


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


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print all that was measured as one table, each figure beside that of the last version."""
    if not ROWS:
        return
    before = last_kept()
    terminalreporter.section("what was measured")
    terminalreporter.write_line(f"| {' | '.join((*COLUMNS, 'before'))} |")
    terminalreporter.write_line("|---" * (len(COLUMNS) + 1) + "|")
    for row in ROWS:
        cells = (*row.cells(), before.get(row.what, ""))
        terminalreporter.write_line(f"| {' | '.join(cells)} |")
    write(ROOT / "out" / f"bench-{hk.__version__}.tsv")
