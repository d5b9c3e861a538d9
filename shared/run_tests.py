"""Run every check, in order, and stop at the first that fails.

``python3 shared/start.py test`` runs this file in the project's own environment: lint, format,
types, the tests with the examples in the docstrings, then the notebooks, whose stored outputs are
compared with what their cells give now.  The tests and the notebooks are shared out among as many
processes as the machine carries.  ``test --long`` takes in the tests marked ``long``; ``bench``
runs the measurements of ``tests/benchmarks`` alone, in one process (``--keep`` puts the table into
``tests/data/benchmarks``); ``prove`` the faults and loads
of ``tests/prove``, and ends on a table (``HARMONYKIT_PROVE=0.01`` tries a hundredth of each);
``versions`` every Python, the oldest and the newest libraries, wheel and sdist (``versions.py``);
``mutate FLOOR`` changes a
floor's code in small ways and says which changes no test notices (``mutate.py``).
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PYTEST = [sys.executable, "-m", "pytest"]
NBVAL = [
    "--nbval",
    "--nbval-current-env",
    "--nbval-cell-timeout=600",
    "--nbval-sanitize-with=shared/nbval.cfg",
]

# A process of the tests with a browser and a server of notebooks beside it, in bytes.
SHARE = 2 * 2**30

Check = tuple[str, list[str]]


def processes() -> int:
    """Return how many processes run tests at once: one a processor and one more, within memory.

    The one with a browser waits for it, and for notebooks; each more collects all tests anew.
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    try:
        room = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") // SHARE
    except (AttributeError, OSError, ValueError):
        room = 2
    return max(1, min((cores or 1) + 1, room, 8))


def checks(command: str, *, long: bool) -> list[Check]:
    """Return the checks of one command as headlines and command lines."""
    if command == "bench":
        # The table at the end says of each part what came of it.
        shown = ["-p", "no:nbval", "-s", "--tb=line", "-rN"]
        return [("benchmarks", [*PYTEST, *shown, "-m", "", "tests/benchmarks"])]
    if command == "prove":
        return [("proofs", [*PYTEST, "-p", "no:nbval", "-q", "-m", "", "tests/prove"])]
    marked = ["-m", ""] if long else []
    # A test goes to whichever process is free; a notebook stays whole.
    test = ["-n", str(processes()), "--dist=worksteal"]
    notebook = ["-n", str(processes()), "--dist=loadfile"]
    return [
        ("lint", [sys.executable, "-m", "ruff", "check", "."]),
        ("format", [sys.executable, "-m", "ruff", "format", "--check", "."]),
        ("types", [sys.executable, "-m", "mypy"]),
        ("tests", [*PYTEST, "-p", "no:nbval", *test, *marked]),
        ("notebooks", [*PYTEST, *NBVAL, *notebook, *marked, "notebooks"]),
    ]


def surroundings() -> dict[str, str]:
    """Return the variables that checks run with: what one process compiles, the others read.

    The tests start hundreds of processes.  Where Python is told to write nothing beside the
    sources, what it compiles is kept in the environment.  Who shares the processors counts with
    one thread: a second one would wait in vain.
    """
    found = {**os.environ, "PYTHONSAFEPATH": "", "OPENBLAS_NUM_THREADS": "1"}
    if found.pop("PYTHONDONTWRITEBYTECODE", ""):
        found.setdefault("PYTHONPYCACHEPREFIX", str(Path(sys.prefix) / "compiled"))
    return found


@contextmanager
def compiling() -> Iterator[subprocess.Popen[bytes]]:
    """Compile the tests in a process beside those checks that keep one processor busy.

    Each of the processes that run tests would compile for itself whatever changed.
    """
    nowhere = subprocess.DEVNULL
    beside = subprocess.Popen(
        [*PYTEST, "-p", "no:nbval", "--collect-only", "-qq"],
        cwd=ROOT,
        env=surroundings(),
        stdout=nowhere,
        stderr=nowhere,
    )
    try:
        yield beside
    finally:
        beside.terminate()
        beside.wait()


def run(check: Check) -> int:
    """Run one check under its headline and return its exit status."""
    headline, command = check
    print(f"\n== {headline} ==", flush=True)
    begun = time.monotonic()
    status = subprocess.call(command, cwd=ROOT, env=surroundings())
    print(f"-- {headline}: {time.monotonic() - begun:.0f} s", flush=True)
    return status


def main(arguments: list[str]) -> int:
    """Run what the command line asks for; a check that finds nothing to check has failed."""
    if arguments[:1] in (["mutate"], ["reference"], ["versions"]):
        script = ROOT / f"shared/{arguments[0]}.py"
        return subprocess.call([sys.executable, str(script), *arguments[1:]])
    if arguments not in (["test"], ["test", "--long"], ["bench"], ["bench", "--keep"], ["prove"]):
        asked = (
            "test [--long] | bench [--keep] | prove | versions | mutate FLOOR | reference [FOLDER]"
        )
        print(f"usage: python3 shared/start.py {asked}", file=sys.stderr)
        return 2
    if "--keep" in arguments:
        os.environ["HARMONYKIT_KEEP"] = "1"
    with compiling() if arguments[0] == "test" else nullcontext() as beside:
        for check in checks(arguments[0], long="--long" in arguments):
            if beside and check[0] == "tests":
                beside.wait()
            status = run(check)
            if status:
                print(f"\n{check[0]} failed (exit status {status})", file=sys.stderr)
                return 1
    print("\nall checks passed")
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
