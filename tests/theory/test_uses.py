"""What a diminished seventh does before a chord: published functions, and the notes that move."""

from __future__ import annotations

import pytest
from hypothesis import given
from strategies import names
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import diminished_sevenths, parents
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.theory.uses import Use, before_all, functions, use_before, uses

FUNCTIONS = rows("functions")
IN_C = {function.roman: function for function in functions(Key.parse("C"))}


@pytest.mark.parametrize("row", FUNCTIONS, ids=lambda row: row["roman_in_C"])
class TestFunctions:
    """``functions.tsv``: music21.roman, and Integrated Music Theory, "18b", for common tones."""

    def test_the_spelling(self, row: dict[str, str]) -> None:
        chord = IN_C[row["roman_in_C"]].use.chord
        assert [note.name for note in chord.tones] == row["spelling"].split()
        assert tuple(chord.pcs) == numbers(row["pcs"])

    def test_the_target(self, row: dict[str, str]) -> None:
        use = IN_C[row["roman_in_C"]].use
        assert [note.name for note in use.target.tones] == row["target_notes"].split()
        shared = set(use.chord.pcs) & set(use.target.pcs)
        assert len(shared) == int(row["common_tones_with_target_triad"])

    def test_the_role(self, row: dict[str, str]) -> None:
        function = IN_C[row["roman_in_C"]]
        word = row["role"].split()[0]
        assert function.role.startswith(word)
        assert function.use.is_dominant == (word == "leading-tone")

    def test_the_dominant_whose_third_is_its_root(self, row: dict[str, str]) -> None:
        use = IN_C[row["roman_in_C"]].use
        dominant = Chord.parse(row["parent_dominant_if_root_is_its_third"])
        assert set(dominant.pcs) - {dominant.root.pitch_class} == set(use.chord.pcs)
        third_of = [
            p.root.pitch_class
            for p in parents(use.chord)
            if (use.chord.root.pitch_class - p.root.pitch_class) % 12 == 4
        ]
        assert third_of == [dominant.root.pitch_class]
        if use.is_dominant:
            assert use.parent is not None
            assert use.parent.root == dominant.root


def test_every_row_is_a_function_and_every_function_a_row() -> None:
    assert set(IN_C) == {row["roman_in_C"] for row in FUNCTIONS}


def test_functions_move_with_their_key() -> None:
    for tonic in ("D", "Bb", "F#", "Eb"):
        moved = functions(Key.parse(tonic))
        interval = Key.parse("C").tonic
        by = [(f.roman, f.use.chord.root.name) for f in moved]
        assert len(by) == len(FUNCTIONS)
        for function in moved:
            home = IN_C[function.roman].use.chord.root
            step = Note.parse(tonic).fifths - interval.fifths
            assert function.use.chord.root.fifths == home.fifths + step


def test_a_minor_key() -> None:
    # Common practice: viio7 of each major or minor triad of the key.
    found = {f.roman: f.use.chord.symbol for f in functions(Key.parse("A minor"))}
    assert found == {
        "viio7": "G#dim7",
        "viio7/III": "Bdim7",
        "viio7/iv": "C#dim7",
        "viio7/V": "D#dim7",
        "viio7/VI": "Edim7",
        "viio7/VII": "F#dim7",
    }


class TestUses:
    """Each root, major or minor, is reached by all three diminished sevenths, each in its way."""

    @pytest.mark.parametrize("quality", ["", "m", "7", "m7", "maj7", "6", "m6", "m7b5"])
    def test_the_notes_arrive(self, quality: str) -> None:
        for root in range(12):
            target = Chord.of(Note.from_midi(60 + root).at(None), quality)
            for use in uses(target):
                starts = [move.start for move in use.moves]
                assert starts == list(use.chord.tones)
                assert all(move.end in target.tones for move in use.moves)
                assert all(abs(move.semitones) <= 2 for move in use.moves)

    @pytest.mark.parametrize("quality", ["", "m"])
    def test_they_cover_the_triad(self, quality: str) -> None:
        for use in uses(Chord.of("Eb", quality)):
            assert {move.end for move in use.moves} == set(use.target.tones)

    @given(names)
    def test_only_the_one_from_below_is_a_dominant(self, root: Note) -> None:
        below, above, same = uses(Chord.of(root))
        assert (below.is_dominant, above.is_dominant, same.is_dominant) == (True, False, False)
        assert above.parent is None and same.parent is None
        assert below.parent is not None
        assert (below.parent.root.pitch_class - root.pitch_class) % 12 == 7
        assert len({use.chord.pcs for use in (below, above, same)}) == 3
        assert "not a dominant" in above.reason and "not a dominant" in same.reason
        assert "not a dominant" not in below.reason

    def test_reasons(self) -> None:
        assert [use.reason for use in uses("C")] == [
            "B°7, a semitone below C, is G7♭9 without its root: "
            "B rises to C, D falls to C, F falls to E, A♭ falls to G.",
            "D♭°7 passes down to C by half steps, and is not a dominant: "
            "D♭ falls to C, F♭ stays as E, A𝄫 stays as G, C𝄫 rises to C.",
            "C°7 embellishes C and keeps its root, and is not a dominant: "
            "C stays, E♭ rises to E, G♭ rises to G, B𝄫 falls to G.",
        ]

    def test_easy_reading(self) -> None:
        assert uses("Ab")[1].say("easy") == (
            "A°7 passes down to A♭ by half steps, and is not a dominant: "
            "A falls to A♭, C stays, E♭ stays, G♭ rises to A♭."
        )
        assert uses("C#")[0].say("easy") == (
            "B♯°7, a semitone below C♯, is G♯7♭9 without its root: "
            "B♯ rises to C♯, D♯ falls to C♯, F♯ falls to E♯, A falls to G♯."
        )

    def test_the_raised_spelling_rises(self) -> None:
        # Integrated Music Theory, "18b": accidentals resolve; every note but one is a neighbour.
        moves = IN_C["#iio7"].use.moves
        assert [str(m) for m in moves] == [
            "D♯ rises to E",
            "F♯ rises to G",
            "A falls to G",
            "C stays",
        ]

    def test_before_a_slash_chord(self) -> None:
        use = use_before(Chord.parse("Adim7"), Chord.parse("C/E"))
        assert (use.chord.symbol, use.kind) == ("D#dim7", "leading-tone")
        assert str(use.moves[0]) == "D♯ rises to E"
        other = use_before(Chord.parse("Bdim7"), Chord.parse("G/B"))
        assert (other.chord.symbol, other.kind) == ("Abdim7", "falling")
        assert str(other.moves[0]) == "A♭ falls to G"


class TestTwelve:
    """As a dominant a diminished seventh leads to four places; in all it precedes all twelve."""

    @pytest.mark.parametrize("quality", ["", "m"])
    def test_four_of_each_use(self, quality: str) -> None:
        for chord in diminished_sevenths():
            found = before_all(chord, quality)
            assert len(found) == 12
            kinds = [use.kind for use in found]
            assert {kind: kinds.count(kind) for kind in kinds} == {
                "leading-tone": 4,
                "falling": 4,
                "common-tone": 4,
            }
            assert all(use.chord.pcs == chord.pcs for use in found)

    def test_another_chord_is_refused(self) -> None:
        with pytest.raises(HarmonyError, match="is not a diminished seventh"):
            before_all(Chord.parse("C7"))
        with pytest.raises(HarmonyError, match="is not a diminished seventh"):
            use_before(Chord.parse("C7"), Chord.parse("F"))


def test_three_is_not_a_dominant() -> None:
    # iii - bIIIdim7 - ii is no dominant ("Diminished perspectives", 2012): E flat dim7 "is" D7b9,
    # which would resolve to G, but goes to Dm7 by half step.
    use = use_before(Chord.parse("Ebdim7"), Chord.parse("Dm7"))
    assert isinstance(use, Use)
    assert use.kind == "falling"
    assert [m.semitones for m in use.moves] == [-1, -1, 0, 0]
