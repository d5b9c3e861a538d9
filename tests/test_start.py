"""The start script: standard library alone, sets up once, hands on its arguments."""

from __future__ import annotations

import ast
import os
import runpy
import shutil
import subprocess
import sys
import time
from importlib import util
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SCRIPT = ROOT / "shared" / "start.py"
NEEDED = ("pyproject.toml", "shared/constraints.txt", "shared/start.py")
MAKE, INSTALL, RUN = "make", "install", "run"

Calls = list[tuple[str, list[str]]]


class Checkout:
    """A folder with what a start needs, and a record of what the script would run there."""

    def __init__(self, top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.top, self.patch = top, monkeypatch
        self.calls: Calls = []
        self.fails_at = ""
        for name in NEEDED:
            (top / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, top / name)
        monkeypatch.setattr(subprocess, "call", self.call)
        monkeypatch.setattr(os, "execv", self.execute)

    def call(self, command: list[str]) -> int:
        kind = MAKE if "venv" in command else INSTALL
        self.calls.append((kind, command))
        if kind == MAKE:
            shutil.rmtree(self.top / ".venv", ignore_errors=True)
            (self.top / ".venv").mkdir()
        return int(kind == self.fails_at)

    def execute(self, program: str, command: list[str]) -> None:
        self.calls.append((RUN, command))
        raise SystemExit(0)

    def start(self, *arguments: str) -> Calls:
        """Run the script with these arguments and return what it would have run."""
        self.calls = []
        self.patch.setattr(sys, "argv", ["start.py", *arguments])
        with pytest.raises(SystemExit) as left:
            runpy.run_path(str(self.top / "shared" / "start.py"))
        self.said = left.value.code
        return self.calls

    def kinds(self, *arguments: str) -> list[str]:
        return [kind for kind, _ in self.start(*arguments)]


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Checkout:
    if os.name != "posix":
        pytest.skip("only POSIX replaces the process by the command")
    return Checkout(tmp_path / "a checkout", monkeypatch)


def test_it_is_short_and_needs_nothing_installed() -> None:
    text = SCRIPT.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 30
    imported = {
        name.split(".")[0]
        for node in ast.walk(ast.parse(text))
        for name in (
            [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else []
        )
    }
    assert imported <= sys.stdlib_module_names


def test_the_first_start_sets_up_and_hands_on(checkout: Checkout) -> None:
    (_, make), (_, install), (_, run) = checkout.start("chord", "F#dim7", "--json")
    assert make[1:] == ["-m", "venv", "--clear", str(checkout.top / ".venv")]
    assert install[-4:] == [
        "-c",
        str(checkout.top / "shared" / "constraints.txt"),
        "-e",
        str(checkout.top),
    ]
    assert run == [install[0], "-P", "-m", "harmonykit", "chord", "F#dim7", "--json"]


def test_the_next_start_goes_straight_on(checkout: Checkout) -> None:
    checkout.start("chord", "C")
    assert checkout.kinds("chord", "C") == [RUN]


@pytest.mark.parametrize("command", ["test", "bench"])
def test_the_checks_add_their_tools_to_what_is_there(checkout: Checkout, command: str) -> None:
    checkout.start("chord", "C")
    (_, install), (_, run) = checkout.start(command, "--long")
    assert install[-1] == f"{checkout.top}[test]"
    assert run[1:] == [str(checkout.top / "shared" / "run_tests.py"), command, "--long"]
    assert checkout.kinds("chord", "C") == checkout.kinds(command) == [RUN]


@pytest.mark.parametrize("changed", ["pyproject.toml", "shared/constraints.txt"])
def test_it_is_made_again_when_what_it_needs_changes(checkout: Checkout, changed: str) -> None:
    checkout.start("test")
    with (checkout.top / changed).open("a") as file:
        file.write("\n")
    assert checkout.kinds("chord", "C") == [MAKE, INSTALL, RUN]


def test_it_is_made_again_for_another_python(
    checkout: Checkout, monkeypatch: pytest.MonkeyPatch
) -> None:
    checkout.start("chord", "C")
    monkeypatch.setattr(sys, "version", "3.14.0 (another)")
    assert checkout.kinds("chord", "C") == [MAKE, INSTALL, RUN]


def test_it_is_made_again_where_the_folder_was_moved(checkout: Checkout, tmp_path: Path) -> None:
    checkout.start("chord", "C")
    checkout.top = checkout.top.rename(tmp_path / "moved")
    assert checkout.kinds("chord", "C") == [MAKE, INSTALL, RUN]


@pytest.mark.parametrize("step", [MAKE, INSTALL])
def test_a_failed_set_up_is_told_and_tried_again(checkout: Checkout, step: str) -> None:
    checkout.fails_at = step
    assert RUN not in checkout.kinds("chord", "C")
    assert checkout.said == "harmonykit could not be set up: the lines above say why"
    checkout.fails_at = ""
    assert checkout.kinds("chord", "C") == [MAKE, INSTALL, RUN]


def test_an_old_python_is_refused_in_one_line(
    checkout: Checkout, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 14))
    assert checkout.start("chord", "C") == []
    assert str(checkout.said).startswith("harmonykit needs Python 3.11 or newer; this is ")
    assert "\n" not in str(checkout.said)


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_a_python_without_venv_or_pip_is_told_what_to_install(
    checkout: Checkout, missing: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    find = util.find_spec
    monkeypatch.setattr(util, "find_spec", lambda name: None if name == missing else find(name))
    assert checkout.start("chord", "C") == []
    assert "apt install python3-venv" in str(checkout.said)
    assert "\n" not in str(checkout.said)


def test_the_pins_are_names_versions_and_markers() -> None:
    for line in (ROOT / "shared" / "constraints.txt").read_text(encoding="utf-8").splitlines():
        requirement = line.partition(" ; ")[0]
        name, _, version = requirement.partition("==")
        assert name and version
        # Neither an address nor a path, nor a comment that holds one.
        assert not set("/\\@:#") & set(line)


class TestRunner:
    """``start.py test``: every check in order, the first that fails ends it."""

    runner = runpy.run_path(str(ROOT / "shared" / "run_tests.py"))

    def test_the_order(self) -> None:
        names = [name for name, _ in self.runner["checks"]("test", long=False)]
        assert names == ["lint", "format", "types", "tests", "notebooks"]

    def test_long_takes_in_the_marked_tests(self) -> None:
        short, long = (dict(self.runner["checks"]("test", long))["tests"] for long in (False, True))
        assert long == [*short, "-m", ""]

    @pytest.mark.parametrize("arguments", [[], ["test", "tests/theory"], ["bench", "--long"]])
    def test_other_words_are_refused(self, arguments: list[str]) -> None:
        assert self.runner["main"](arguments) == 2

    def test_it_stops_at_the_first_failure(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        seen: list[str] = []

        def call(command: list[str], **_: object) -> int:
            seen.append(command[2])
            return int(command[2] == "mypy")

        monkeypatch.setattr(subprocess, "call", call)
        assert self.runner["main"](["test"]) == 1
        assert seen == ["ruff", "ruff", "mypy"]
        assert "types failed" in capsys.readouterr().err

    def test_finding_nothing_to_check_is_a_failure(self, monkeypatch: pytest.MonkeyPatch) -> None:
        # pytest leaves with 5 when it collected nothing.
        monkeypatch.setattr(subprocess, "call", lambda command, **_: 5 * ("pytest" in command))
        assert self.runner["main"](["test"]) == 1


@pytest.mark.long
def test_a_fresh_copy_sets_itself_up(tmp_path: Path) -> None:
    fresh = tmp_path / "fresh copy"
    shutil.copytree(ROOT, fresh, ignore=shutil.ignore_patterns(".venv", ".git", ".*_cache"))
    command = [sys.executable, str(fresh / "shared" / "start.py"), "chord", "F#dim7"]
    for budget in (240.0, 5.0):
        begun = time.monotonic()
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True)
        assert done.stdout.startswith("F♯°7")
        assert time.monotonic() - begun < budget
