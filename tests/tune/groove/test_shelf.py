"""The grooves that ship, and those of a user's own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.tune.groove.shelf import find_groove, groove_for, grooves, in_meter, read_groove
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

MINE = """format = 1
name = "mine"
meter = "3/4"
styles = ["slow air"]
strum = "R D U"
swing = 1.5
timing_ms = 12
"""


def test_every_usual_metre_and_style_has_a_groove() -> None:
    meters = {groove.meter for groove in grooves().values()}
    assert meters >= {(2, 4), (3, 4), (4, 4), (5, 4), (6, 8), (12, 8), (2, 2)}
    styles = {style for groove in grooves().values() for style in (groove.name, *groove.styles)}
    assert styles >= {"straight", "swing", "shuffle", "waltz", "bossa", "ballad", "march"}
    for groove in grooves().values():
        assert groove.about.endswith(".") and groove.low and groove.spoken
    # The file is called as its groove.
    names = {name.replace(" ", "_").replace("-", "_") for name in grooves()}
    assert names == {
        path.stem
        for path in find_data("tunes", "heron_landing")
        .parent.parent.joinpath("grooves")
        .glob("*.toml")
    }


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("4/4 100 ", "calypso"), ("4/4 60 ", "ballad"), ("3/4 100 ", "waltz"),
        ("3/4 60 ", "slow waltz"), ("6/8 150 ", "six-eight"), ("6/8 60 ", "slow six"),
        ("12/8 120 ", "twelve-eight"), ("5/4 120 ", "five-four"), ("2/4 120 ", "two-four"),
        ("7/4 120 ", "plain"), ("4/4 140 Medium Swing", "swing"), ("4/4 60 swing", "swing"),
        ("4/4 120 Bossa Nova", "bossa"), ("6/8 150 March", "march in six"),
        ("2/4 100 march", "march in two"), ("3/4 150 jazz waltz", "jazz waltz"),
        ("4/4 70 slow blues", "shuffle"), ("7/4 120 swing", "plain"),
    ],
)  # fmt: skip
def test_a_tune_is_played_as_its_metre_style_and_tempo_say(given: str, name: str) -> None:
    meter, tempo, style = given.split(" ", 2)
    tune = Tune.parse("| C | G7 |", key="C", meter=meter)
    assert groove_for(replace(tune, tempo=float(tempo), style=style)).name == name


def test_a_tempo_slows_at_the_end_only_where_a_style_was_asked_for() -> None:
    tune = replace(Tune.parse("| C | G7 |", key="C"), tempo=60)
    assert groove_for(tune).name == "ballad" and groove_for(tune).ritard == 1
    assert groove_for(replace(tune, style="ballad")).ritard > 1


def test_an_unknown_style_is_said_with_the_nearest() -> None:
    tune = replace(Tune.parse("| C | G7 |", key="C"), style="bosa nova")
    with pytest.raises(HarmonyError) as caught:
        groove_for(tune)
    assert "bosa nova" in caught.value.what and "bossa nova" in caught.value.mend


@pytest.mark.parametrize("name", shipped("tunes"))
def test_shipped_tunes_say_their_style_and_keep_it(name: str) -> None:
    tune = read_tune(find_data("tunes", name))
    assert tune.style and groove_for(tune).meter == tune.meter
    assert Tune.parse(write_text(tune)).style == tune.style


def test_a_groove_of_ones_own_is_found_beside_a_file(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(MINE, encoding="utf-8")
    mine = find_groove("mine", tmp_path)
    assert (mine.strum, mine.swing, mine.timing, mine.meter) == ("R D U", 1.5, 12, (3, 4))
    (tmp_path / "grooves").mkdir()
    (tmp_path / "grooves" / "waltz.toml").write_text(MINE.replace('"mine"', '"waltz"'))
    assert find_groove("waltz", tmp_path).strum == "R D U"
    assert find_groove("waltz").strum != "R D U"
    with pytest.raises(HarmonyError) as caught:
        find_groove("waltzz", tmp_path)
    assert "waltz" in caught.value.mend
    # In a bar of another metre it gives way, and the hand is as human as before.
    other = in_meter(mine, Tune.parse("| C | G7 |", key="C"), (4, 4))
    assert (other.meter, other.timing) == ((4, 4), 12)


@pytest.mark.parametrize(
    ("before", "after", "line", "column"),
    [
        ('strum = "R D U"', 'strum = "R D Q"', 5, 14),
        ('strum = "R D U"', 'strum = "R D U D"', 5, 10),
        ("swing = 1.5", "swing = 9", 6, 9),
        ("swing = 1.5", 'swing = "much"', 6, 1),
        ("timing_ms = 12", "timing = 12", 7, 1),
        ('meter = "3/4"', 'meter = "3/0"', 3, None),
        ('styles = ["slow air"]', "styles = [3]", 4, 10),
        ('styles = ["slow air"]', "tempo = [90]", 4, 9),
        ('name = "mine"', 'name = ""', 2, 8),
        ("format = 1", "format = 9", 1, 10),
        ('strum = "R D U"\n', "", None, None),
    ],
)
def test_what_is_wrong_in_a_file_is_said_with_its_place(
    before: str, after: str, line: int | None, column: int | None, tmp_path: Path
) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(MINE.replace(before, after), encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        read_groove(file)
    place = caught.value.place
    assert place is not None and place.source == "mine.toml" and place.line == line
    assert column is None or place.column == column
    assert caught.value.rule or caught.value.mend
