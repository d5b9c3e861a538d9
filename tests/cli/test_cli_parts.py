"""``harmonykit parts``: what a class knows of a tune, and its parts in a folder."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from harmonykit.cli import main


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["parts", *arguments])
    return int(str(left.value.code))


def test_the_example_is_a_class_file_that_tells_of_a_tune(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--example") == 0
    path = tmp_path / "ours.toml"
    path.write_text(capsys.readouterr().out, encoding="utf-8")
    out = tmp_path / "parts"
    assert run("bell_on_the_bar", "--class", str(path), "--out", str(out)) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == "Bell on the Bar on the ukulele, for Thursday ukuleles"
    assert said[1].startswith("grips new to the class: 1, for 1 of ")
    assert said[2].startswith("  C7 0-0-0-1: your C (0-0-0-3), ")
    assert any(line.startswith("In C major: ") or "played in C major" in line for line in said)
    files = json.loads((out / "manifest.json").read_text("utf-8"))["files"]
    assert set(files) == {path.name for path in out.iterdir()} - {"manifest.json"}
    assert "parts.pdf" in files and sum(name.endswith(".mid") for name in files) == 6
    # What phones play, of each part; a WAV file is made on request.
    assert sum(name.endswith(".mp3") for name in files) == 6
    assert not any(name.endswith(".wav") for name in files)


def test_new_grips_are_told_with_all_the_chords_that_they_play(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is new and what is known of a key make all its chords, though two share one grip."""
    path = tmp_path / "ours.toml"
    path.write_text(
        'format = 1\nname = "Ours"\ninstruments = ["ukulele"]\n'
        '[grips]\nukulele = ["C 0003", "F 2010"]\n',
        encoding="utf-8",
    )
    assert run("| C | F | D6 | Eb6 | C |", "--class", str(path)) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[1] == "grips new to the class: 1, for 2 of 4 chords"
    assert said[2].startswith("  D6 2-2-2-2, E♭6 3-3-3-3")


def test_without_a_tune_it_says_what_to_type(capsys: pytest.CaptureFixture[str]) -> None:
    assert run() == 2
    assert "name the TUNE" in capsys.readouterr().err
