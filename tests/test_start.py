"""The start script: standard library alone, sets up once, hands on its arguments."""

from __future__ import annotations

import ast
import os
import runpy
import shutil
import signal
import subprocess
import sys
from importlib import util
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]
SCRIPT = ROOT / "shared" / "start.py"
NEEDED = ("pyproject.toml", "shared/constraints.txt", "shared/start.py")
# What is tried in order: uv of the environment, uv of the system, uv by pip; then pip alone.
MAKE, LOOK, FETCH, UV, PIP, RUN = "make", "look for uv", "fetch uv", "uv", "pip", "run"

Calls = list[tuple[str, list[str]]]


class Checkout:
    """A folder with what a start needs, and a record of what the script would run there."""

    def __init__(self, top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.top, self.patch = top, monkeypatch
        self.calls: Calls = []
        self.fails: set[str] = set()
        for name in NEEDED:
            (top / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, top / name)
        monkeypatch.setattr(subprocess, "call", self.call)
        monkeypatch.setattr(os, "execv", self.execute)

    def call(self, command: tuple[str, ...], **_: object) -> int:
        kind = self.kind(command)
        self.calls.append((kind, list(command)))
        if kind == MAKE:
            shutil.rmtree(self.top / ".venv", ignore_errors=True)
            (self.top / ".venv").mkdir()
        return int(kind in self.fails)

    def kind(self, command: tuple[str, ...]) -> str:
        if "venv" in command:
            return MAKE
        if "--version" in command:
            return LOOK
        if command[-1] == "uv":
            return FETCH
        return PIP if "-m" in command else UV

    def execute(self, program: str, command: list[str]) -> None:
        self.calls.append((RUN, command))
        raise SystemExit(0)

    def start(self, *arguments: str) -> Calls:
        """Run the script with these arguments and return what it would have run."""
        self.calls = []
        held: list[int] = []
        opens = os.open

        def open_lock(path: Any, flags: int, *how: Any, **more: Any) -> int:
            descriptor = opens(path, flags, *how, **more)
            if flags & os.O_CREAT:
                held.append(descriptor)
            return descriptor

        with self.patch.context() as patch:
            patch.setattr(sys, "argv", ["start.py", *arguments])
            patch.setattr(os, "open", open_lock)
            with pytest.raises(SystemExit) as left:
                runpy.run_path(str(self.top / "shared" / "start.py"))
        # The end of a process lets go of its locks.
        for descriptor in held:
            os.close(descriptor)
        self.said = left.value.code
        return self.calls

    def kinds(self, *arguments: str) -> list[str]:
        return [kind for kind, _ in self.start(*arguments) if kind != LOOK]


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Checkout:
    if os.name != "posix":
        pytest.skip("only POSIX replaces the process by the command")
    # The script says in it how it was called: what was there before comes back.
    monkeypatch.setenv("HARMONYKIT_CALLED", "")
    return Checkout(tmp_path / "a checkout", monkeypatch)


def test_it_is_short_and_needs_nothing_installed() -> None:
    text = SCRIPT.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 105
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
    (_, make), (_, look), (_, install), (_, run) = checkout.start("chord", "F#dim7", "--json")
    assert make[1:] == ["-m", "venv", "--clear", str(checkout.top / ".venv")]
    assert install[:3] == [look[0], "pip", "install"]
    pins = ["-c", str(checkout.top / "shared" / "constraints.txt")]
    assert install[-5:] == [run[0], *pins, "-e", str(checkout.top)]
    assert run[1:] == ["-P", "-m", "harmonykit", "chord", "F#dim7", "--json"]


@pytest.mark.parametrize(
    ("fails", "tried"),
    [
        ((), [UV]),
        ((LOOK,), [FETCH, UV]),
        ((LOOK, FETCH), [FETCH, PIP]),
        ((UV,), [UV, PIP]),
        ((LOOK, UV), [FETCH, UV, PIP]),
    ],
)
def test_uv_installs_where_it_can_and_pip_where_not(
    checkout: Checkout, fails: tuple[str, ...], tried: list[str]
) -> None:
    checkout.fails = set(fails)
    assert checkout.kinds("chord", "C") == [MAKE, *tried, RUN]
    assert checkout.kinds("chord", "C") == [RUN]


def test_each_step_is_a_line(checkout: Checkout, capsys: pytest.CaptureFixture[str]) -> None:
    checkout.fails = {LOOK, FETCH}
    checkout.start("chord", "C")
    said = capsys.readouterr()
    assert [line.split()[:2] for line in said.err.splitlines()] == [
        ["harmonykit:", word] for word in ("making", "fetching", "installing", "set")
    ]
    checkout.start("chord", "C")
    assert said.out == "" and capsys.readouterr() == ("", "")


@pytest.mark.parametrize("step", [MAKE, UV])
@pytest.mark.parametrize("before", [[], ["chord", "C"]])
def test_what_ctrl_c_broke_off_is_made_anew(
    checkout: Checkout, step: str, before: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where it was only adding the test tools to an environment that was whole."""
    if before:
        checkout.start(*before)
        step = UV

    def broken_off(command: tuple[str, ...], **options: object) -> int:
        status = checkout.call(command, **options)
        if checkout.kind(command) == step:
            raise KeyboardInterrupt
        return status

    with monkeypatch.context() as patch:
        patch.setattr(subprocess, "call", broken_off)
        assert RUN not in checkout.kinds("test")
    assert checkout.said == 130
    assert checkout.kinds("chord", "C") == [MAKE, UV, RUN]


def test_where_nothing_may_be_written_it_still_runs(checkout: Checkout) -> None:
    checkout.start("chord", "C")
    (checkout.top / ".venv.lock").unlink()
    (checkout.top / ".venv.lock").mkdir()
    assert checkout.kinds("chord", "C") == [RUN]


def test_the_next_start_goes_straight_on(checkout: Checkout) -> None:
    checkout.start("chord", "C")
    assert checkout.kinds("chord", "C") == [RUN]


@pytest.mark.parametrize("command", ["test", "bench"])
def test_the_checks_add_their_tools_to_what_is_there(checkout: Checkout, command: str) -> None:
    checkout.start("chord", "C")
    *_, (_, install), (_, run) = checkout.start(command, "--long")
    assert install[-1] == f"{checkout.top}[test]"
    assert run[1:] == [str(checkout.top / "shared" / "run_tests.py"), command, "--long"]
    assert checkout.kinds("chord", "C") == checkout.kinds(command) == [RUN]


@pytest.mark.parametrize("changed", ["pyproject.toml", "shared/constraints.txt"])
def test_it_is_made_again_when_what_it_needs_changes(checkout: Checkout, changed: str) -> None:
    checkout.start("test")
    with (checkout.top / changed).open("a") as file:
        file.write("\n")
    assert checkout.kinds("chord", "C") == [MAKE, UV, RUN]


def test_it_is_made_again_for_another_python(
    checkout: Checkout, monkeypatch: pytest.MonkeyPatch
) -> None:
    checkout.start("chord", "C")
    monkeypatch.setattr(sys, "version", "3.14.0 (another)")
    assert checkout.kinds("chord", "C") == [MAKE, UV, RUN]


def test_it_is_made_again_where_the_folder_was_moved(checkout: Checkout, tmp_path: Path) -> None:
    checkout.start("chord", "C")
    checkout.top = checkout.top.rename(tmp_path / "moved")
    assert checkout.kinds("chord", "C") == [MAKE, UV, RUN]


@pytest.mark.parametrize("steps", [{MAKE}, {UV, PIP}])
def test_a_failed_set_up_is_told_and_tried_again(checkout: Checkout, steps: set[str]) -> None:
    checkout.fails = steps
    assert RUN not in checkout.kinds("chord", "C")
    assert checkout.said == "harmonykit could not be set up: the lines above say why"
    checkout.fails = set()
    assert checkout.kinds("chord", "C") == [MAKE, UV, RUN]


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


class Beside:
    """A process that does nothing, and notes what is asked of it."""

    done: list[str]

    def __init__(self, command: list[str], **_: object) -> None:
        assert "--collect-only" in command
        Beside.done = ["begun"]

    def terminate(self) -> None:
        Beside.done.append("ended")

    def wait(self) -> None:
        Beside.done.append("waited for")


class TestRunner:
    """``start.py test``: every check in order, the first that fails ends it."""

    runner = runpy.run_path(str(ROOT / "shared" / "run_tests.py"))

    def test_the_order(self) -> None:
        names = [name for name, _ in self.runner["checks"]("test", long=False)]
        assert names == ["lint", "format", "types", "tests", "notebooks"]

    def test_long_takes_in_the_marked_tests(self) -> None:
        checks = self.runner["checks"]
        short, long = (dict(checks("test", long=each))["tests"] for each in (False, True))
        assert long == [*short, "-m", ""]

    def test_tests_are_shared_out_and_a_notebook_stays_whole(self) -> None:
        checks = dict(self.runner["checks"]("test", long=False))
        assert 1 <= int(checks["tests"][checks["tests"].index("-n") + 1]) <= 8
        assert "--dist=loadfile" in checks["notebooks"]
        (bench,) = dict(self.runner["checks"]("bench", long=False)).values()
        assert "-n" not in bench

    def test_what_is_compiled_is_kept_and_never_beside_the_sources(
        self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        (tmp_path / "one.py").write_text("")
        for name in ("PYTHONDONTWRITEBYTECODE", "PYTHONPYCACHEPREFIX"):
            monkeypatch.delenv(name, raising=False)
        surroundings, kept = self.runner["surroundings"], tmp_path / "kept"
        assert "PYTHONPYCACHEPREFIX" not in surroundings()
        monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
        assert Path(surroundings()["PYTHONPYCACHEPREFIX"]).parent == Path(sys.prefix)
        monkeypatch.setenv("PYTHONPYCACHEPREFIX", str(kept))
        line = [sys.executable, "-c", "import one"]
        subprocess.run(line, cwd=tmp_path, env=surroundings(), check=True)
        assert sorted(path.name for path in tmp_path.iterdir()) == ["kept", "one.py"]
        assert [*kept.rglob("one.*.pyc")]

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
        monkeypatch.setattr(subprocess, "Popen", Beside)
        assert self.runner["main"](["test"]) == 1
        # What compiles beside them ends with them.
        assert Beside.done == ["begun", "ended", "waited for"]
        assert seen == ["ruff", "ruff", "mypy"]
        assert "types failed" in capsys.readouterr().err

    def test_finding_nothing_to_check_is_a_failure(self, monkeypatch: pytest.MonkeyPatch) -> None:
        # pytest leaves with 5 when it collected nothing.
        monkeypatch.setattr(subprocess, "call", lambda command, **_: 5 * ("pytest" in command))
        monkeypatch.setattr(subprocess, "Popen", Beside)
        assert self.runner["main"](["test"]) == 1


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    """Return a fresh copy of the checkout, as a clone would be."""
    copy = tmp_path / "fresh copy"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".venv*", ".git", ".*_cache"))
    return copy


def begin(copy: Path, *arguments: str, **variables: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(copy / "shared" / "start.py"), *arguments],
        cwd=copy.parent,
        env={**os.environ, **variables},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


@pytest.mark.long
def test_two_starts_at_once_in_a_fresh_copy(fresh: Path) -> None:
    """One sets up, the other waits and says so; both give what they were asked for."""
    both = [begin(fresh, "chord", "F#dim7") for _ in range(2)]
    ends = [each.communicate() for each in both]
    assert [each.returncode for each in both] == [0, 0]
    assert all(out.startswith("F♯°7") for out, _ in ends)
    first, second = sorted((err for _, err in ends), key=lambda err: "making" not in err)
    assert [line.split()[1] for line in first.splitlines()][-2:] == ["installing", "set"]
    assert second == "harmonykit: waiting for another start to set .venv up\n"
    # The next one has nothing to do, and nothing to say.
    assert begin(fresh, "chord", "F#dim7").communicate() == (ends[0][0], "")


@pytest.mark.long
def test_a_fresh_copy_without_uv_broken_off_and_begun_again(fresh: Path, tmp_path: Path) -> None:
    """Ctrl-C while pip installs: the next start makes all of it."""
    (tmp_path / "bin").mkdir()
    # Neither on the path nor to be fetched.
    (tmp_path / "bin" / "uv").write_text("#!/bin/sh\nexit 1\n")
    (tmp_path / "bin" / "uv").chmod(0o755)
    (tmp_path / "pins").write_text("uv==0.0.0\n")
    without = {
        "PATH": f"{tmp_path / 'bin'}{os.pathsep}{os.environ['PATH']}",
        "PIP_CONSTRAINT": str(tmp_path / "pins"),
    }
    child = begin(fresh, "chord", "F#dim7", **without)
    assert child.stderr is not None
    with child:
        for line in child.stderr:
            if "installing with pip" in line:
                os.killpg(child.pid, signal.SIGINT)
                break
        assert "broken off" in child.stderr.read()
    assert child.returncode == 130
    out, err = begin(fresh, "chord", "F#dim7", **without).communicate()
    assert out.startswith("F♯°7")
    assert "making .venv" in err and "installing with pip" in err and "with uv" not in err
