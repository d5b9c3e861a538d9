"""``harmonykit chord --frets``: a shape read, in JSON and in 80 columns."""

from __future__ import annotations

import json

import pytest

from harmonykit import cli
from harmonykit.about.frets import frets_facts, frets_text
from harmonykit.about.text import WIDTH
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


# Common practice, no source: 2-2-1-3 is F6 and Dm7; C6 and Am7 are one shape.
@pytest.mark.parametrize(
    ("digits", "neck", "names"),
    [
        ("2213", UKULELE, {"Dm7", "F6"}),
        ("0000", UKULELE, {"C6", "Am7"}),
        ("10-12-10-12", UKULELE, {"Dm7", "F6"}),
        ("x32010", GUITAR, {"C"}),
    ],
)
def test_a_shape_is_read_as_chords(digits: str, neck: Instrument, names: set[str]) -> None:
    assert names <= {name["symbol"] for name in frets_facts(digits, neck)["names"]}


# The chord scale on C up the ukulele (common practice; it follows by arithmetic).
CLIMB = "0-0-0-0 1-2-1-2 2-4-3-3 4-5-4-5 5-7-5-7 7-8-7-8 9-9-8-10 10-11-10-11".split()


def test_a_shape_stands_between_its_neighbours_in_the_chord_scale() -> None:
    for step, digits in enumerate(CLIMB):
        told = frets_facts(digits, UKULELE)["places"]
        ours = next(p for p in told if p["scale"] == "C major sixth-diminished")
        assert ours["step"] == step + 1
        assert ours["next_up"] == (*CLIMB, "12-12-12-12")[step + 1]
        assert ours["next_down"] == (CLIMB[step - 1] if step else None)


def test_near_shapes_differ_by_two_strings_at_most() -> None:
    told = frets_facts("2213", UKULELE)["near"]
    assert told
    for near in told:
        frets = [int(fret) for fret in near["digits"].split("-")]
        moved = [abs(a - b) for a, b in zip(frets, (2, 2, 1, 3), strict=True) if a != b]
        assert len(moved) == near["strings_moved"] <= 2
        assert max(moved) <= 2
        assert near["chords"]


@pytest.mark.parametrize(
    ("digits", "neck"),
    [
        ("2213", UKULELE),
        ("2323", UKULELE),
        ("0000", UKULELE),
        ("x32010", GUITAR),
        ("1-9-1-9", UKULELE),
        ("x3x00x", GUITAR),
        ("133211", GUITAR),
        ("12-13-12-13-12-13", GUITAR),
        ("x-x-x-x-x-3", GUITAR),
        ("70000", Instrument.named("banjo")),
    ],
)
def test_the_text_fits_a_terminal_and_tells_the_shape(digits: str, neck: Instrument) -> None:
    text = frets_text(frets_facts(digits, neck))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert text.startswith(Voicing.parse(digits, neck).digits)
    assert neck.sheet_line in " ".join(text.split())


def test_what_no_hand_holds_is_told_without_its_neighbours() -> None:
    told = frets_facts("1-9-1-9", UKULELE)
    assert told["near"] == []
    assert told["shape"]["difficulty"] is None
    assert "four fingers cannot hold it" in frets_text(told)


def test_the_parts_of_the_hand_are_told() -> None:
    text = " ".join(frets_text(frets_facts("133211", GUITAR)).split())
    assert "4 fingers, a barre over 6 strings, stretch 67 mm" in text
    assert "first level 3" in text
    assert "if it hurts, stop" in text


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        cli.main(["chord", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code


def test_the_command_reads_a_shape(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("--frets", "x32010", "--instrument", "guitar") == 0
    assert capsys.readouterr().out.startswith("x-3-2-0-1-0   C\n")
    assert run("--frets", "2213", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads(json.dumps(frets_facts("2213", UKULELE)))
    assert told["format"] == 1
    assert run("--frets", "0003", "--capo", "2") == 0
    assert capsys.readouterr().out.startswith("0-0-0-3   D\n")


# One message each, on standard error, and exit 2.
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--frets", "2-2-1-16"], "fret 16 is beyond the neck"),
        (["--frets", "221"], "'221' has frets for 3 strings"),
        (["--frets", "x32010"], "'x32010' has frets for 6 strings"),
        (["--frets", "xxxx"], "every string is muted"),
        (["--frets", "2213", "--instrument", "G4 C4"], "2 strings given"),
        (["C", "--instrument", "G4 C4"], "2 strings given"),
        (["--frets", "30000", "--instrument", "banjo"], "fret 3 is before the g string begins"),
        (["--frets", "2213", "--capo", "15"], "a capo at fret 15 leaves no frets"),
        (["C", "--frets", "0003"], "not both"),
        ([], "Missing argument 'SYMBOL'"),
        (["C", "--level", "4"], "4"),
        (["2213"], "harmonykit chord --frets 2213"),
        (["X7"], 'try: "C", "Am7"'),
    ],
)
def test_bad_input_is_told_in_one_message(
    capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    assert run(*arguments) == 2
    output, message = capsys.readouterr()
    assert output == ""
    assert said in message
    assert "Traceback" not in message
