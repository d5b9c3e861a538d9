"""What whole commands take, in time and memory, against the bare imports that they cannot spare."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from measured import SPAWNED, measured, repeated

from harmonykit.paths import find_data

ROOT = Path(__file__).resolve().parents[2]
BARE = "import fontTools.ttLib, music21, verovio, typst"
NUMPY = "import click, numpy"
EARLY = 0.6
# The command line, the imports beside which it stands, and how many times those it may take.
COMMANDS = {
    "chord": (["chord", "C13"], NUMPY, None),
    "ideas": (["ideas", "dim7"], NUMPY, None),
    "compare": (["compare", "heron_landing", "--all"], BARE, None),
    "lesson with sound": (["lesson", "stiff_dominant", "--out", "out"], BARE, None),
    "sheet": (["sheet", "C", "Am", "F", "G7", "--out", "out.pdf"], "import typst", None),
    "parts": (["parts", "heron_landing", "--out", "out"], BARE, None),
    "practice": (["practice", "--out", "out.html"], NUMPY, None),
    "tune": (["tune", "heron_landing"], NUMPY, None),
    "survey": (["survey", "heron_landing", "--keys", "C", "--out", "out"], NUMPY, None),
}


def spent(words: list[str], folder: Path) -> tuple[float, float]:
    """Return the seconds and the greatest memory in MiB of a process and those that it starts."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    begun = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", SPAWNED, sys.executable, *words],
        cwd=folder,
        env=environment,
        check=True,
        capture_output=True,
        text=True,
    )
    return time.perf_counter() - begun, int(done.stdout) / 1024


@pytest.mark.skipif(not hasattr(resource, "RUSAGE_CHILDREN"), reason="memory as POSIX counts it")
@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_beside_its_imports(name: str, tmp_path: Path) -> None:
    words, imports, most = COMMANDS[name]

    def once() -> tuple[float, ...]:
        shutil.rmtree(tmp_path / "out", ignore_errors=True)
        bare = spent(["-c", imports], tmp_path)
        return *bare, *spent(["-m", "harmonykit", *words], tmp_path)

    imported, bare_mib, took, mib = map(min, zip(*repeated(once, 3), strict=True))
    row = measured(f"command {name}", took, beside=("bare imports", imported), most=most)
    assert measured(f"command {name}: memory", mib, "MiB", beside=("imports", bare_mib)).met
    assert row.met


def first_and_last(words: list[str]) -> tuple[float, float]:
    """Return the seconds until a command has said its first line, and until it has ended."""
    begun = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-m", "harmonykit", *words],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
    ) as running:
        assert running.stdout is not None and running.stdout.readline()
        first = time.perf_counter() - begun
        running.stdout.read()
    return first, time.perf_counter() - begun


@pytest.mark.parametrize("given", [[], ["--all"]], ids=["offers", "all"])
def test_compare_has_something_to_read_long_before_its_end(given: list[str]) -> None:
    rounds = repeated(lambda: first_and_last(["compare", "heron_landing", *given]), 3)
    first, last = map(min, zip(*rounds, strict=True))
    said = " ".join(["command compare", *given, "until its first line"])
    assert measured(said, first, beside=("its last", last), most=EARLY).met


PLAIN = """
import sys, time
import harmonykit as hk
from harmonykit.paths import find_data
read = getattr(hk, "read_tune", None) or hk.Tune.read
tune, neck = read(find_data("tunes", "slack_water_waltz")), hk.Instrument.named("ukulele")
from dataclasses import replace
moves = tuple(sys.argv[1].split(","))
hk.reharmonise(tune, neck, moves)
begun = time.process_time()
for more in range(1, 13):
    hk.reharmonise(replace(tune, tempo=tune.tempo + more), neck, moves)
print((time.process_time() - begun) / 12 / len(tune.bars))
"""
DIMINISHED = ("approach", "dominant to diminished", "climb")
"""As 0.1.0 named them; names of earlier versions are read."""
FASTER = 1.5


def test_the_plain_cell_of_a_survey_against_0_1_0(released: Path) -> None:
    """The usual moves of the diminished seventh, a bar; shapes known; the least of a few rounds."""
    assert find_data("tunes", "slack_water_waltz").is_file()

    def once() -> list[float]:
        pair = []
        for version in (released, ROOT):
            done = subprocess.run(
                [sys.executable, "-c", PLAIN, ",".join(DIMINISHED)],
                env={**os.environ, "PYTHONPATH": str(version), "PYTHONSAFEPATH": "1"},
                check=True,
                capture_output=True,
                text=True,
            )
            pair.append(float(done.stdout) * 1e3)
        return pair

    before, now = map(min, zip(*repeated(once, 5), strict=True))
    row = measured("a survey's plain cell", now, "ms a bar", beside=("0.1.0", before), least=FASTER)
    assert row.figure >= 1
