"""What a survey's tasks are, and that a task's name tells all that goes into it."""

from __future__ import annotations

import os
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from made_tunes import made_tune
from music21 import converter, harmony, interval, key, pitch

from harmonykit.arrange.survey import plan as module
from harmonykit.arrange.survey.plan import (
    ALL,
    Asked,
    Plan,
    Source,
    all_levels,
    code_mark,
    find_sources,
    one_line,
    read_tonics,
)
from harmonykit.errors import HarmonyError, Place
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.abc_lines import split_tunes
from harmonykit.score.files import tune_from
from harmonykit.score.lead import lead_score
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.theory.key import MODES, TONICS, Key, key_on, shift

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
SOURCE = Source(Path("a.toml"), 0, "digest")


def names(asked: Asked, source: Source = SOURCE) -> list[str]:
    return [task.name for task in Plan((source,), asked).tasks(source)]


def test_a_task_for_each_instrument_and_level() -> None:
    tasks = Plan((SOURCE,), Asked((UKULELE, GUITAR), (1, 3))).tasks(SOURCE)
    assert [(task.instrument.name, task.level) for task in tasks] == [
        ("ukulele", 1), ("ukulele", 3), ("guitar", 1), ("guitar", 3),
    ]  # fmt: skip
    assert len({task.name for task in tasks}) == 4


def test_the_same_work_has_the_same_name_wherever_its_file_is() -> None:
    asked = Asked((UKULELE,))
    assert names(asked) == names(asked, replace(SOURCE, path=Path("b/a.toml"), place=3, number=4))
    assert names(Asked((GUITAR, UKULELE), (3, 2, 1)))[3:] == names(asked)[::-1]
    resourced = replace(UKULELE, source="elsewhere")
    assert names(Asked((resourced,))) == names(asked)


@pytest.mark.parametrize(
    "other",
    [
        {"instruments": (GUITAR,)},
        {"instruments": (replace(UKULELE, scale_mm=350.0),)},
        {"instruments": (UKULELE.with_capo(2),)},
        {"levels": (2,)},
        {"tonics": (0, 7)},
        {"tonics": ()},
        {"moves": ("ascending walk",)},
    ],
)
def test_whatever_goes_in_changes_the_name(other: dict[str, Any]) -> None:
    asked = Asked((UKULELE,), (1,))
    assert names(asked) != names(replace(asked, **other))


def test_bytes_code_and_format_change_the_name(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = Asked((UKULELE,), (1,))
    found = [names(asked), names(asked, replace(SOURCE, digest="other"))]
    monkeypatch.setattr(module, "code_mark", lambda: "later code")
    found.append(names(asked))
    monkeypatch.setattr(module, "FORMAT", 2)
    found.append(names(asked))
    assert len({tuple(each) for each in found}) == 4


def test_the_mark_of_the_code_is_of_what_the_numbers_depend_on(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    package = tmp_path / "harmonykit"
    for name in ("arrange/costs.py", "theory/chord.py", "draw/base/canvas.py"):
        (package / name).parent.mkdir(parents=True)
        (package / name).write_text("1")
    monkeypatch.setattr(module, "__file__", str(package / "arrange" / "survey" / "plan.py"))
    marks = []
    for name in ("arrange/costs.py", "theory/chord.py", "draw/base/canvas.py", "arrange/costs.py"):
        code_mark.cache_clear()
        marks.append(code_mark())
        (package / name).write_text("2" + name * len(marks))
    code_mark.cache_clear()
    assert len(set(marks)) == 3 and marks[2] == marks[3]
    assert code_mark() not in marks
    code_mark.cache_clear()


def test_all_levels_are_the_hands() -> None:
    assert all_levels() == (1, 2, 3)
    for level in all_levels():
        limits_at(level, UKULELE)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"instruments": ()}, "0 instruments"),
        ({"instruments": (UKULELE, UKULELE)}, "2 instruments"),
        ({"levels": (1, 1)}, "2 levels"),
        ({"levels": (4,)}, "unknown level 4"),
        ({"moves": ("aproach",)}, "unknown move 'aproach'"),
    ],
)
def test_what_cannot_be_asked(wrong: dict[str, Any], said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        Asked(**{"instruments": (UKULELE,), **wrong})


def theirs(name: str) -> str:
    """Return a note's name as music21 writes it."""
    return name.replace("b", "-")


@pytest.mark.parametrize("mode", MODES)
def test_each_tonic_has_the_name_with_the_fewest_accidentals(mode: str) -> None:
    """Of all names that music21 knows for a tonic none has a key with fewer sharps or flats."""
    for pitch_class, name in enumerate(TONICS[mode]):
        tonic = pitch.Pitch(theirs(name))
        assert tonic.pitchClass == pitch_class
        least = min(
            abs(key.Key(letter + sign, mode).sharps)
            for letter in "CDEFGAB"
            for sign in ("-", "", "#")
            if pitch.Pitch(letter + sign).pitchClass == pitch_class
        )
        assert abs(key.Key(theirs(name), mode).sharps) == least


def test_six_flats_rather_than_six_sharps() -> None:
    """Common practice, no source."""
    assert str(key_on(6, "major")) == "Gb major" and str(key_on(3, "minor")) == "Eb minor"


@pytest.mark.parametrize("mode", MODES)
def test_the_way_from_every_key_to_every_key_is_short_and_spelled(mode: str) -> None:
    for start in (
        Key.parse(f"{name} {mode}") for name in "C Db D D# Eb E F F# Gb G Ab A Bb B".split()
    ):
        for end in (key_on(tonic, mode) for tonic in ALL):
            way = shift(start, end)
            assert -5 <= way.semitones <= 6
            assert start.tonic.transpose(way).name == end.tonic.name


def easy(note: pitch.Pitch) -> str:
    """Return a note's name; one with a double sign is called as music21 simplifies it."""
    doubled = len(note.name) > 2
    return str((note.simplifyEnharmonic() if doubled else note).name)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("tonic", [1, 6, 7, 10])
def test_a_tune_moves_as_music21_moves_its_score(seed: int, tonic: int) -> None:
    """Roots, basses, kinds and key signature of the same tune, carried by music21 as a score."""
    tune = replace(made_tune(seed), order=())
    end = key_on(tonic, tune.key.mode)
    moved = tune.transpose(shift(tune.key, end))
    start, goal = (pitch.Pitch(theirs(k.tonic.name) + "4") for k in (tune.key, end))
    score = converter.parse(write_musicxml(lead_score(tune)), format="musicxml", forceSource=True)
    score = score.transpose(interval.Interval(noteStart=start, noteEnd=goal))
    found = [chord for chord in score.recurse().getElementsByClass(harmony.ChordSymbol)]
    written = [change.chord for bar in moved.bars for change in bar.changes if change.chord]
    assert [(easy(c.root()), easy(c.bass())) for c in found] == [
        (theirs(chord.root.name), theirs(chord.bass.name)) for chord in written
    ]
    assert [sorted(c.pitchClasses) for c in found] == [sorted(chord.pcs) for chord in written]
    signature = next(iter(score.recurse().getElementsByClass(key.KeySignature)))
    assert signature.sharps == moved.key.signature == end.signature
    assert moved.key == end


def test_tonics_as_they_are_typed() -> None:
    assert read_tonics(" All ") == ALL and read_tonics("written") == ()
    assert read_tonics("c,F#, Gb,B♭") == (0, 6, 10)


@pytest.mark.parametrize("text", ["H", "C,,G", "", "C major", "all,C"])
def test_what_is_no_tonic(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not a tonic"):
        read_tonics(text)


def test_the_german_name_is_told_in_english() -> None:
    with pytest.raises(HarmonyError) as told:
        read_tonics("G,H")
    assert told.value.mend == "B"


BOOK = 'T:The Quay Book\n\nX:1\nT:Bollard\nK:C\n"C"C4|"G7"D4|\n\nX:9\nT:Ébb\nK:F\n"F"F4|\n'
WALTZ = find_data("tunes", "slack_water_waltz")


def test_files_folders_and_names_each_once(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    for name in ("z.toml", "b/a.toml", "a.TOML"):
        shutil.copy(WALTZ, tmp_path / name)
    for name in ("README.md", "b/notes.txt"):
        (tmp_path / name).write_text("no tune")
    found = find_sources([tmp_path / "z.toml", tmp_path, "heron_landing", WALTZ])
    names = [os.path.relpath(source.path, tmp_path) for source in found[:3]]
    assert names == ["z.toml", "a.TOML", os.path.join("b", "a.toml")]
    assert [source.path.name for source in found[3:]] == [
        "heron_landing.toml",
        "slack_water_waltz.toml",
    ]


def test_a_collection_is_its_tunes(tmp_path: Path) -> None:
    path = tmp_path / "book.abc"
    path.write_text(BOOK, encoding="utf-8")
    one, nine = find_sources([path])
    assert [(s.place, s.number, s.title) for s in (one, nine)] == [(0, 1, "Bollard"), (1, 9, "Ébb")]
    assert [s.data().decode() for s in (one, nine)] == [t.text for t in split_tunes(BOOK)]
    assert tune_from("book.abc", nine.data()).title == "Ébb"


def test_two_tunes_of_one_number_are_both_there(tmp_path: Path) -> None:
    path = tmp_path / "book.abc"
    path.write_text(BOOK.replace("X:9", "X:1"))
    assert [tune_from("book.abc", s.data()).title for s in find_sources([path])] == [
        "Bollard",
        "Ébb",
    ]


def test_the_digest_is_of_the_tunes_own_bytes_and_the_name(tmp_path: Path) -> None:
    path, other = tmp_path / "book.abc", tmp_path / "other.abc"
    path.write_text(BOOK, encoding="utf-8")
    before = find_sources([path])
    path.write_text(BOOK.replace("F4", "G4"), encoding="utf-8")
    find_sources([WALTZ])
    after = find_sources([path])
    assert before[0].digest == after[0].digest and before[1].digest != after[1].digest
    other.write_bytes(path.read_bytes())
    assert find_sources([other])[0].digest != after[0].digest


def test_a_file_that_changes_meanwhile_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "tune.toml"
    shutil.copy(WALTZ, path)
    (source,) = find_sources([path])
    path.write_text("other")
    find_sources([WALTZ])
    with pytest.raises(HarmonyError, match="changed while the survey ran"):
        source.data()


def test_what_cannot_be_opened_is_there_with_its_error(tmp_path: Path) -> None:
    (tmp_path / "huge.toml").write_bytes(b"#" * 4_000_001)
    (tmp_path / "gone.abc").symlink_to(tmp_path / "nothing")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.abc")
    found = {source.path.name: source.error for source in find_sources([tmp_path])}
    assert "is too large; 4,000,000 bytes at most" in found["huge.toml"]
    assert "missing file" in found["gone.abc"]
    assert "is not a file" in found.get("pipe.abc", "is not a file")


def test_a_path_that_is_not_there_is_told_at_once() -> None:
    with pytest.raises(HarmonyError, match="slack_water"):
        find_sources(["slack_water_walz"])


def test_an_error_on_one_line() -> None:
    error = HarmonyError("a\nb", place=Place("x.abc", 3, 1, "text"), rule="c", mend="d")
    assert one_line(error) == "a b (x.abc, line 3, column 1); c"
