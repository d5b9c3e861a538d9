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
            "after --choose stands BAR[@BEAT] CHORDS: with --take: put these chords in that bar; | "
            "begins the next",
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


@pytest.mark.parametrize("command", ["parts heron_landing", "chord C7", "compare heron_landing"])
def test_a_second_value_is_refused_where_one_is_taken(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main([*command.split(), "--instrument", "guitar", "--instrument", "ukulele"])
    assert left.value.code == 2
    assert "--instrument is given 2 times: it takes one value" in capsys.readouterr().err
