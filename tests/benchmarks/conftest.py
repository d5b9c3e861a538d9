"""A worktree of 0.1.0 to measure against; a time by which all is done; the table at the end.

All parts together take at most twenty minutes (``HARMONYKIT_BENCH_MINUTES`` says another time), and
one of them a quarter of that.  A part that fails, or for which no time is left, is a line of the
table that says why it was not measured.
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import time
from collections import defaultdict
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from measured import COLUMNS, KEPT, MISSED, ROOT, ROWS, last_kept, lines, missed, write

import harmonykit as hk

OUT = ROOT / "out" / f"bench-{hk.__version__}.tsv"
BEFORE = last_kept()
MOST = 60 * float(os.environ.get("HARMONYKIT_BENCH_MINUTES", "20"))
OF_ONE, AGAIN = MOST / 4, 30
BEGUN = time.monotonic()
SECONDS: dict[str, float] = defaultdict(float)
COUNTED = pytest.StashKey[int]()


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


@contextmanager
def in_time() -> Iterator[None]:
    """End what takes longer than is left of the time, where the system can."""
    left = min(OF_ONE, MOST - (time.monotonic() - BEGUN))
    if left < 1:
        raise TimeoutError(f"the {MOST / 60:g} minutes of all parts were over")
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def end(*_: object) -> None:
        raise TimeoutError(f"it took more than {left:.0f} seconds")

    before = signal.signal(signal.SIGALRM, end)
    # Again and again: what drives a browser may lose the first.
    signal.setitimer(signal.ITIMER_REAL, left, AGAIN)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item) -> Generator[None, object, object]:
    """What is set up for a part must be done in time, too."""
    item.stash[COUNTED] = len(ROWS)
    with in_time():
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, object, object]:
    """A part that hangs is ended, and the others are measured."""
    with in_time():
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Keep why a part was not measured; one that missed its goal has rows that say so."""
    report = yield
    SECONDS[item.path.stem.removeprefix("test_bench_")] += report.duration
    error = call.excinfo and call.excinfo.value
    goal = isinstance(error, AssertionError) and len(ROWS) > item.stash[COUNTED]
    if error is not None and not goal:
        said = str(error) if isinstance(error, TimeoutError) else f"{type(error).__name__}: {error}"
        name = f"{item.path.stem.removeprefix('test_bench_')}: {item.name.removeprefix('test_')}"
        missed(name.replace("_", " "), said)
    return report


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown() -> None:
    """Keep what was measured so far: a run that is cut off, or a part that fails, loses no more."""
    if ROWS or MISSED:
        write(OUT)
        if os.environ.get("HARMONYKIT_KEEP"):
            write(KEPT / OUT.name)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print all that was measured as one table, each figure beside that of the last version."""
    if not ROWS and not MISSED:
        return
    terminalreporter.section("what was measured")
    terminalreporter.write_line(f"| {' | '.join((*COLUMNS, 'before'))} |")
    terminalreporter.write_line("|---" * (len(COLUMNS) + 1) + "|")
    for cells in lines():
        terminalreporter.write_line(f"| {' | '.join((*cells, BEFORE.get(cells[0], '')))} |")
    met = [row.met for row in ROWS if row.goal is not None]
    terminalreporter.write_line(
        f"{len(ROWS)} rows, {sum(met)} of {len(met)} goals met, {len(MISSED)} parts not measured"
    )
    spans = ", ".join(f"{name} {spent:.0f}" for name, spent in SECONDS.items())
    terminalreporter.write_line(f"seconds: {spans}")
