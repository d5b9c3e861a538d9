"""A worktree of 0.1.0, for benchmarks that measure against it."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from measured import COLUMNS, KEPT, ROOT, ROWS, last_kept, write

import harmonykit as hk

OUT = ROOT / "out" / f"bench-{hk.__version__}.tsv"
BEFORE = last_kept()


@pytest.fixture(scope="session")
def released(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Give a worktree of 0.1.0, and take it away again."""
    changes = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"### 0\.1\.0\n\n.*?`([0-9a-f]{7,40})`", changes)
    assert found is not None
    place = tmp_path_factory.mktemp("released") / "0.1.0"
    git = ["git", "-C", str(root), "worktree"]
    added = subprocess.run([*git, "add", "-q", "--detach", str(place), found[1]])
    if added.returncode:
        pytest.skip("this clone has no commit of 0.1.0")
    yield place
    subprocess.run([*git, "remove", "--force", str(place)], check=True)


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown() -> None:
    """Keep what was measured so far: a run that is cut off, or a part that fails, loses no more."""
    if ROWS:
        write(OUT)
        if os.environ.get("HARMONYKIT_KEEP"):
            write(KEPT / OUT.name)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print all that was measured as one table, each figure beside that of the last version."""
    if not ROWS:
        return
    terminalreporter.section("what was measured")
    terminalreporter.write_line(f"| {' | '.join((*COLUMNS, 'before'))} |")
    terminalreporter.write_line("|---" * (len(COLUMNS) + 1) + "|")
    for row in ROWS:
        cells = (*row.cells(), BEFORE.get(row.what, ""))
        terminalreporter.write_line(f"| {' | '.join(cells)} |")
    if terminalreporter.stats.get("failed") or terminalreporter.stats.get("error"):
        terminalreporter.write_line("parts of it failed: the rows above are of the others")
