"""Tunes in files: which reader, whole or not at all."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.score import files
from harmonykit.score.files import read_tune, write_tune
from harmonykit.score.typed import take_in_file
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune

TEXT = """format = 1
title = "Trial"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| C6 |"
"""


def test_a_tune_that_is_written_reads_back(tmp_path):
    tune = Tune.parse(TEXT)
    write_tune(tune, tmp_path / "out.toml")
    assert read_tune(tmp_path / "out.toml") == tune
    assert read_tune(str(tmp_path / "out.toml")) == tune
    assert [path.name for path in tmp_path.iterdir()] == ["out.toml"]


def test_a_failed_write_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "out.toml"
    path.write_text("old", encoding="utf-8")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("harmonykit.files.file.os.replace", full)
    with pytest.raises(TuneError, match="the disk is full"):
        write_tune(Tune.parse(TEXT), path)
    assert [(p.name, p.read_text(encoding="utf-8")) for p in tmp_path.iterdir()] == [
        ("out.toml", "old")
    ]


@pytest.mark.parametrize("name", ["out.pdf", "out.abc", "out"])
def test_other_suffixes_are_not_written(tmp_path, name):
    with pytest.raises(TuneError, match=r"written as \.toml"):
        write_tune(Tune.parse(TEXT), tmp_path / name)


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(TuneError, match="cannot be written"):
        write_tune(Tune.parse(TEXT), tmp_path / "no" / "out.toml")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("missing.toml", "missing file"),
        ("tune.pdf", "not a tune file"),
        ("tune", "not a tune file"),
    ],
)
def test_what_cannot_be_read_is_said(tmp_path, name, message):
    with pytest.raises(TuneError, match=message):
        read_tune(tmp_path / name)


def test_a_folder_is_no_file(tmp_path):
    (tmp_path / "x.toml").mkdir()
    with pytest.raises(TuneError, match="cannot be read"):
        read_tune(tmp_path / "x.toml")


def test_a_file_that_is_too_large_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "x.toml"
    path.write_text(TEXT, encoding="utf-8")
    monkeypatch.setattr(files, "MOST_BYTES", 20)
    with pytest.raises(TuneError, match="too large"):
        read_tune(path)


def test_bytes_that_are_no_utf_8_have_a_line_and_a_column(tmp_path):
    path = tmp_path / "x.toml"
    path.write_bytes(TEXT.replace("Trial", "Tr\u00efal").encode("latin-1"))
    with pytest.raises(TuneError, match="not UTF-8") as caught:
        read_tune(path)
    assert (caught.value.place.line, caught.value.place.column) == (2, 12)


def test_a_text_form_holds_one_tune(tmp_path):
    path = tmp_path / "x.toml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(TuneError, match="holds one tune"):
        read_tune(path, number=2)


PLAIN = "| C6 | F6 |"
SONG = """format = 1
title = "Sluice Song"
key = "C"
meter = "4/4"
composer = "Nell Harrow"
[[sections]]
name = "A"
changes = "|: C (Am) | F :|"
[[sections]]
name = "B"
changes = "| G | C |"
"""


@pytest.mark.parametrize(
    ("text", "midi", "score"),
    [
        # A MIDI file holds notes in time: neither names nor signs (RP-001).
        (PLAIN, {"chords are written"}, set()),
        (
            SONG,
            {"chords are written", "repeats, endings", "names of sections", "alternate chords",
             "composer, rights"},
            set(),
        ),
        (
            SONG.replace("[[sections]]", 'form = ["B", "A"]\n[[sections]]', 1),
            {"chords are written", "repeats, endings", "the order of sections",
             "names of sections", "alternate chords", "composer, rights"},
            {"the order of sections"},
        ),
    ],
)  # fmt: skip
def test_what_a_file_does_not_keep_is_told(text: str, midi: set[str], score: set[str]) -> None:
    tune = Tune.parse(text)
    assert files.losses(tune, "x.toml") == ()
    for name, wanted in (
        ("x.mid", midi),
        ("x.MIDI", midi),
        ("x.xml", score),
        ("x.musicxml", score),
    ):
        found = files.losses(tune, name)
        assert len(found) == len(wanted), name
        assert all(any(said.startswith(start) for said in found) for start in wanted)
    with pytest.raises(TuneError, match="cannot be written"):
        files.losses(tune, "x.abc")


@pytest.mark.parametrize("field", ["composer", "rights", "notes"])
def test_each_word_about_a_tune_is_lost_in_midi(field: str) -> None:
    tune = replace(Tune.parse(PLAIN), **{field: "something"})
    assert any("composer, rights and notes" in said for said in files.losses(tune, "x.mid"))
    assert files.losses(tune, "x.xml") == ()


def test_each_sign_of_a_repeat_alone_is_told() -> None:
    base = Tune.parse(PLAIN)
    (section,) = base.sections
    for change in ({"closes": 2}, {"opens": True}, {"signs": ("D.C.",)}):
        bars = (section.bars[0], replace(section.bars[1], **change))
        tune = replace(base, sections=(replace(section, bars=bars),))
        assert any(said.startswith("repeats") for said in files.losses(tune, "x.mid")), change
    held = (replace(section.bars[0], fermatas=(Fraction(0),)), section.bars[1])
    tune = replace(base, sections=(replace(section, bars=held),))
    assert files.losses(tune, "x.mid")[1:] == ("fermatas are left out",)


def test_files_are_told_by_their_suffix_in_any_case(tmp_path) -> None:
    tune = Tune.parse(PLAIN)
    for name, start in (("a.XML", b"<?xml"), ("b.MID", b"MThd"), ("c.TOML", b"format")):
        write_tune(tune, tmp_path / name)
        assert (tmp_path / name).read_bytes().lstrip().startswith(start) or start in (
            tmp_path / name
        ).read_bytes()
    assert files.tune_from("x.txt", b"| C6 | F6 |").bars == tune.bars
    with pytest.raises(TuneError, match="not number 2"):
        files.tune_from("x.lab", b"0 2 C:maj", 2)
    with pytest.raises(HarmonyError, match="a tune"):
        write_tune("| C |", tmp_path / "d.toml")


def test_chords_alone_are_a_tune_and_one_word_is_its_name() -> None:
    from harmonykit.score.files import as_tune

    assert [str(c.chord) for c in as_tune("Am D7").changes] == ["Am", "D7"]
    assert as_tune("heron_landing").title == "Heron Landing"
    with pytest.raises(HarmonyError):
        as_tune("Am")
    with pytest.raises(HarmonyError):
        as_tune("Am nonsense")
    with pytest.raises(HarmonyError, match="a tune, its name"):
        as_tune(3)


@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_typed_text_is_read_in_the_code_of_its_program(tmp_path, code):
    path = tmp_path / "song.txt"
    path.write_bytes("Café - in G - 3/4\r\n\r\nG | D7 | C | G\r\n".encode(code))
    for tune in (read_tune(path), take_in_file(path).tune):
        assert (tune.title, str(tune.key), tune.meter) == ("Café", "G major", (3, 4))


@pytest.mark.parametrize("start", [b"PK\x03\x04\xec", b"\x89PNG\r\n", b"%PDF-1.7 \xe2", b"a\0\xff"])
@pytest.mark.parametrize("name", ["song.txt", "song.toml", "song.docx"])
def test_what_is_no_text_is_told_from_text_in_another_code(tmp_path, start, name):
    path = tmp_path / name
    path.write_bytes(start + b" G D7 C G")
    with pytest.raises(TuneError, match=f"{name} is not a text file") as caught:
        take_in_file(path)
    assert "paste them into a file that ends in .txt" in str(caught.value)
