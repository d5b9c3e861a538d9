"""The file of instruments: what ships, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shipped import names, nearest_instrument, read_instruments
from harmonykit.paths import data_dir

GOOD = """format = 1
[[instrument]]
name = "quay lute"
also = ["lute"]
strings = "D3 A3 D4"
scale_mm = 500
frets = 12
family = "guitar"
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_four_named_instruments_ship() -> None:
    assert {"ukulele", "ukulele low g", "baritone ukulele", "guitar"} <= set(names())


def test_every_name_in_the_file_finds_its_instrument() -> None:
    found = read_instruments(data_dir() / "instruments.toml")
    assert all(instrument.name in found for instrument in found.values())
    assert found["baritone"] is found["baritone ukulele"]


# Scale lengths: makers' published sizes, concert 15 in, baritone 20 in, guitar 25.5 in.
@pytest.mark.parametrize(
    ("name", "inches"), [("ukulele", 15), ("baritone ukulele", 20), ("guitar", 25.5)]
)
def test_scales_are_published_sizes(name: str, inches: float) -> None:
    found = read_instruments(data_dir() / "instruments.toml")
    assert found[name].scale_mm == pytest.approx(inches * 25.4)
    assert found[name].frets >= 12


def test_a_users_own_file_is_read(tmp_path: Path) -> None:
    found = read_instruments(written(tmp_path, GOOD))
    assert list(found) == ["quay lute", "lute"]
    assert found["lute"].midi == (50, 57, 62)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("format = 1", "format = 2", "the format is 2"),
        ("format = 1", "", "the format is None"),
        ("scale_mm = 500", "", "scale_mm is None"),
        ("frets = 12", 'frets = "many"', "frets is 'many'"),
        ("frets = 12", "frets = 12\ncolour = 3", "no key 'colour'"),
        ("D3 A3 D4", "D3 A3 D", "'D' has no octave"),
        ("frets = 12", "frets = 99", "99 frets"),
        ("[[instrument]]", "[[instrument", "no TOML"),
        ('"guitar"', '"harp"', "family 'harp'"),
        ('also = ["lute"]', 'also = "lute"', "also is 'lute'"),
        ("[[instrument]]", "[instrument]", "no list of tables"),
    ],
)
def test_a_wrong_file_is_named_with_what_is_wrong(
    tmp_path: Path, old: str, new: str, what: str
) -> None:
    with pytest.raises(HarmonyError, match=what) as caught:
        read_instruments(written(tmp_path, GOOD.replace(old, new)))
    assert "mine.toml" in str(caught.value)


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(HarmonyError, match="cannot read mine.toml"):
        read_instruments(path)
    with pytest.raises(HarmonyError, match="cannot read gone.toml"):
        read_instruments(tmp_path / "gone.toml")


@pytest.mark.parametrize(
    ("lowest", "name"), [(60, "ukulele"), (50, "baritone ukulele"), (38, "guitar")]
)
def test_the_nearest_instrument_goes_by_the_lowest_string(lowest: int, name: str) -> None:
    assert nearest_instrument(lowest).name == name
