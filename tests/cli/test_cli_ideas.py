"""The command ``ideas``: as a stranger types it."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit import cli


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        cli.main(["ideas", *arguments])
    said = capsys.readouterr()
    return int(left.value.code or 0), said.out, said.err


def test_ideas_are_numbered_with_proof_and_shapes(capsys: pytest.CaptureFixture[str]) -> None:
    status, text, _ = answer(capsys, "C+", "--instrument", "ukulele", "--most", "4")
    assert status == 0
    assert [line[:2] for line in text.splitlines() if line[:1].isdigit() and line[1] == "."] == [
        "1.", "2.", "3.", "4.",
    ]  # fmt: skip
    for word in ("   proof", "   not so", "   play", "   hear", "   where", "   rare"):
        assert f"\n{word}" in text
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "more: --most " in text


def test_places_in_a_tune(capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = answer(capsys, "dim7", "--tune", "heron_landing", "--tune", "| C6 | G7 |")
    assert "Heron Landing, bar " in text


def test_an_idea_is_told_first_where_its_own_chord_stands_then_where_it_is_moved(
    capsys: pytest.CaptureFixture[str],
) -> None:
    _, text, _ = answer(capsys, "G", "--tune", "| D | G | D | A7 | Gm | G |", "--most", "9")
    (said,) = (
        part
        for part in text.split("\n\n")
        if " G is followed by D in more tunes than" in " ".join(part.split())
    )
    where = " ".join(said.partition("   where")[2].split())
    assert where == (
        "Untitled, bar 2: G; Untitled, bar 6: G; moved to fit: Untitled, bar 1: D; 1 more"
    )


def test_a_tune_is_a_source(capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = answer(capsys, "| C6 | G7 |", "--most", "30")
    assert "C6 and Am7" in text
    assert "bar 2: G7" in text


def test_a_class_file_that_is_missing_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, error = answer(capsys, "dim7", "--class", "nowhere.toml")
    assert status == 2 and "nowhere.toml" in error


@pytest.mark.parametrize("wrong", ["Xyz", "0 1 2 3 4 5 6 7 8 9 10 11"])
def test_what_cannot_be_read(capsys: pytest.CaptureFixture[str], wrong: str) -> None:
    status, _, error = answer(capsys, wrong)
    assert status == 2
    assert error


def test_the_name_of_an_idea_is_told_what_takes_it(
    capsys: pytest.CaptureFixture[str], root: Path
) -> None:
    for name in sorted(path.stem for path in (root / "data" / "ideas").glob("*.toml")):
        status, _, said = answer(capsys, name)
        assert status != 0 and f"{name} is an idea: " in said
        assert f"--new TUNE --idea {name}" in said
