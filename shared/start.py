"""Set harmonykit up in .venv, again whenever what it needs changes, and run one command of it.

Two starts at once take turns: the set-up is done under a lock, and an environment that something
runs in is not made again.  The stamp is written last, so what was broken off is made anew.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit("harmonykit needs Python 3.11 or newer; this is " + sys.version.split()[0])
import os
import subprocess
from importlib.util import find_spec
from pathlib import Path

root = Path(__file__).resolve().parents[1]
venv, stamp, pins = root / ".venv", root / ".venv/harmonykit.stamp", root / "shared/constraints.txt"
binaries = venv / ("Scripts" if os.name == "nt" else "bin")
python, config = str(binaries / "python"), venv / "pyvenv.cfg"
tested = ("test", "bench", "prove", "versions", "mutate", "reference")
extra = "[test]" if sys.argv[1:2] and sys.argv[1] in tested else ""
mark = f"{sys.version}\n{root}\n{(root / 'pyproject.toml').read_text()}\n{pins.read_text()}"


def say(line: str) -> None:
    """Write a line on standard error."""
    print(f"harmonykit: {line}", file=sys.stderr, flush=True)


def hold(file: Path, *, exclusive: bool, waiting: str = "") -> int | None:
    """Lock a file while the returned descriptor is open; go on where there are no locks."""
    try:
        import fcntl

        held = os.open(file, os.O_RDWR | os.O_CREAT, 0o666)
        kind = fcntl.LOCK_EX if exclusive else fcntl.LOCK_SH
        try:
            fcntl.flock(held, kind | fcntl.LOCK_NB)
        except BlockingIOError:
            say(waiting)
            fcntl.flock(held, kind)
    except (ImportError, OSError):
        return None
    return held


def went_well(*command: str, quietly: bool = False) -> bool:
    """Run a step, which keeps the lock even if this process is killed."""
    out = subprocess.DEVNULL if quietly else None
    keep = [] if lock is None else [lock]
    try:
        return not subprocess.call(command, stdout=out, stderr=out, pass_fds=keep)
    except OSError:
        return False


def make() -> bool:
    """Make an empty environment."""
    if not (find_spec("venv") and find_spec("ensurepip")):
        sys.exit("this Python lacks venv or pip: on Debian and Ubuntu, apt install python3-venv")
    if config.is_file():
        hold(config, exclusive=True, waiting="waiting for what still runs in the old .venv to end")
    say(f"making .venv with Python {sys.version.split()[0]}")
    return went_well(sys.executable, "-m", "venv", "--clear", str(venv))


def install() -> bool:
    """Install with uv where it can be had, with pip where it cannot or fails."""
    pip = [python, "-m", "pip", "install", "-qq", "--disable-pip-version-check", "-c", str(pins)]
    own = str(binaries / "uv")
    uv = next((uv for uv in (own, "uv") if went_well(uv, "--version", quietly=True)), "")
    if not uv:
        say("fetching uv, which installs the rest in seconds")
        uv = own if went_well(*pip, "uv", quietly=True) else ""
    if uv:
        say("installing with uv")
        by_uv = [uv, "pip", "install", "-q", "--python", python, "-c", str(pins)]
        if went_well(*by_uv, "-e", f"{root}{extra}"):
            return True
    say("installing with pip, which takes a minute or more")
    return went_well(*pip, "-e", f"{root}{extra}")


lock = None
try:
    lock = hold(
        root / ".venv.lock", exclusive=True, waiting="waiting for another start to set .venv up"
    )
    have = stamp.read_text() if stamp.is_file() else ""
    if have not in (mark + extra, mark + "[test]"):
        stamp.unlink(missing_ok=True)
        if not ((have == mark or make()) and install()):
            sys.exit("harmonykit could not be set up: the lines above say why")
        stamp.write_text(mark + extra)
        say("set up; later starts go straight on")
    in_use = hold(config, exclusive=False)
    if in_use is not None:
        os.set_inheritable(in_use, True)
except KeyboardInterrupt:
    say("broken off; the same command begins again")
    sys.exit(130)
os.environ["HARMONYKIT_CALLED"] = "" if extra else f"{Path(sys.executable).stem} {sys.argv[0]}"
run = [str(root / "shared/run_tests.py")] if extra else ["-P", "-m", "harmonykit"]
line = [python, *run, *sys.argv[1:]]
sys.exit(os.execv(python, line) if os.name == "posix" else subprocess.call(line))
