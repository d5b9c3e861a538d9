"""``harmonykit idioms``: the list, one idiom, a tune, a file of one's own beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.arrange.idioms.reading import IDIOMS
from harmonykit.cli import main

OWN = """\
[[idiom]]
name = "harbour cadence"
means = "Flat six home."
stands = "bVI I"
"""
TUNE = """\
format = 1
title = "Mooring Song"
key = "C"
meter = "4/4"
tempo = 100

[[sections]]
name = "A"
changes = "| C | Ab | C |"
"""


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as left:
        main(["idioms", *arguments])
    assert not left.value.code
    return capsys.readouterr().out


def test_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(said(capsys).split())
    assert all(f"{name}: " in text for name in IDIOMS)


def test_one_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "tritone ii-V")
    assert "for     ii|iiø7 | V7 | I|i" in text and "write   ♭vi7 | ♭II7 | I|i" in text


def test_a_typed_tune(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "| C6 A7 | Dm7 G7 | C6 |")
    assert "ii–V–I in C major, bars 2–3: Dm7 – G7 – C6" in text
    assert "no idiom found" in said(capsys, "| C6 | C6 |")


def test_a_file_beside_the_tune_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tune = tmp_path / "mooring.toml"
    tune.write_text(TUNE, encoding="utf-8")
    assert "harbour cadence" not in said(capsys, str(tune))
    (tmp_path / "idioms.toml").write_text(OWN, encoding="utf-8")
    text = said(capsys, str(tune))
    assert "with the idioms of idioms.toml, beside the tune" in text
    assert "harbour cadence in C major, bars 2–3: A♭ – C" in text
    (tmp_path / "other.toml").write_text(OWN.replace("harbour", "quay"), encoding="utf-8")
    assert "quay cadence" in said(capsys, str(tune), "--own", str(tmp_path / "other.toml"))


def test_a_blues_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Wikipedia, "Twelve-bar blues": the bars of its basic form."""
    bars = " | ".join("C7 C7 C7 C7 F7 F7 C7 C7 G7 G7 C7 C7".split())
    assert "twelve-bar blues in C major: I7 and IV7 are at rest" in said(capsys, f"| {bars} |")


def test_what_is_not_there_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["idioms", "nothing of the kind"])
    assert left.value.code == 2
    assert "nothing of the kind" in capsys.readouterr().err


def test_a_name_nearly_right_is_offered(capsys: pytest.CaptureFixture[str]) -> None:
    for asked, told in (
        ("delayed tonik", "try: delayed tonic"),
        ("delayed", "try: delayed tonic"),
        ("heron_landin", "try: heron_landing"),
        ("harbour.toml", "missing file"),
    ):
        with pytest.raises(SystemExit) as left:
            main(["idioms", asked])
        assert left.value.code == 2 and told in capsys.readouterr().err


def test_the_name_of_an_own_idiom_tells_where_own_idioms_are_read(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(SystemExit) as left:
        main(["idioms", "my own fourth"])
    text = capsys.readouterr().err
    assert left.value.code == 2 and "no idiom is called 'my own fourth'" in text
    assert "--own FILE, or from idioms.toml beside a tune" in text
