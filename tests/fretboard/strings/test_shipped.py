"""The file of instruments: what ships, and what is refused."""

from __future__ import annotations

from dataclasses import astuple
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names, nearest_neck, read_instruments
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


# Method books that the file names, as tests/data/README.md lists them (from memory).
PRINTED = ("Kaai 1906", "Carcassi 1836", "Gervasio 1767", "Scruggs 1968")


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_instrument_that_a_class_brings_ships() -> None:
    ukuleles = {"ukulele", "ukulele low g", "soprano ukulele", "tenor ukulele", "baritone ukulele"}
    guitars = {"guitar", "guitar drop D", "guitar DADGAD", "guitar open G", "tenor guitar"}
    others = {"tenor ukulele low g", "soprano ukulele in D", "mandolin", "five-string banjo"}
    assert ukuleles | guitars | others == set(names())


def test_the_file_says_where_each_tuning_is_from() -> None:
    for name in names():
        source = Instrument.named(name).source
        assert source.startswith("tuning")
        assert "scale" in source
        assert "frets" in source
        printed = any(name in source for name in PRINTED)
        assert printed or "makers" in source or "common practice, no source" in source


def test_every_name_in_the_file_finds_its_instrument() -> None:
    found = read_instruments(data_dir() / "instruments.toml")
    assert all(astuple(Instrument.named(name)) == astuple(neck) for name, neck in found.items())
    assert all(Instrument.named(one.name).strings == one.strings for one in found.values())
    assert found["baritone"] is found["baritone ukulele"]


# Scale lengths: makers' published sizes, soprano 13 in, concert 15, tenor 17, baritone 20; the
# others are common practice, no source.
@pytest.mark.parametrize(
    ("name", "inches"),
    [
        ("soprano ukulele", 13),
        ("soprano ukulele in D", 13),
        ("ukulele", 15),
        ("ukulele low g", 15),
        ("tenor ukulele", 17),
        ("tenor ukulele low g", 17),
        ("baritone ukulele", 20),
        ("guitar", 25.5),
        ("guitar drop D", 25.5),
        ("guitar DADGAD", 25.5),
        ("guitar open G", 25.5),
        ("tenor guitar", 23),
        ("mandolin", 13.875),
        ("five-string banjo", 26.25),
    ],
)
def test_scales_are_published_sizes(name: str, inches: float) -> None:
    found = Instrument.named(name)
    assert found.scale_mm == pytest.approx(inches * 25.4, abs=0.06)
    assert found.frets >= 12


def test_a_users_own_file_is_read(tmp_path: Path) -> None:
    found = read_instruments(written(tmp_path, GOOD))
    assert list(found) == ["quay lute", "lute"]
    assert found["lute"].midi == (50, 57, 62)


def test_capo_and_hand_are_settings_of_the_file(tmp_path: Path) -> None:
    text = GOOD.replace("frets = 12", "frets = 12\ncapo = 2\nleft_handed = true")
    found = read_instruments(written(tmp_path, text))["lute"]
    assert (found.capo, found.left_handed, found.frets) == (2, True, 10)
    assert found.midi == (52, 59, 64)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("format = 1", "format = 2", "the format is 2"),
        ("format = 1", "", "the format is None"),
        ("scale_mm = 500", "", "scale_mm is None"),
        ("frets = 12", 'frets = "many"', "frets is 'many'"),
        ("frets = 12", "frets = 12\ncolour = 3", "unknown key 'colour'"),
        ("frets = 12", "frets = 12\nsource = 3", "source is 3"),
        ("frets = 12", "frets = 12\ncapo = true", "capo is True"),
        ("frets = 12", "frets = 12\ncapo = 12", "a capo at fret 12 leaves no frets"),
        ("frets = 12", 'frets = 12\nleft_handed = "yes"', "left_handed is 'yes'"),
        ("D3 A3 D4", "D3@12 A3 D4", "starts at fret 12"),
        ("D3 A3 D4", "D3E3 A3 D4", "D3 cannot be doubled by E3"),
        ("D3 A3 D4", "D3 A3 D", "'D' has no octave"),
        ("frets = 12", "frets = 99", "99 frets"),
        ("[[instrument]]", "[[instrument", "not TOML"),
        ('"guitar"', '"harp"', "family 'harp'"),
        ('also = ["lute"]', 'also = "lute"', "also is 'lute'"),
        ("[[instrument]]", "[instrument]", "not a list of tables"),
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
    with pytest.raises(HarmonyError, match="not a text file"):
        read_instruments(path)
    with pytest.raises(HarmonyError, match="missing file .*gone.toml"):
        read_instruments(tmp_path / "gone.toml")


@pytest.mark.parametrize(
    ("midi", "name"),
    [
        ((67, 60, 64, 69), "ukulele"),
        ((65, 58, 62, 67), "ukulele"),
        ((50, 55, 59, 64), "baritone ukulele"),
        ((55, 62, 69, 76), "mandolin"),
        ((48, 55, 62, 69), "tenor guitar"),
        ((36, 45, 50, 55, 59, 64), "guitar drop D"),
        ((40, 45, 50, 55, 59, 64), "guitar"),
        ((35, 40, 45, 50, 55, 59, 64), "guitar drop D"),
        ((67, 48, 55, 59, 62), "five-string banjo"),
    ],
)
def test_the_nearest_instrument_is_strung_most_alike(midi: tuple[int, ...], name: str) -> None:
    assert nearest_neck(midi).name == name
