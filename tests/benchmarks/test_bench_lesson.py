"""How long a lesson takes, against the bare imports of the libraries that it uses, in one run.

The figures to keep: a 32-bar tune at five levels, all but its sound, in at most 0.68 times what
0.1.0 takes for its own lesson of that name; in at most 2 times the imports of matplotlib, music21,
verovio and typst in one process, which is what 0.1.0 measured its own against when that took 2.95
times as long; in at most 2 times what it imports now, without matplotlib, and what typst takes for
its finished sheets, below which no lesson with sheets can come; and the sound, which is made beside
the rest, in no more than a tenth of the time for which it plays.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from measured import measured, repeated

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import gather_cues
from harmonykit.lesson.handout.pdf import gather_handout
from harmonykit.lesson.handout.typeset import Unset
from harmonykit.lesson.playfiles import take_files
from harmonykit.paths import find_data

MOST_RATIO = 2.0
# What 2 times the imports were of the lesson of 0.1.0, when that took 2.95 times as long as they.
MOST_OF_BEFORE = 0.68
MOST_OF_SOUND = 0.1
ROUNDS = 5
IMPORTS = "import fontTools.ttLib, music21, verovio, typst"
# Those of a lesson of 0.1.0, as its own benchmark named them.
IMPORTS_OF_BEFORE = "import matplotlib.pyplot, music21, verovio, typst"
SILENT = 'outputs = ["script", "page", "handout", "scores"]\n'


def _seconds(command: list[str], folder: Path, where: Mapping[str, str] | None = None) -> float:
    begun = time.perf_counter()
    subprocess.run(command, cwd=folder, env=where, check=True, capture_output=True)
    return time.perf_counter() - begun


def _setting(sheets: Sequence[Unset]) -> float:
    begun = time.perf_counter()
    for each in sheets:
        assert each.pdf().startswith(b"%PDF")
    return time.perf_counter() - begun


def _silent(folder: Path, out: Path) -> Path:
    """Write the lesson of a version without its sound; return its file."""
    text = (folder / "data" / "lessons" / "stiff_dominant.md").read_text(encoding="utf-8")
    assert "\nrights =" in text and "outputs" not in text
    out.write_text(text.replace("\nrights =", f"\n{SILENT}rights =", 1), encoding="utf-8")
    return out


def test_a_lesson_costs_less_than_in_0_1_0(root: Path, released: Path, tmp_path: Path) -> None:
    build = [sys.executable, "-m", "harmonykit", "lesson"]

    def built(version: Path, name: str) -> float:
        file = _silent(version, tmp_path / f"{name}.md")
        where = {**os.environ, "PYTHONPATH": str(version), "PYTHONSAFEPATH": "1"}
        return _seconds([*build, file.name, "--out", name], tmp_path, where)

    rounds = repeated(lambda: (built(released, "before"), built(root, "now")), ROUNDS)
    before, now = map(min, zip(*rounds, strict=True))
    assert (tmp_path / "now" / "handout.pdf").exists()
    assert (tmp_path / "before" / "handout.pdf").exists()
    assert measured(
        "as in 0.1.0: a lesson of 32 bars, no sound", now, beside=("0.1.0", before),
        most=MOST_OF_BEFORE,
    ).met  # fmt: skip


def test_a_lesson_costs_little_more_than_its_imports(root: Path, tmp_path: Path) -> None:
    _silent(root, tmp_path / "silent.md")
    build = [sys.executable, "-m", "harmonykit", "lesson", "silent.md", "--out", "lesson"]
    bare = [sys.executable, "-c", IMPORTS]
    of_before = [sys.executable, "-c", IMPORTS_OF_BEFORE]
    lesson = load_lesson(tmp_path / "silent.md")
    sheets = gather_handout(lesson), gather_cues(lesson)

    def once() -> tuple[float, float, float, float]:
        plain, before = _seconds(bare, tmp_path), _seconds(of_before, tmp_path)
        return plain, before, _seconds(build, tmp_path), _setting(sheets)

    imports, before, whole, setting = map(min, zip(*repeated(once, ROUNDS), strict=True))
    row = measured(
        "a lesson of 32 bars, no sound", whole, beside=("bare imports", before), most=MOST_RATIO
    )
    measured("a lesson without matplotlib's import", whole, beside=("other imports", imports))
    measured("its sheets alone, below which it cannot come", setting, beside=("imports", imports))
    beside = measured(
        "a lesson of 32 bars, no sound, beside its sheets",
        whole,
        beside=("bare imports and its sheets set", imports + setting),
        most=MOST_RATIO,
    )
    assert beside.met
    assert (tmp_path / "lesson" / "handout.pdf").exists()
    assert not list((tmp_path / "lesson").glob("*.wav"))
    assert row.met


def test_sound_is_made_much_faster_than_it_plays() -> None:
    lesson = load_lesson(find_data("lessons", "stiff_dominant"))
    begun = time.perf_counter()
    for played in lesson.played:
        wanted = lesson.front.playalong
        assert [file for take in wanted.takes for file in take_files(played, wanted, take)]
    took = time.perf_counter() - begun
    plays = sum(played.performance.seconds for played in lesson.played)
    assert measured(
        "a lesson's play-alongs", took, beside=("their playing", plays), most=MOST_OF_SOUND
    ).met
