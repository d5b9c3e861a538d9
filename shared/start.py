"""Set harmonykit up in .venv, again whenever what it needs changes, and run one command of it."""

import sys

if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit("harmonykit needs Python 3.11 or newer; this is " + sys.version.split()[0])
import os
import subprocess
from importlib.util import find_spec
from pathlib import Path

root = Path(__file__).resolve().parents[1]
venv, stamp, pins = root / ".venv", root / ".venv/harmonykit.stamp", root / "shared/constraints.txt"
python = str(venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python"))
extra = "[test]" if sys.argv[1:2] in (["test"], ["bench"]) else ""
mark = f"{sys.version}\n{root}\n{(root / 'pyproject.toml').read_text()}\n{pins.read_text()}"
have = stamp.read_text() if stamp.is_file() else ""
if have not in (mark + extra, mark + "[test]"):
    if not (find_spec("venv") and find_spec("ensurepip")):
        sys.exit("this Python lacks venv or pip: on Debian and Ubuntu, apt install python3-venv")
    print("Setting up harmonykit in .venv; later starts go straight on.", file=sys.stderr)
    pip = [python, "-m", "pip", "install", "-qq", "--disable-pip-version-check", "-c", str(pins)]
    made = have == mark or not subprocess.call([sys.executable, "-m", "venv", "--clear", str(venv)])
    if not made or subprocess.call([*pip, "-e", f"{root}{extra}"]):
        sys.exit("harmonykit could not be set up: the lines above say why")
    stamp.write_text(mark + extra)
run = [str(root / "shared/run_tests.py")] if extra else ["-P", "-m", "harmonykit"]
line = [python, *run, *sys.argv[1:]]
sys.exit(os.execv(python, line) if os.name == "posix" else subprocess.call(line))
