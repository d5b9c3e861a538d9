"""The tune as it is typed, pasted or opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune, write_tune
from harmonykit.score.typed import (
    open_file,
    read_typed,
    take_in,
    text_kind,
    text_of,
    tunes_in,
)
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

ABC = """X:4
T:Ropewalk Reel
M:4/4
L:1/4
K:G
"G"GABc|"D7"d2A2|"G"G4|]

X:9
T:Pilot's Air
M:3/4
L:1/4
K:D
"D"DFA|"A7"A3|"D"D3|]
"""
CHANGES = "| Dm7 | G7 / / A7 | Dm7 | C6 |"


def chords(tune: Tune) -> list[str]:
    return [str(change.chord) for change in tune.changes]


def test_bare_changes_are_a_tune_in_the_key_that_fits() -> None:
    tune = read_typed(CHANGES)
    assert chords(tune) == ["Dm7", "G7", "A7", "Dm7", "C6"]
    assert any("key is taken to be" in doubt for doubt in tune.doubts)


def test_a_metre_in_the_first_bar_is_the_tunes() -> None:
    tune = read_typed("| {3/4} C | G7 | C |")
    assert tune.meter == (3, 4) and tune.length == 9


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [("| C6 | Hq7 |", 1, 8), ("| C6 |\n| G7 | ?? |", 2, 8), ("| C F G A B |", 1, None)],
)
def test_an_error_has_its_line_and_column(text: str, line: int, column: int | None) -> None:
    with pytest.raises(HarmonyError) as caught:
        read_typed(text)
    place = caught.value.place
    assert place is not None and place.line == line and place.column
    assert column is None or place.column == column
    assert "^" in str(caught.value)


@pytest.mark.parametrize("text", ["", " \n ", "| - |", "no tune at all"])
def test_no_tune_is_said_kindly(text: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        read_typed(text)
    assert caught.value.what


def test_of_several_tunes_one_is_read() -> None:
    assert tunes_in(ABC) == ((4, "Ropewalk Reel"), (9, "Pilot's Air"))
    assert (read_typed(ABC).title, read_typed(ABC, 9).title) == ("Ropewalk Reel", "Pilot's Air")
    assert read_typed(ABC, 9).meter == (3, 4)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("% A selection\n\nX:1\nN:words = more\nK:D\nD|", ".abc"),
        ('# a remark\nformat = 1\nnotes = """\nK: is no field\n"""', ".toml"),
        ("# my own\n|: C6 | {3/4} G7 :|", "|"),
        ("\n  <!DOCTYPE score-partwise>", ".musicxml"),
        ("K:G\nGABc|", ".abc"),
    ],
)
def test_the_first_line_that_is_no_remark_tells_what_it_is(text: str, kind: str) -> None:
    assert text_kind(text) == kind


def test_one_tune_is_no_choice() -> None:
    assert tunes_in(ABC[ABC.index("X:9") :]) == () == tunes_in(CHANGES)


def test_a_score_is_told_from_other_text_and_becomes_the_text_form(tmp_path: Path) -> None:
    shipped = read_tune(find_data("tunes", "slack_water_waltz"))
    path = tmp_path / "waltz.musicxml"
    write_tune(shipped, path)
    assert text_kind(path.read_text(encoding="utf-8")) == ".musicxml"
    name, text = open_file(str(path))
    assert name == "waltz.musicxml" and text_kind(text) == ".toml"
    assert chords(read_typed(text)) == chords(shipped)
    assert chords(read_typed(path.read_text(encoding="utf-8"))) == chords(shipped)


def test_the_text_form_and_abc_are_opened_as_they_stand(tmp_path: Path) -> None:
    own = find_data("tunes", "heron_landing")
    assert open_file("heron_landing") == (own.name, own.read_text(encoding="utf-8"))
    assert text_of("two.abc", ABC.replace("\n", "\r\n").encode()) == ABC
    assert text_of("old.abc", "T:Caf\xe9\n".encode("latin-1")) == "T:Caf\xe9\n"


def test_what_was_written_as_text_is_read_as_it_was() -> None:
    tune = read_tune(find_data("tunes", "heron_landing"))
    assert read_typed(write_text(tune)) == tune


@pytest.mark.parametrize(
    ("name", "data"),
    [("a.pdf", b""), ("a.toml", b"\xff"), ("a.toml", b"x" * 4_000_001), ("a.mxl", b"PK\x03\x04")],
)
def test_other_files_are_refused(name: str, data: bytes) -> None:
    with pytest.raises(HarmonyError):
        text_of(name, data)


def test_the_words_of_an_abc_tune_are_told() -> None:
    assert "words" not in dict(take_in(ABC).told)
    # Seven notes, seven syllables.
    sung = ABC.replace("\nX:9", "w:Haul a-way the rope and sing\n\nX:9")
    assert dict(take_in(sung).told)["words"] == "1 verse: Haul away the rope and sing ..."
