"""``harmonykit tune``, as a person uses it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from harmonykit import cli
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

MESSAGE = "Low Tide Rag, key of F\n|1. F D7 | Gm7 C7 |\n"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        cli.main(arguments)
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


def test_a_pasted_text_is_read_and_told(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "tune", "|1. F D7 | Gm7 C7 |")
    assert status == 0
    assert "a message" in out and "4/4" in out
    assert re.search(r"^bars +2$", out, re.MULTILINE)
    chart = next(line for line in out.splitlines() if line.startswith("  1 "))
    assert chart.split() == ["1", "F", "D7", "Gm7", "C7"]


def test_chords_alone_are_read_too(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "tune", "F D7 Gm7 C7")
    assert status == 0 and "bars      4\n" in out and "type | between" in out


def test_standard_input_is_read() -> None:
    found = CliRunner().invoke(cli.app, ["tune", "--to", "E♭ major"], input=MESSAGE)
    assert found.exit_code == 0
    assert "from F major to E♭ major" in found.output
    assert "E♭" in found.output and "B♭7" in found.output


def test_it_moves_by_semitones_and_writes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "moved.toml"
    status, out, _ = run(capsys, "tune", MESSAGE, "--by", "-2", "--out", str(path))
    assert status == 0 and f"Wrote {path}." in out
    tune = read_tune(path)
    assert (tune.title, str(tune.key)) == ("Low Tide Rag", "Eb major")
    assert [str(change.chord) for change in tune.changes] == ["Eb", "C7", "Fm7", "Bb7"]


@pytest.mark.parametrize("name", ["a.toml", "a.musicxml", "a.txt"])
def test_files_of_any_kind_are_read(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / name
    if name.endswith(".txt"):
        path.write_text(MESSAGE, encoding="utf-8")
    else:
        run(capsys, "tune", MESSAGE, "--out", str(path))
    status, out, _ = run(capsys, "tune", str(path))
    assert status == 0 and "Low Tide Rag" in out and "F major" in out


def test_what_a_format_loses_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.mid"
    _, out, _ = run(capsys, "tune", "|: F | C7 :|", "--out", str(path))
    assert "without their names" in out and "written out" in out
    _, out, _ = run(capsys, "tune", "|: F | C7 :|", "--out", str(tmp_path / "a.musicxml"))
    assert "Not kept" not in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["tune", "| F | Gmim7 |"], "line 1, column 7"),
        (["tune", "| F |", "--to", "D minor"], "transposing keeps the mode"),
        (["tune", "| F |", "--to", "X"], "X"),
        (["tune", "| F |", "--by", "30"], "-24 to 24"),
        (["tune", "| F |", "--to", "G", "--by", "2"], "transposed twice"),
        (["tune", "| F |", "--out", "a.pdf"], ".musicxml"),
        (["tune", "nowhere"], "nowhere"),
        (["tune", "no where.toml"], "no where.toml"),
        (["tune", "what is this"], "the text has no chord"),
        (["tune", "| F |", "--meter", "4/5"], "4/5"),
        (["tune", ""], ""),
    ],
)
def test_what_cannot_be_used_is_one_message_and_status_2(
    arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = run(capsys, *arguments)
    assert status == 2 and out == ""
    assert words in err and "Traceback" not in err


def test_help_explains_the_text_and_its_examples_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "message.txt").write_text(MESSAGE, encoding="utf-8")
    text = CliRunner().invoke(cli.app, ["tune", "--help"]).output
    assert "Form: AABA" in text and "N.C." in text
    import shlex

    examples = [line.strip() for line in text.splitlines() if "  harmonykit tune" in line]
    assert len(examples) == 4
    for example in examples:
        words = shlex.split(example.partition("<")[0])[1:]
        typed = MESSAGE if "<" in example else None
        assert CliRunner().invoke(cli.app, words, input=typed).exit_code == 0, example


@pytest.mark.parametrize("semitones", range(-12, 13))
def test_up_and_down_again_is_where_it_was(semitones: int) -> None:
    """Law: to move by so many semitones and back is to stay, but for the names of notes."""
    tune = Tune.parse(MESSAGE)
    again = tune.transpose_by(semitones).transpose_by(-semitones)
    assert again.key == tune.key
    assert [c.chord for c in again.changes] == [c.chord for c in tune.changes]


def test_an_octave_leaves_the_chords_and_raises_the_melody() -> None:
    tune = read_tune(Path(__file__).parents[2] / "data" / "tunes" / "ropewalk_blues.toml")
    higher = tune.transpose_by(12)
    assert higher.changes == tune.changes and higher.key == tune.key
    both = zip(higher.melody, tune.melody, strict=True)
    risen = {one.note.midi - two.note.midi for one, two in both}
    assert risen == {12}


def test_a_tune_longer_than_any_name_is_typed(capsys: pytest.CaptureFixture[str]) -> None:
    """Names of files end at 255 signs on the systems we know: common practice, no source."""
    status, out, _ = run(capsys, "tune", "| C6 | Am7 " * 40 + "|")
    assert status == 0 and re.search(r"^bars +80$", out, re.MULTILINE)
    status, out, _ = run(capsys, "tune", "C6 Am7 Dm7 G7 " * 20)
    assert status == 0 and re.search(r"^bars +80$", out, re.MULTILINE)


JIG = """X:1
T:Tar Barrel
M:6/8
L:1/8
Q:3/8=88
K:Am
E|"Am"A2B c2d|"E7"e2d B2G|"Am"A2B c2A|"Ab13"B3 z2 E|"Am"A2B c2d|"E7"B3 B2|]
"""


def test_a_report_counts_bars_and_beats_in_one_way(capsys: pytest.CaptureFixture[str]) -> None:
    """A pick-up is no bar, and six eighths have two beats: 132 quarter notes are 88 of them."""
    out = run(capsys, "tune", JIG)[1]
    assert "bars      6 and a pick-up\n" in out
    # Upbeats around the repeat in the middle complete its bars: eight in all, each twice.
    halves = 'X:1\nT:Two\nM:3/4\nL:1/4\nK:G\n|:"G"D|G3|G3|G3|G2:||:D|G3|G3|G3|G2:|\n'
    assert "8 written and a pick-up, 16 played" in run(capsys, "tune", halves)[1]
    assert "132 quarter notes a minute (88 beats)" in out
    assert "most at A♭13 in bar 4 as played" in " ".join(out.split())
    compared = run(capsys, "compare", JIG, "--style", "few shapes")[1]
    assert "6 bars, 88 beats a minute (132 quarter notes)" in " ".join(compared.split())


def test_a_mode_is_told_how_to_be_typed(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(capsys, "tune", "| G | C D7 |", "--to", "a dorian")
    assert status == 2 and 'try: "A minor"' in err and "major or minor" in err


UPBEAT = """X:1
T:Upbeat
M:4/4
L:1/4
Q:1/4=100
K:C
G | "C" c4 | c4 | "F" A4 | "G7" G3 |]
"""


def test_a_chart_begins_a_row_after_a_pickup_and_says_what_a_dash_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "upbeat.abc"
    path.write_text(UPBEAT)
    _, out, _ = run(capsys, "tune", str(path))
    rows = [line.split() for line in out.splitlines() if re.match(r" +\d+ ", line)]
    assert rows == [["0", "-"], ["1", "C", "-", "F", "G7"]]
    assert "A bar with - holds the chord before." in out
    # As MIDI it has no chords: no chart of dashes, and the pick-up is one still.
    assert run(capsys, "tune", str(path), "--out", str(tmp_path / "upbeat.mid"))[0] == 0
    _, out, _ = run(capsys, "tune", str(tmp_path / "upbeat.mid"))
    assert "4 and a pick-up" in out and "- " not in out[: out.index("Doubts")]
