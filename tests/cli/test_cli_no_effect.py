"""What is typed and has no effect is refused, with the reason; a draft goes where it is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit import cli


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("lesson --calls --wav", "--wav"),
        ("lesson stiff_dominant --calls", "FILE"),
        ("lesson --new ropewalk_blues --wav", "--wav"),
        ("lesson --new ropewalk_blues --practice", "--practice"),
        ("lesson --new ropewalk_blues --numerals", "--numerals"),
        ("lesson --new ropewalk_blues --tune heron_landing", "--tune"),
        ("lesson a.md --new ropewalk_blues --out b", "--out"),
        ("parts heron_landing --wav", "--wav"),
        ("parts heron_landing --example", "TUNE"),
        ("ideas dim7 --list", "SOURCE"),
        ("ideas --keys --most 3", "--most"),
        ("chord --frets 2213 --level 1", "--level"),
        ("chord --frets 2213 --texture shells", "--texture"),
        ("chord --frets 2213 --key C", "--key"),
        ("chord C7 --diagrams --key F", "--key"),
        ("chord C7 --read-out --key F", "--key"),
        ("practice --lesson stiff_dominant --instrument guitar", "--instrument"),
        ("playalong heron_landing --loop 4", "--loop"),
        ("playalong stiff_dominant --instrument guitar", "--instrument"),
        ("hear stiff_dominant none.wav --instrument guitar", "--instrument"),
    ],
)
def test_what_has_no_effect_is_refused(
    typed: str,
    said: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as left:
        cli.main(typed.split())
    assert left.value.code == 2
    assert f"Error: {said} has no effect here: " in capsys.readouterr().err
    assert not [*tmp_path.iterdir()]


@pytest.mark.parametrize(
    ("out", "written"),
    [
        ("blues1", "blues1/ropewalk_blues.md"),
        ("my/draft.md", "my/draft.md"),
        ("blues.2026", "blues.2026/ropewalk_blues.md"),
    ],
)
def test_a_draft_is_written_where_it_is_told(
    out: str,
    written: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as left:
        cli.main(["lesson", "--new", "ropewalk_blues", "--out", out])
    assert left.value.code == 0
    assert Path(written).is_file() and written in capsys.readouterr().out


def test_a_folder_that_is_a_file_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("blues").write_text("mine", encoding="utf-8")
    with pytest.raises(SystemExit):
        cli.main(["lesson", "--new", "ropewalk_blues", "--out", "blues"])
    assert "blues" in capsys.readouterr().err and Path("blues").read_text() == "mine"
