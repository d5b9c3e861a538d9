"""Scales and modes, against music21's scales and Forte's names."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.modes import FAMILIES, SCALES, Scale, avoid_notes, scales_holding
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet

OF_MUSIC21 = {
    "major": "MajorScale", "natural minor": "MinorScale", "dorian": "DorianScale",
    "phrygian": "PhrygianScale", "lydian": "LydianScale", "mixolydian": "MixolydianScale",
    "locrian": "LocrianScale", "harmonic minor": "HarmonicMinorScale",
    "melodic minor": "MelodicMinorScale",
}  # fmt: skip


@pytest.mark.parametrize(("name", "theirs"), OF_MUSIC21.items())
def test_the_notes_are_those_of_music21(name: str, theirs: str) -> None:
    import music21.scale

    for tonic in ("C", "D", "Eb", "F#", "Ab", "B"):
        scale = getattr(music21.scale, theirs)(tonic.replace("b", "-"))
        low, high = f"{tonic.replace('b', '-')}4", f"{tonic.replace('b', '-')}5"
        pitches = scale.getPitches(low, high, direction=music21.scale.Direction.ASCENDING)[:7]
        assert [n.name for n in Scale(tonic, name).notes] == [
            pitch.name.replace("-", "b") for pitch in pitches
        ]


@pytest.mark.parametrize(
    ("name", "pattern", "forte"),
    [
        # Patterns: Wikipedia, "List of musical scales and modes" and Wikipedia, "Bebop scale".
        # Names: Forte 1973.
        ("major", "2212221", "7-35"),
        ("melodic minor", "2122221", "7-34"),
        ("harmonic minor", "2122131", "7-32A"),
        ("harmonic major", "2212131", "7-32B"),
        ("lydian dominant", "2221212", "7-34"),
        ("altered", "1212222", "7-34"),
        ("locrian natural two", "2121222", "7-34"),
        ("phrygian dominant", "1312122", "7-32A"),
        ("whole tone", "222222", "6-35"),
        ("octatonic whole-half", "21212121", "8-28"),
        ("octatonic half-whole", "12121212", "8-28"),
        ("augmented", "313131", "6-20"),
        ("bebop dominant", "22122111", "8-23"),
        ("bebop major", "22121121", "8-26"),
        ("bebop dorian", "21112212", "8-23"),
        ("bebop melodic minor", "21221121", "8-27A"),
        ("bebop harmonic minor", "21221211", "8-26"),
        ("major pentatonic", "22323", "5-35"),
        ("minor pentatonic", "32232", "5-35"),
    ],
)
def test_published_patterns(name: str, pattern: str, forte: str) -> None:
    scale = Scale("C", name)
    assert "".join(map(str, scale.pattern)) == pattern
    assert scale.pcs.tn_name == forte


def test_the_octatonic_of_the_table() -> None:
    (row,) = (r for r in rows("eightnote_named") if r["name"] == "octatonic whole-half")
    scale = Scale("C", "octatonic whole-half")
    assert tuple(scale.pcs) == numbers(row["pcs"])
    assert list(scale.pattern) == [int(step) for step in row["step_pattern"].split("-")]
    assert len({Scale(Note.from_midi(n).at(None), scale.name).pcs for n in range(12)}) == 3


def test_the_bebop_major_is_the_major_sixth_diminished() -> None:
    # "Major scale with a chromatic passing tone between the 6th and the 5th"; bebop dominant is
    # none of them: it holds no diminished seventh.
    rows_by_name = {row["name"]: numbers(row["pcs"]) for row in rows("eightnote_named")}
    assert tuple(Scale("C", "bebop major").pcs) == rows_by_name["major-sixth-diminished"]
    assert tuple(Scale("C", "bebop melodic minor").pcs) == rows_by_name["minor-sixth-diminished"]
    dominant = Scale("C", "bebop dominant").pcs
    assert not any(Chord.of(root, "dim7").pcs <= dominant for root in ("C", "C#", "D"))


def test_modes_keep_the_notes() -> None:
    found = Scale("C", "major").modes
    assert [str(mode) for mode in found] == [
        "C major", "D dorian", "E phrygian", "F lydian", "G mixolydian", "A natural minor",
        "B locrian",
    ]  # fmt: skip
    for name in SCALES:
        scale = Scale("Eb", name)
        assert scale in scale.modes
        assert all(mode.pcs == scale.pcs for mode in scale.modes)


def test_other_names_are_read() -> None:
    assert Scale("A", "minor") == Scale("A", "aeolian") == Scale("A", "natural minor")
    assert Scale("C", "ionian") == Scale("C", "major")
    with pytest.raises(HarmonyError, match="'loud' is not a known scale"):
        Scale("C", "loud")


class TestHolding:
    """A scale is listed when, and only when, it holds every note."""

    @given(st.sets(st.integers(0, 11), max_size=6))
    def test_what_is_listed_holds_and_what_holds_is_listed(self, pcs: set[int]) -> None:
        wanted = PcSet.of(*pcs)
        found = scales_holding(wanted)
        assert all(wanted <= scale.pcs for scale in found)
        holding = {
            (name, Scale(Note.from_midi(n).at(None), name).pcs)
            for name in FAMILIES
            for n in range(12)
            if set(pcs) <= set(Scale(Note.from_midi(n).at(None), name).pcs)
        }
        assert {(scale.name, scale.pcs) for scale in found} == holding
        assert len(found) == len(holding)

    def test_a_dominant_seventh(self) -> None:
        # Common practice: G7 stands in C major, C minor harmonic and melodic, D melodic minor (its
        # lydian dominant) and two octatonic scales at most; as 0 4 7 10 in one octatonic.
        found = [str(scale) for scale in scales_holding(Chord.parse("G7"), ["major"])]
        assert found == ["C major"]
        minor = scales_holding([7, 11, 2, 5], ["melodic minor", "harmonic minor"])
        assert [str(s) for s in minor] == ["C melodic minor", "D melodic minor", "C harmonic minor"]
        octatonic = scales_holding(Chord.parse("G7"), ["octatonic whole-half"])
        assert len(octatonic) == 1

    def test_families_leave_modes_out(self) -> None:
        assert "dorian" not in FAMILIES
        assert set(FAMILIES) <= set(SCALES)
        dorian = scales_holding(Chord.parse("Dm7").pcs, ["dorian"])
        assert [scale.tonic.name for scale in dorian] == ["C", "D", "G"]


@pytest.mark.parametrize("row", rows("avoid"), ids=lambda row: row["mode_chord"])
def test_avoid_notes(row: dict[str, str]) -> None:
    # Wikipedia, "Avoid note"; the semitone rule finds all but dorian's B.
    symbol, mode = row["mode_chord"].split()
    chord = Chord.parse(symbol)
    scale = Scale(chord.root, mode)
    assert tuple(scale.pcs) == numbers(row["scale"])
    found = {note.name for note in avoid_notes(scale, chord)}
    wanted = row["scale_notes_a_semitone_above_a_chord_tone"]
    assert found == (set() if wanted == "-" else set(wanted.split()))
    rest = {note.name for note in scale.notes if note.pitch_class not in chord.pcs} - found
    assert rest == set(row["remaining_tensions"].split())
