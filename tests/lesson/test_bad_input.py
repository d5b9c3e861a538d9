"""Bad input to the command: one clear message, exit status 2, and the older folder as it was."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from harmonykit.cli import main
from harmonykit.lesson.build import build_lesson

Change = Callable[[str], str]


def replace(old: str, new: str) -> Change:
    return lambda text: text.replace(old, new)


# The file, what happens to its text, and words that the message must have.
FAULTS: dict[str, tuple[str, Change, tuple[str, ...]]] = {
    "unknown chord": (
        "fog.toml",
        replace("Bb7", "Bb7xyz"),
        ("Bb7xyz", "line 10", "column 12", "^"),
    ),
    "too many beats": (
        "fog.toml",
        replace("| Bb7 |", "| Bb7 / / / / |"),
        ("line 10", "beats"),
    ),
    "a tune without chords": (
        "fog.toml",
        replace("| Gm6 | Bb7 | Eb6 D7 | Gm6 |", ""),
        ("fog.toml",),
    ),
    "unknown instrument": ("small.md", replace('"ukulele"', '"ukelele"'), ("ukulele", "line 6")),
    "missing tune": ("small.md", replace("fog.toml", "frog.toml"), ("frog.toml",)),
    "unknown call": ("small.md", replace("{{ chart(1) }}", "{{ chat(1) }}"), ("chart", "line 29")),
    "level that is not there": ("small.md", replace("chart(1)", "chart(7)"), ("unknown level 7",)),
    "broken front matter": ("small.md", replace("format = 1", "format == 1"), ("small.md",)),
}


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    with pytest.raises(SystemExit) as ended:
        main(list(arguments))
    code = ended.value.code
    return (code if isinstance(code, int) else 1), capsys.readouterr().err


@pytest.mark.parametrize("fault", FAULTS)
def test_bad_files(lesson_path: Path, capsys: pytest.CaptureFixture[str], fault: str) -> None:
    out = lesson_path.parent / "out"
    few = lesson_path.read_text("utf-8").replace('group = "Quay"', 'outputs = ["script"]')
    lesson_path.write_text(few, encoding="utf-8")
    build_lesson(lesson_path, out)
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    name, change, words = FAULTS[fault]
    path = lesson_path.parent / name
    old = path.read_text(encoding="utf-8")
    assert change(old) != old
    path.write_text(change(old), encoding="utf-8")
    status, message = run(capsys, "lesson", str(lesson_path), "--out", str(out))
    assert status == 2 and "Traceback" not in message
    for word in words:
        assert word in message, message
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before


def test_missing_lesson(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, message = run(capsys, "lesson", str(tmp_path / "no.md"), "--out", str(tmp_path / "o"))
    assert status == 2 and "no.md" in message
    assert not (tmp_path / "o").exists()


NO_CHORDS = """<?xml version="1.0"?><score-partwise version="4.0"><part-list>
<score-part id="P1"><part-name>x</part-name></score-part></part-list><part id="P1">
<measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats>
<beat-type>4</beat-type></time></attributes><note><pitch><step>C</step><octave>4</octave></pitch>
<duration>4</duration></note></measure></part></score-partwise>"""


def test_a_score_without_chords(lesson_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score = lesson_path.parent / "plain.musicxml"
    score.write_text(NO_CHORDS, encoding="utf-8")
    out = str(lesson_path.parent / "out")
    status, message = run(capsys, "lesson", str(lesson_path), "--out", out, "--tune", str(score))
    assert status == 2 and "chord" in message and "plain.musicxml" in message


def test_a_file_that_is_no_score(lesson_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = lesson_path.parent / "bad.mxl"
    with zipfile.ZipFile(bad, "w") as archive:
        archive.writestr("hello.txt", "not a score")
    out = str(lesson_path.parent / "out")
    status, message = run(capsys, "lesson", str(lesson_path), "--out", out, "--tune", str(bad))
    assert status == 2 and "bad.mxl" in message and "Traceback" not in message
