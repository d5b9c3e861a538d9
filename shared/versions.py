"""Try every Python of this machine, the oldest and the newest libraries, wheel and sdist alone.

``python3 shared/start.py versions`` makes an environment for each, runs in it what a version can
break, and prints one line of each: the tests of ``TESTS`` where the libraries or Python change,
among them that every file of 0.1.0 opens; and where only the wheel or the sdist is installed,
commands in an empty folder.  A line that fails names the log, and the rest goes on.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "out" / "versions"
UV = shutil.which("uv", path=str(Path(sys.executable).parent)) or "uv"
LEAST = (3, 11)

TESTS = (
    "tests/test_kept.py", "tests/test_import.py", "tests/theory/test_chord.py", "tests/score",
    "tests/arrange/survey", "tests/lesson/test_build.py", "tests/draw/test_display.py",
    "tests/practice/test_progress.py", "tests/practice/test_sets.py",
    "tests/workbook/base/test_panel.py", "tests/workbook/base/test_keep.py", "tests/cli",
)  # fmt: skip
"""What new Pythons and libraries have broken, or could: reading, typesetting, tables, panels."""

LIBRARIES = {
    "lowest": ("--resolution", "lowest-direct"),
    "pinned": ("-c", str(ROOT / "shared/constraints.txt")),
    "newest": ("--resolution", "highest"),
}
ALONE = (
    ("chord", "C13"),
    ("ideas", "dim7"),
    ("tune", "{old}/tune.musicxml"),
    ("lesson", "{old}/draft.md", "--out", "lesson"),
    ("practice", "--questions", "10", "--out", "practice.html"),
    ("survey", "{old}/lantern_steps.toml", "--keys", "C", "--out", "survey"),
)
"""What is run where nothing but a wheel is installed; ``{old}`` has files that 0.1.0 wrote."""

Result = tuple[bool, str]


def pythons() -> list[tuple[str, str]]:
    """Return minor version and path of each Python from 3.11 on, one of each."""
    folders = []
    for ask in ((UV, "python", "dir", "-q"), ("pyenv", "root")):
        try:
            said = subprocess.run(ask, capture_output=True, text=True, check=True).stdout.strip()
        except (OSError, subprocess.CalledProcessError):
            continue
        folders.append(Path(said) / ("versions" if ask[0] == "pyenv" else ""))
    paths = [sys.executable, *filter(None, map(shutil.which, ("python3", "python3.12")))]
    paths += [str(one) for folder in folders for one in sorted(folder.glob("*/bin/python3"))]
    found: dict[str, str] = {}
    script = "import json, sys; print(json.dumps([sys.version_info[:4], sys.base_prefix]))"
    for path in paths:
        try:
            done = subprocess.run([path, "-c", script], capture_output=True, text=True, check=True)
        except (OSError, subprocess.CalledProcessError):
            continue  # a name that stands for a Python which is not there
        (major, minor, _, level), prefix = json.loads(done.stdout)
        if (major, minor) >= LEAST and level == "final":
            found.setdefault(f"{major}.{minor}", f"{prefix}/bin/python{major}.{minor}")
    return sorted(found.items(), key=lambda each: int(each[0].split(".")[1]))


def run(log: Path, *command: str, folder: Path = ROOT) -> bool:
    """Run a command, what it says in a log; whether it went well."""
    kept = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONSAFEPATH")}
    with log.open("a", encoding="utf-8") as file:
        print("$", *command, file=file, flush=True)
        return not subprocess.call(command, cwd=folder, env=kept, stdout=file, stderr=file)


def environment(place: Path, python: str, log: Path, *wanted: str) -> str:
    """Make an environment and install in it; return its Python, or nothing where that failed."""
    inside = str(place / "bin" / "python")
    made = run(log, UV, "venv", "-q", "--python", python, str(place))
    went = made and run(log, UV, "pip", "install", "-q", "--python", inside, *wanted)
    return inside if went else ""


def tested(place: Path, log: Path, *, python: str, libraries: str) -> Result:
    """Install the checkout with some libraries, and run the tests that a version can break."""
    inside = environment(place, python, log, *LIBRARIES[libraries], "-e", f"{ROOT}[test]")
    if not inside:
        return False, "could not be installed"
    rest = ("-p", "no:nbval", "-p", "no:cacheprovider", "-m", "not long and not browser")
    went = run(log, inside, "-m", "pytest", "-q", *rest, *TESTS)
    closing = re.findall(r"^(?:=+ )?(\d+ (?:passed|failed|error)[^=\n]*)", log.read_text(), re.M)
    return went, closing[-1].strip() if closing else "no test ran"


def alone(place: Path, log: Path, *, python: str, kind: str) -> Result:
    """Install what is handed out and nothing else, and run commands in an empty folder."""
    built = place.parent / f"built-{kind}"
    if not run(log, UV, "build", "-q", f"--{kind}", "-o", str(built), str(ROOT)):
        return False, "could not be built"
    (file,) = (one for one in built.iterdir() if one.name.startswith("harmonykit-"))
    pins = LIBRARIES["pinned"]
    inside = environment(place, python, log, *pins, str(file))
    if not inside:
        return False, "could not be installed"
    empty = place.parent / f"empty-{kind}"
    empty.mkdir()
    shutil.copytree(ROOT / "tests" / "data" / "0.1.0", empty / "old")
    for words in ALONE:
        given = [word.format(old="old") for word in words]
        if not run(log, inside, "-P", "-m", "harmonykit", *given, folder=empty):
            return False, f"harmonykit {' '.join(given)} failed"
    return True, f"{len(ALONE)} commands done, {file.stat().st_size / 2**20:.1f} MiB"


def tries() -> Iterator[tuple[str, Callable[[Path, Path], Result]]]:
    """Yield what is tried, each with what it is called."""
    found = pythons()
    for version, path in found:
        for libraries in LIBRARIES:
            name = f"Python {version}, {libraries} libraries"
            yield name, partial(tested, python=path, libraries=libraries)
    for kind, (version, path) in (("wheel", found[-1]), ("sdist", found[0])):
        yield f"{kind} alone, Python {version}", partial(alone, python=path, kind=kind)


def main(asked: list[str]) -> int:
    """Try all, or what has one of some words in its name; print a line of each."""
    OUT.mkdir(parents=True, exist_ok=True)
    lines, whole = [], True
    for number, (name, attempt) in enumerate(tries()):
        if asked and not any(word in name for word in asked):
            continue
        log = OUT / f"{re.sub('[^a-z0-9.]+', '-', name.lower())}.log"
        log.unlink(missing_ok=True)
        begun = time.monotonic()
        with tempfile.TemporaryDirectory() as folder:
            went, said = attempt(Path(folder) / f"{number}", log)
        whole = whole and went
        told = said if went else f"FAILED: {said} ({log.relative_to(ROOT)})"
        lines.append(f"{name}: {told}; {time.monotonic() - begun:.0f} s")
        print(lines[-1], flush=True)
    (OUT / "versions.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return 0 if whole and lines else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
