"""In CI no check is left out: a test or a file that is skipped, or let fail, fails the run."""

from __future__ import annotations

import os
from collections.abc import Generator
from typing import Any

import pytest

import harmonykit
from harmonykit.workbook.launch import spare_grammar

spare_grammar()

# As most tools read it: set, and not to a word for no.
IN_CI = os.environ.get("CI", "").lower() not in ("", "0", "false", "no")


@pytest.fixture(autouse=True, scope="session")
def _type_hk(doctest_namespace: dict[str, object]) -> None:
    """Let the examples in docstrings begin where a user's do, after ``import harmonykit as hk``."""
    doctest_namespace["hk"] = harmonykit


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    return none_left_out((yield))


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    return none_left_out((yield))


def none_left_out(report: Any) -> Any:
    """Turn what was left out in CI into a failure that says which and why."""
    if IN_CI and (report.skipped or hasattr(report, "wasxfail")):
        why = getattr(report, "wasxfail", "") or report.longrepr
        why = why[-1] if isinstance(why, tuple) else why
        report.outcome = "failed"
        report.longrepr = f"CI leaves nothing out, and {report.nodeid} is: {why}"
        vars(report).pop("wasxfail", None)
    return report
