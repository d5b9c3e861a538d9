"""The command ``words``: one term, the terms that have a word, or all of them."""

from __future__ import annotations

import pytest

from harmonykit import cli
from harmonykit.arrange import IDIOMS
from harmonykit.arrange.idioms.frames import ENDINGS, INTROS
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import STYLES
from harmonykit.cli import told
from harmonykit.cli.words import lines_of


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        cli.main(["words", *arguments])
    said = capsys.readouterr()
    return int(left.value.code or 0), said.out, said.err


def test_a_term_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    status, text, _ = answer(capsys, "backdoor")
    assert status == 0
    assert text.startswith("backdoor (♭VII7 – I): ")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("difficulty", "difficulty (rating): How hard its shapes are"),
        ("not parallel", "not parallel (% of changes): One outer voice stays"),
        ("Surprise", "surprise (bits per change): How unusual the chords are"),
        ("two strings", "two strings: Guide tones on two strings"),
        ("points", "points for variety of shapes: What the difficulty owes"),
    ],
)
def test_what_compare_measures_and_offers_is_explained(
    asked: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, text, _ = answer(capsys, asked)
    assert status == 0 and said in text


def test_each_line_of_the_comparison_is_a_word() -> None:
    (way,) = reharmonise("| C6 | G7 | C6 |", "ukulele", (), k=1)
    text = "\n".join(lines_of(None))
    for line in told.lines_of([way]):
        assert f"\n{line.name.strip().partition(',')[0]}" in text


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("plagal tag", "plagal tag: IV iv I after the last chord"),
        ("tritone ii-V", "tritone ii–V: A ii and its dominant"),
        ("Andalusian descent", "Andalusian descent: i ♭VII ♭VI V in minor"),
        ("andalusian cadence", "Andalusian cadence (i – ♭VII – ♭VI – V): "),
        ("lament", "lament bass (A – G – F – E in A minor): "),
        ("turnback", "turnaround ("),
        ("bass line cliché", "line cliché ("),
    ],
)
def test_what_idioms_intros_and_endings_are_called_is_explained(
    asked: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert answer(capsys, asked)[1].startswith(said)


def test_each_name_of_an_idiom_an_intro_or_an_ending_is_known() -> None:
    names = {one.name: None for one in (*IDIOMS.values(), *INTROS.values(), *ENDINGS.values())}
    assert len(names) > 90
    for name in names:
        (first, *_) = lines_of(name)
        assert ": " in first or "(" in first


def test_a_word_finds_several(capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = answer(capsys, "diminished")
    for name in ("leading-tone", "passing", "descending passing", "common-tone"):
        assert f"\n{name} diminished" in "\n" + text


def test_all_of_them_fit_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = answer(capsys)
    assert max(map(len, text.splitlines())) <= 80
    assert text.count("\npedal point (") == 1


def test_the_help_of_compare_lists_every_move_and_style() -> None:
    from click.testing import CliRunner

    text = CliRunner().invoke(cli.app, ["compare", "--help"]).output
    assert all(style.about for style in STYLES.values())
    for name in (*MOVES, *STYLES):
        assert f"\n  {name}: " in text or f"\n  {name} (" in text
    assert max(map(len, text.splitlines())) <= 80


def test_an_unknown_term_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    status, text, said = answer(capsys, "zither")
    assert (status, text) == (2, "")
    assert "unknown term 'zither'" in said


def test_the_grooves_and_their_signs_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    from harmonykit.tune.groove.shelf import grooves

    _, text, _ = answer(capsys, "groove")
    assert all(
        f"\n  {name} (" in text and groove.strum in text for name, groove in grooves().items()
    )
    assert max(map(len, text.splitlines())) <= 80
    _, text, _ = answer(capsys, "strum")
    # Every sign of every groove that ships is in the list of signs.
    signs = {sign for groove in grooves().values() for sign in groove.strum.split()}
    assert signs >= {"D", "U", "R", "-", "."}
    assert all(sign.strip("()!~") in text.replace(",", " ").split() for sign in signs)
