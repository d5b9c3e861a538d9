"""``harmonykit playalong``: files to practise with, and what is said of what cannot be had."""

from __future__ import annotations

import re
from pathlib import Path

import mido
import numpy as np
import pytest
import soundfile

from harmonykit.cli import main


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["playalong", *arguments])
    return int(str(left.value.code))


def test_options_make_a_line_and_the_line_makes_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ("--bars", "2-3", "--tempi", "50,100", "--click", "2+4", "--times", "1", "--mid")
    out = tmp_path / "made"
    assert run("| Dm7 | G7 | C6 |", *asked, "--out", str(out)) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("Untitled: bars 2-3, tempi 50 100, times 1, click 2+4, ")
    stem = "untitled-bars-2-3-tempi-50-100-times-1-click-2-4"
    assert sorted(path.name for path in out.iterdir()) == [f"{stem}.mid", f"{stem}.mp3"]
    # Two tempi, the second twice the first, and eight bars or more of music in the file.
    midi = mido.MidiFile(out / f"{stem}.mid")
    tempi = [m.tempo for track in midi.tracks for m in track if m.type == "set_tempo"]
    assert len(tempi) == 2 and tempi[0] == pytest.approx(2 * tempi[1], rel=1e-5)


def test_a_level_of_a_tune_is_said_to_be_left_aside(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ("| C | G7 |", "--level", "2", "--times", "1", "--mid", "--out", str(tmp_path / "made"))
    assert run(*asked) == 0
    assert "has no levels: --level 2 is left aside" in capsys.readouterr().out
    recording = tmp_path / "silent.wav"
    soundfile.write(recording, np.zeros(44100 * 3), 44100)
    with pytest.raises(SystemExit):
        main(["hear", "heron_landing", str(recording), "--level", "2"])
    assert "has no levels: --level 2 is left aside" in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments, said",
    [
        (("slack_water_waltz", "--bars", "40"), "no bar 40"),
        (("slack_water_waltz", "--click", "2+4"), "3 beats"),
        (("stiff_dominant", "--level", "9"), "5 levels"),
        (("nowhere",), "nowhere"),
        (("| C | G7 |", "--without", "drums"), "a part: strum, bass, percussion, melody, click"),
        (("| C | G7 |", "--hard-change", "1", "--bars", "1"), "one of the two"),
        (("| C | G7 |", "--intro", "--bars", "1"), "one of the two"),
        (("| C | G7 |", "--with", "melody"), "with melody: Untitled has no melody"),
    ],
)
def test_what_cannot_be_had_is_said_and_nothing_is_written(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    said: str,
) -> None:
    out = tmp_path / "none"
    assert run("--out", str(out), *arguments) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()


def test_a_file_is_no_folder_to_write_to(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("| C | G7 |", "--out", "mine.wav") == 2
    assert "--out mine\n" in capsys.readouterr().err
    assert not Path("mine.wav").exists()


def test_parts_are_left_out_one_by_one_or_with_commas(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    once = ("--without", "bass,percussion, click", "--mid", "--times", "1")
    again = ("--without", "bass", "--without", "percussion", "--without", "click", *once[2:])
    for name, asked in {"once": once, "again": again}.items():
        assert run("| C | G7 |", *asked, "--out", str(tmp_path / name)) == 0
    made = [next((tmp_path / name).glob("*.mid")) for name in ("once", "again")]
    assert made[0].name == made[1].name and made[0].read_bytes() == made[1].read_bytes()
    tracks = [track.name for track in mido.MidiFile(made[0]).tracks]
    assert "strings" in tracks and not {"bass", "percussion"} & set(tracks)


def test_a_long_play_along_is_told_in_minutes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("harmonykit.cli.lesson.sound_files", lambda *_: ())
    bars = "| " + "C | G7 | " * 36
    assert run(bars, "--out", str(tmp_path / "made")) == 0
    # 72 bars of four beats at 120 are 144 seconds; the count-in and the last chord add some.
    assert re.search(r", 2 min [23]\d s$", capsys.readouterr().out.splitlines()[0])
