"""What a command line lacks is said in a sentence, with an example to type."""

from __future__ import annotations

import pytest

from harmonykit import cli


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["sheet", "Dm6"], "--out is missing: write FILE.pdf or FILE.svg"),
        (["sheet"], "SYMBOLS is missing"),
        (["sheet", "C", "--out"], "after --out stands PATH: write FILE.pdf or FILE.svg"),
        (
            ["compare", "heron_landing", "--choose", "8"],
            "after --choose stands BAR[@BEAT] CHORDS: with --take: put these chords there",
        ),
    ],
)
def test_what_is_lacking_is_said_with_an_example(
    typed: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(typed)
    first, example = capsys.readouterr().err.splitlines()
    assert left.value.code == 2 and first == said
    assert example.startswith(f"  try: harmonykit {typed[0]} ")
