"""No default test passes or fails by how fast a machine is: none of them looks at a clock."""

from __future__ import annotations

import re
from pathlib import Path

# The words of Python, of signals and of the browser, written so that this file is free of them.
CLOCKS = re.compile(
    "|".join(
        [
            r"\btime\.(sleep|time|monotonic|perf_counter|process_time|thread_time)",
            r"\b(sleep|perf_counter|monotonic|process_time)(_ns)?\(",
            r"\bfrom time import|\bimport time\b",
            r"\bwait_for_timeout\b|\bsetTimeout\(",
            r"\bperformance\.now|\bDate\.now",
            r"\bITIMER_REAL\b|\balarm\(",
            r"\btimeit\b",
            # Waiting for a time given in figures, whatever comes of it.
            r"\.(wait|join|acquire|result|poll|settimeout)\((timeout=)?\s*[\d.]",
        ]
    )
)
# A limit in figures: seconds, or milliseconds where it is a thousand or more.
LIMITS = re.compile(r"\btimeout=([\d_.]+)")


def texts(root: Path) -> dict[str, str]:
    """Return the text of each file of the default tests but the one that waits for them."""
    top = root / "tests"
    apart = ("benchmarks", "prove")  # they tell how long things took
    files = [p for p in top.rglob("*.py") if p.relative_to(top).parts[0] not in apart]
    names = {p.relative_to(top).as_posix(): p.read_text(encoding="utf-8") for p in files}
    return {n: text for n, text in names.items() if n not in ("waiting.py", Path(__file__).name)}


def found(pattern: re.Pattern[str], root: Path) -> list[str]:
    return [
        f"{name}:{number}: {line.strip()}"
        for name, text in sorted(texts(root).items())
        for number, line in enumerate(text.splitlines(), 1)
        if pattern.search(line)
    ]


def test_no_default_test_looks_at_a_clock(root: Path) -> None:
    assert len(texts(root)) > 100
    assert found(CLOCKS, root) == []


def test_what_is_waited_for_has_a_minute_at_least(root: Path) -> None:
    limits = [float(each) for text in texts(root).values() for each in LIMITS.findall(text)]
    assert [each for each in limits if each < 60 or 1000 <= each < 60_000] == []


def test_the_words_are_found_where_they_are_used(root: Path) -> None:
    """The benchmarks measure, and the one file that waits looks at the clock."""
    for name in ("waiting.py", "benchmarks/test_bench_writing.py"):
        assert CLOCKS.search((root / "tests" / name).read_text(encoding="utf-8"))


def test_a_wait_is_found_whoever_waits() -> None:
    waits = ("threading.Event().wait(2.5)", "child.wait(timeout=3)", "thread.join(.5)")
    holds = ("event.wait(LIMIT)", "child.wait()", "thread.join()", '", ".join(names)')
    assert [each for each in waits + holds if CLOCKS.search(each)] == list(waits)
