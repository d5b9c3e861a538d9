"""The command: what it answers, and how it refuses."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import click
import pytest
from waiting import LIMIT

from harmonykit import __version__, cli
from harmonykit.errors import HarmonyError

COMMANDS = sorted(cli.app.commands)


def run(*arguments: str) -> int:
    """Run the command in this process and return its exit status."""
    with pytest.raises(SystemExit) as left:
        cli.main(arguments)
    assert isinstance(left.value.code, int)
    return left.value.code


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run what cannot work and return the one message that it gives, on standard error."""
    assert run(*arguments) == 2
    output, message = capsys.readouterr()
    assert output == ""
    assert "Traceback" not in message
    return message


@pytest.mark.parametrize("command", COMMANDS)
def test_every_help_shows_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(command, "--help") == 0
    help_text = capsys.readouterr().out
    assert re.search(rf"Example:\n +harmonykit {command}", help_text)
    assert max(map(len, help_text.splitlines())) <= 80


def test_the_version_is_that_of_the_library(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("--version") == 0
    assert __version__ in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["chord", "Hq"], "root, A to G"),
        (["chord", "N.C."], "no chord sounds"),
        (["chord", "C", "--instrument", "ukelele"], "ukulele"),
        (["chord", "C", "--instrument", "G4 C4 E4 A"], "'A' has no octave"),
        (["lesson", "no_such_lesson", "--out", "x"], "missing file 'no_such_lesson'"),
        (["lesson", "nowhere/lesson.md", "--out", "x"], "missing file 'nowhere/lesson.md'"),
        (["chord"], "Missing argument 'SYMBOL'"),
        (["chord", "C", "--loud"], "No such option"),
        (["sing"], "No such command"),
    ],
)
def test_what_cannot_be_used_gets_one_message(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in refusal(capsys, *arguments)


@pytest.mark.parametrize(
    "words",
    [
        ["chord", "{}"], ["compare", "{}"], ["tune", "{}"], ["tune", "| {} |"],
        ["tune", "| C | {} |"], ["words", "{}"], ["lesson", "{}", "--out", "x"],
        ["sheet", "C", "--out", "{}.pdf"],
        ["chord", "C", "--instrument", "{}"], ["compare", "heron_landing", "--style", "{}"],
    ],
)  # fmt: skip
def test_a_very_long_argument_does_not_come_back_whole(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    typed = [word.format("quay" * 2_500) for word in words]
    assert 20 < len(refusal(capsys, *typed)) < 1_500


@pytest.mark.parametrize(
    ("raised", "status", "said"),
    [
        (
            HarmonyError("bar 3 is too long", mend="drop a beat"),
            2,
            "bar 3 is too long\n  try: drop",
        ),
        (FileNotFoundError(2, "No such file or directory", "quay.toml"), 2, "quay.toml: No such"),
        (OSError(28, "No space left on device"), 2, "the system: the disk is full"),
        (KeyboardInterrupt(), 130, ""),
    ],
)
def test_what_goes_wrong_inside_a_command(
    raised: BaseException,
    status: int,
    said: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    @click.command()
    def trouble() -> None:
        raise raised

    monkeypatch.setitem(cli.app.commands, "trouble", trouble)
    assert run("trouble") == status
    output, message = capsys.readouterr()
    assert output == ""
    assert message.startswith(said) if said else message.strip() == ""


def test_a_fault_of_our_own_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    @click.command()
    def broken() -> None:
        raise ZeroDivisionError

    monkeypatch.setitem(cli.app.commands, "broken", broken)
    with pytest.raises(ZeroDivisionError):
        cli.main(["broken"])


def test_the_module_is_the_command(root: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "harmonykit", "chord", "F#dim7"],
        cwd=root,
        env={**os.environ, "PYTHONIOENCODING": "cp1252"},
        capture_output=True,
        check=True,
    )
    # A terminal that has ° but lacks ♯ still shows the rest.
    assert done.stdout.decode("cp1252").startswith("F?°7   (typed F#dim7)")
    assert done.stderr == b""


def test_help_loads_no_library_but_click(root: Path) -> None:
    script = (
        "import sys; from harmonykit.cli import main\n"
        "try: main(['lesson', '--help'])\n"
        "finally: print(sorted({'numpy', 'music21', 'matplotlib', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=root, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_ctrl_c_ends_quietly(root: Path) -> None:
    script = (
        # What is started in the background inherits that Ctrl-C is ignored.
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "import click; from harmonykit import cli\n"
        "@cli.app.command()\n"
        "def wait():\n"
        "    print('waiting', flush=True); signal.pause()\n"
        "cli.main(['wait'])"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", script], cwd=root, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert child.stdout is not None
    with child:
        assert child.stdout.readline() == b"waiting\n"
        child.send_signal(signal.SIGINT)
        _, message = child.communicate(timeout=LIMIT)
    assert child.returncode == 130
    assert b"Traceback" not in message


def test_what_to_type_next_begins_as_what_was_typed(tmp_path: Path) -> None:
    """The command of somebody who has no ``harmonykit`` on the path, but a file to start."""
    started = {**os.environ, "HARMONYKIT_CALLED": "python3 shared/start.py"}

    def said(*arguments: str) -> str:
        line = [sys.executable, "-P", "-m", "harmonykit", *arguments]
        ran = subprocess.run(line, cwd=tmp_path, env=started, capture_output=True, text=True)
        return ran.stdout + ran.stderr

    again = "python3 shared/start.py lesson"
    assert f"then: {again} kites.md --out kites" in said(
        "lesson", "kites.md", "--new", "slack_water_waltz"
    )
    assert f"try: {again} kites.md" in said("lesson", "kites.md", "--new", "slack_water_waltz")
    (tmp_path / "from jo.txt").write_text("in F, capo 3\n| F | C7 | Bb C7 | F |\n", "utf-8")
    drafted = said("lesson", "jo.md", "--new", "from jo.txt")
    assert "from jo.txt: 1 doubt about how it was read; see python3 shared/start.py tune" in drafted
    for help_text in (said("lesson", "--help"), said("workbook", "--help"), said("lesso")):
        assert "python3 shared/start.py" in help_text
        assert not re.search(r"harmonykit [a-z]+ |Usage: harmonykit", help_text)


THREADS = "OPENBLAS_NUM_THREADS"
ENDED = """
import atexit, os, sys
from harmonykit.cli import main
atexit.register(lambda: print(len(os.listdir("/proc/self/task")), os.environ.get(%r)))
main()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="threads are counted as Linux counts them")
@pytest.mark.parametrize(
    ("words", "given", "said"),
    [
        (["tune", "heron_landing"], {}, "1 1"),
        (["tune", "heron_landing"], {THREADS: "2"}, "2"),
        (["workbook", "--help"], {}, "1 None"),
    ],
)
def test_a_command_has_one_thread_unless_asked_and_notebooks_are_left_alone(
    words: list[str], given: dict[str, str], said: str
) -> None:
    where = {name: value for name, value in os.environ.items() if name != THREADS} | given
    code = [sys.executable, "-c", ENDED % THREADS, *words]
    done = subprocess.run(code, env=where, check=True, capture_output=True, text=True)
    # How many a machine with one processor begins is its own affair.
    assert done.stdout.splitlines()[-1].endswith(said)
