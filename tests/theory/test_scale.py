"""The sixth-diminished scales, against tables computed by exhaustion elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import names
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.scale import KINDS, SixthDiminished, scales_for
from harmonykit.theory.sets.pcset import PcSet

KIND_OF_ROW = {
    "major-sixth-diminished": "major",
    "minor-sixth-diminished": "minor",
    "dominant-seventh-diminished": "dominant",
    "dominant-seventh-flat-five-diminished": "dominant flat five",
}
NAMED = [row for row in rows("eightnote_named") if row["name"] in KIND_OF_ROW]
kinds = st.sampled_from(sorted(KINDS))


@pytest.mark.parametrize("row", NAMED, ids=lambda row: row["name"])
class TestNamed:
    """``eightnote_named.tsv``: computed by exhaustion; Forte numbers after Forte 1973."""

    def test_notes(self, row: dict[str, str]) -> None:
        scale = SixthDiminished("C", KIND_OF_ROW[row["name"]])
        assert tuple(scale.pcs) == numbers(row["pcs"])
        assert tuple(note.pitch_class for note in scale.notes) == numbers(row["pcs"])
        steps = [int(step) for step in row["step_pattern"].split("-")]
        ladder = [60]
        for _ in range(8):
            ladder.append(scale.step(ladder[-1]))
        assert [high - low for low, high in zip(ladder, ladder[1:], strict=False)] == steps

    def test_chord_and_diminished_by_turns(self, row: dict[str, str]) -> None:
        scale = SixthDiminished("C", KIND_OF_ROW[row["name"]])
        assert tuple(scale.chord.pcs) == numbers(row["chord"])
        assert tuple(scale.diminished.pcs) == numbers(row["dim7"])
        assert scale.chord.pcs.tn_name == row["chord_forte"]
        assert scale.pcs.tn_name == row["forte"]
        assert scale.pcs.interval_vector == numbers(row["icv"])

    def test_transpositions(self, row: dict[str, str]) -> None:
        kind = KIND_OF_ROW[row["name"]]
        tonics = [Note.from_midi(60 + n).at(None) for n in range(12)]
        distinct = {SixthDiminished(tonic, kind).pcs for tonic in tonics}
        assert len(distinct) == int(row["transpositions"])


def test_the_major_scale_harmonised() -> None:
    # Web, "Harmonizing the bebop major scale": C6, D dim7, C6 inverted, D dim7 ...
    scale = SixthDiminished("C", "major")
    chord, found = (60, 64, 67, 69), []
    for n in range(8):
        found.append(PcSet.of(*scale.climb(chord, n)))
    sixth, diminished = Chord.parse("C6").pcs, Chord.parse("Ddim7").pcs
    assert found == [sixth, diminished] * 4
    assert scale.climb(chord, 8) == (72, 76, 79, 81)


class TestChordScale:
    """Every voice one step up: chord and diminished seventh by turns, down again to the start."""

    @given(names, kinds, st.integers(-20, 20), st.integers(-20, 20))
    def test_steps_add_up(self, tonic: Note, kind: str, first: int, second: int) -> None:
        scale = SixthDiminished(tonic, kind)
        pitch = 60 + tonic.pitch_class
        assert scale.step(scale.step(pitch, first), second) == scale.step(pitch, first + second)
        assert scale.step(pitch, 8) == pitch + 12

    @given(names, kinds, st.integers(-16, 16))
    def test_it_alternates(self, tonic: Note, kind: str, steps: int) -> None:
        scale = SixthDiminished(tonic, kind)
        chord = tuple(60 + pc for pc in scale.chord.pcs)
        wanted = scale.diminished if steps % 2 else scale.chord
        assert PcSet.of(*scale.climb(chord, steps)) == wanted.pcs

    @given(names, kinds)
    def test_the_spelling(self, tonic: Note, kind: str) -> None:
        scale = SixthDiminished(tonic, kind)
        assert scale.notes[0] == tonic.at(None)
        assert PcSet.of(*(note.pitch_class for note in scale.notes)) == scale.pcs
        assert all(scale.spell(note.pitch_class) == note for note in scale.notes)

    def test_a_foreign_pitch_is_refused(self) -> None:
        with pytest.raises(HarmonyError, match="Db4 is not a note of the C major sixth-diminished"):
            SixthDiminished("C", "major").step(61)
        with pytest.raises(HarmonyError, match="pitch class 1 is not a note"):
            SixthDiminished("C", "major").spell(1)

    def test_an_unknown_kind_is_refused(self) -> None:
        with pytest.raises(HarmonyError, match="'lydian' is not a known kind"):
            SixthDiminished("C", "lydian")


class TestScalesFor:
    """Which scale goes with a chord: common practice, with the pitch classes checked."""

    @pytest.mark.parametrize(
        ("symbol", "scales"),
        [
            ("C", "C major"),
            ("C6", "C major"),
            ("C6/9", "C major"),
            ("Cmaj7", "C major, G major"),
            ("Dm7", "F major"),
            ("Dm9", "F major"),
            ("Am", "A minor"),
            ("Am6", "A minor"),
            ("Bm7b5", "D minor"),
            ("G7", "G dominant, D minor, Ab minor"),
            ("G7b9", "G dominant, D minor, Ab minor"),
            ("G7b5", "G dominant flat five"),
            ("G7sus4", ""),
            ("Bdim7", ""),
        ],
    )
    def test_the_table(self, symbol: str, scales: str) -> None:
        found = [f"{s.tonic.name} {s.kind}" for s in scales_for(Chord.parse(symbol))]
        assert ", ".join(found) == scales

    @given(names)
    def test_the_first_scale_holds_the_chord(self, root: Note) -> None:
        for suffix in ("", "6", "m7", "m", "m6", "m7b5", "7", "7b5"):
            chord = Chord.of(root, suffix)
            assert chord.pcs <= scales_for(chord)[0].pcs

    def test_a_major_seventh_on_its_fifth(self) -> None:
        # G6 over C gives fifth, seventh, ninth and third of Cmaj9.
        sixth = scales_for(Chord.parse("Cmaj7"))[1].chord
        degrees = {Chord.parse("Cmaj9").degree_of(pc) for pc in sixth.pcs}
        assert {str(degree) for degree in degrees} == {"5", "7", "9", "3"}

    def test_a_dominant_altered(self) -> None:
        # A flat minor six over G7: b9, 3 (as b11), b13, b7: the altered sound.
        altered = scales_for(Chord.parse("G7"))[2].chord
        assert set(altered.pcs) <= set(Chord.parse("G7alt").pcs) | {11}
