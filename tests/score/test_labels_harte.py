"""Chord labels against the publication's table and mir_eval, both ways."""

from __future__ import annotations

import pytest
from hypothesis import given
from strategies import NAMES, chords
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.score.labels import LATER, SHORTHANDS, read_harte, write_harte
from harmonykit.theory.chord import QUALITIES, Chord
from harmonykit.theory.note import Note

TABLE = rows("harte_shorthands")


def mir_eval_reads(label: str) -> tuple[int, set[int], int]:
    """Return root, semitones above it with the bass, and bass, as mir_eval reads a label."""
    from mir_eval.chord import encode

    root, bitmap, bass = encode(label, reduce_extended_chords=True)
    return root, {n for n, on in enumerate(bitmap) if on}, bass


def test_the_shorthands_are_the_sixteen_published() -> None:
    assert list(SHORTHANDS) == [row["shorthand"] for row in TABLE]


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["shorthand"])
def test_a_shorthand_is_what_the_publication_says(row: dict[str, str]) -> None:
    chord = read_harte(f"C:{row['shorthand']}")
    assert chord is not None
    assert ",".join(degree.name for degree in chord.degrees) == row["degrees"]
    assert chord.semitones == numbers(row["pcs"])
    assert tuple(degree.semitones for degree in chord.degrees) == numbers(row["semitones"])
    assert write_harte(chord) == f"C:{row['shorthand']}"
    assert set(chord.semitones) == mir_eval_reads(f"C:{row['shorthand']}")[1]


@pytest.mark.parametrize("row", rows("chord_symbols"), ids=lambda row: row["symbol"])
def test_the_labels_of_typed_symbols(row: dict[str, str]) -> None:
    # chord_symbols.tsv, column harte: the same chord as the symbol means.
    chord = read_harte(row["harte"])
    if row["harte"] == "N":
        assert chord is None
        return
    assert chord is not None
    assert (chord.root.name, chord.bass.name) == (row["root"], row["bass"])
    assert chord.semitones == numbers(row["semitones"])


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.suffix or "major")
def test_mir_eval_reads_what_is_written(quality) -> None:  # type: ignore[no-untyped-def]
    for root in NAMES:
        for bass in (None, NAMES[(root.fifths * 3) % 35]):
            chord = Chord.build(root, quality.degrees, bass)
            pc, semitones, low = mir_eval_reads(write_harte(chord))
            assert pc == root.pitch_class
            assert low == (chord.bass.pitch_class - root.pitch_class) % 12
            assert semitones == {*chord.semitones, low}


@given(chords)
def test_what_is_written_reads_back(chord: Chord) -> None:
    label = write_harte(chord)
    assert read_harte(label) == chord
    assert label.partition(":")[2].partition("(")[0].partition("/")[0] not in LATER


def test_silence() -> None:
    assert read_harte("N") is None
    assert write_harte(None) == "N"


@pytest.mark.parametrize(
    ("label", "semitones", "bass"),
    [
        ("C", (0, 4, 7), "C"),  # without a shorthand: the major triad
        ("C/3", (0, 4, 7), "E"),
        ("C:/3", None, ""),
        ("C:(3,5)", (0, 4, 7), "C"),  # the root is understood
        ("C:maj(10,12)", (0, 4, 7), "C"),
        ("Cbb:min", (0, 3, 7), "Cbb"),
        ("C:maj/b7", (0, 4, 7), "Bb"),
    ],
)
def test_other_labels(label: str, semitones: tuple[int, ...] | None, bass: str) -> None:
    if semitones is None:
        with pytest.raises(HarmonyError, match="is not a chord label"):
            read_harte(label)
        return
    chord = read_harte(label)
    assert chord is not None
    assert (chord.semitones, chord.bass) == (semitones, Note.parse(bass))


@pytest.mark.parametrize(
    ("label", "column", "rule"),
    [
        ("", 1, "a root, then as needed a colon"),
        ("H:maj", 1, "a root, then as needed a colon"),
        ("C:", 2, "follow the colon"),
        ("C:mojo", 3, "shorthands are maj min"),
        ("C:7(b9", 1, "a root, then as needed a colon"),
        ("C:7(b9,q)", 8, "a degree is"),
        ("C:7(*9)", 5, "no 9 to leave out"),
        ("C:7/E", 5, "a degree is"),
        ("C:7(14)", 5, "a degree is"),
    ],
)
def test_what_is_no_label_is_said(label: str, column: int, rule: str) -> None:
    with pytest.raises(HarmonyError, match=rule) as caught:
        read_harte(label)
    assert caught.value.place is not None
    assert caught.value.place.column == column
