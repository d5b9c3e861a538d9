"""The table that a run of the proofs ends on."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from proving import ROWS, Tell


@pytest.fixture
def tell() -> Iterator[Tell]:
    """Give a function that keeps a row of the table."""
    begun = time.monotonic()
    yield lambda what, tried, how, came: ROWS.append(
        (what, tried, how, came, time.monotonic() - begun)
    )


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print the table."""
    if not ROWS:
        return
    terminalreporter.section("what was proved")
    terminalreporter.write_line("| what | tried | real or stood in for | what came of it | s |")
    terminalreporter.write_line("|---|---|---|---|---|")
    for what, tried, how, came, seconds in ROWS:
        terminalreporter.write_line(f"| {what} | {tried} | {how} | {came} | {seconds:.0f} |")
