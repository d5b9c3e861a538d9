"""From notes to names: nothing is hidden, the plainest comes first."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import NAMES
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import QUALITIES, Chord
from harmonykit.theory.degree import Degree
from harmonykit.theory.key import Key
from harmonykit.theory.naming import exact_names, in_thirds, name_chords
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet


def said(notes: str, bass: str | None = None) -> list[str]:
    """Return the names of some notes, the plainest first."""
    given = [Note.parse(note) for note in notes.split()]
    return [str(name) for name in name_chords(given, None if bass is None else Note.parse(bass))]


@pytest.mark.parametrize(
    ("notes", "bass", "first"),
    [
        # C E G A is both C6 and Am7/C; general libraries give Am7/C alone.
        ("C E G A", "C", ["C6", "Am7/C"]),
        ("C E G A", "A", ["Am7", "C6/A"]),
        ("C Eb G A", "C", ["Cm6", "Am7♭5/C"]),
        ("A C D# F#", "A", ["A°7", "C°7/A", "D♯°7/A", "F♯°7/A"]),
        ("G B D F", "B", ["G7/B"]),
        ("C E G", "D", ["C/D", "Cadd9/D"]),
        ("F Bb D G", "C", ["C9sus4", "B♭6/9/C", "Gm7/C"]),
        ("C E Bb", None, ["C7 without 5"]),
        ("C E G# B", None, ["Cmaj7♯5"]),
        ("C G", "C", ["C5"]),
    ],
)
def test_the_plainest_names(notes: str, bass: str | None, first: list[str]) -> None:
    assert said(notes, bass)[: len(first)] == first


def test_synonyms_are_both_named() -> None:
    # synonyms.tsv: arithmetic and common practice, in all keys.
    for row in rows("synonyms"):
        if row["pcs_equal"] == "1":
            one, other = Chord.parse(row["a"]), Chord.parse(row["b"])
            found = {(n.chord.root.pitch_class, n.chord.quality) for n in name_chords(one.pcs)}
            assert (one.root.pitch_class, one.quality) in found
            assert (other.root.pitch_class, other.quality) in found


def test_a_diminished_seventh_has_its_four_rootless_dominants() -> None:
    # dim7_parents.tsv: B dim7 is Db7b9, E7b9, G7b9 or Bb7b9 without its root.
    found = name_chords(Chord.parse("Bdim7").pcs)
    rootless = {n.symbol for n in found if n.chord.quality == "7b9"}
    assert rootless == {"Db7b9", "E7b9", "G7b9", "Bb7b9"}
    assert all(str(n.missing[0]) == "1" for n in found if n.chord.quality == "7b9")


def test_a_rootless_ninth() -> None:
    # Common practice: 2-2-1-2 sounds A D F B, which is G9 without its root, Dm6 and Bm7b5.
    names = said("A D F B")
    assert {"G9 without 1", "Dm6", "Bm7♭5"} <= set(names)
    assert names.index("Dm6") < names.index("G9 without 1")


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.suffix or "major")
@pytest.mark.parametrize("step", [6, pytest.param(3, marks=pytest.mark.long)])
def test_every_chord_is_among_the_names_of_its_notes(quality, step) -> None:  # type: ignore[no-untyped-def]
    for root in NAMES[::step]:
        for bass in (None, *NAMES[:: 2 * step]):
            chord = Chord.build(root, quality.degrees, bass or root)
            found = name_chords(chord.tones, chord.bass)
            assert chord in [name.chord for name in found if name.complete]


class TestAnySet:
    """Each note of any set is the root of one reading at least; ranks rise; names sound the set."""

    sets = st.sets(st.integers(0, 11), min_size=1)

    @given(sets)
    def test_each_note_is_a_root(self, pcs: set[int]) -> None:
        found = name_chords(PcSet.of(*pcs))
        whole = [n for n in found if all(d == Degree(5) for d in n.missing)]
        assert {n.chord.root.pitch_class for n in whole} >= pcs
        assert [n.rank for n in found] == sorted(n.rank for n in found)
        assert len({n.chord for n in found}) == len(found)

    @given(sets, st.none() | st.integers(0, 11))
    def test_what_is_named_sounds(self, pcs: set[int], bass: int | None) -> None:
        heard = PcSet.of(*pcs) if bass is None else PcSet.of(*pcs, bass)
        for name in name_chords(PcSet.of(*pcs), bass):
            lost = {(name.chord.root.pitch_class + d.semitones) % 12 for d in name.missing}
            sounding = (set(name.chord.pcs) - lost) | (set() if bass is None else {bass})
            assert sounding == set(heard)
            assert bass is None or name.chord.bass.pitch_class == bass

    @given(sets)
    def test_degrees_in_thirds_sound_the_set(self, pcs: set[int]) -> None:
        above = PcSet.of(0, *pcs)
        assert {d.pitch_class for d in in_thirds(above)} == set(above)


def test_notes_lend_their_names() -> None:
    assert said("D# F# A C")[:4] == ["C°7", "D♯°7", "F♯°7", "A°7"]
    flat = [Note.parse(n) for n in "Gb Bb Db".split()]
    assert name_chords(flat)[0].symbol == "Gb"
    assert name_chords(PcSet.of(6, 10, 1))[0].symbol == "F#"
    assert name_chords([66, 70, 73], key=Key.parse("Db"))[0].symbol == "Gb"


def test_pitches_count_by_pitch_class() -> None:
    assert name_chords([60, 64, 67, 72, 76])[0].symbol == "C"


def test_no_notes_have_no_name() -> None:
    assert name_chords([]) == ()


@pytest.mark.parametrize(
    ("notes", "bass", "first"),
    [
        ([1, 4, 7, 9], 1, "A7/C♯"),
        ([1, 4, 9], 1, "A/C♯"),
        ([3, 6, 9, 11], 3, "B7/D♯"),
        ([1, 6, 9], 1, "F♯m/C♯"),
        ([1, 4, 7, 11], 1, "C♯m7♭5"),
        ([8, 11, 4], 8, "E/G♯"),
        ([8, 11, 3], 8, "G♯m"),
        ([8, 0, 3], 8, "A♭"),
        ([3, 8, 0], 3, "A♭/E♭"),
        ([1, 4, 7, 10], 1, "C♯°7"),
    ],
)
def test_a_bass_without_a_name_is_spelled_by_the_chord(
    notes: list[int], bass: int, first: str
) -> None:
    # Common practice, no source.
    assert str(name_chords(notes, bass)[0]) == first


@pytest.mark.parametrize("suffix", ["", "m", "7", "m7b5", "dim7"])
def test_a_bass_bears_the_name_of_the_tone(suffix: str) -> None:
    """For all roots: a bass among the tones is named as the tone, with one accidental at most."""
    for root in range(12):
        notes = list(Chord.of("C", suffix).pcs.transpose(root))
        for bass in notes:
            for name in name_chords(notes, bass):
                found = {n.pitch_class: n for n in name.chord.tones}.get(bass)
                low = name.chord.bass
                assert low.pitch_class == bass and abs(low.accidental) < 2
                assert found is None or low == found or abs(found.accidental) > 1


@pytest.mark.parametrize(
    ("notes", "column"), [("C E H", 5), ("C, E, Q", 7), ("[C Eq G]", 5), ("C E G#%", 7)]
)
def test_an_error_says_which_note(notes: str, column: int) -> None:
    for read in (name_chords, exact_names):
        with pytest.raises(HarmonyError) as caught:
            read(notes)
        assert caught.value.place is not None
        assert caught.value.place.column == column
