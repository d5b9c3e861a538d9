"""The three diminished sevenths, against tables computed by exhaustion elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import names
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import QUALITIES, Chord, Quality
from harmonykit.theory.diminished import Move, approach, diminished_sevenths, parents, resolutions
from harmonykit.theory.kin import minor_sixths, raised, raisings
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet

PARENTS = rows("dim7_parents")


@pytest.mark.parametrize("row", PARENTS, ids=lambda row: row["dim7_root"])
class TestParents:
    """``dim7_parents.tsv``: computed by exhaustion; agrees with Cohn 2012, ch. 7."""

    def test_notes(self, row: dict[str, str]) -> None:
        assert tuple(Chord.of(row["dim7_root"], "dim7").pcs) == numbers(row["dim7_pcs"])

    def test_parents_are_named(self, row: dict[str, str]) -> None:
        found = parents(Chord.of(row["dim7_root"], "dim7"))
        roots = {parent.root.pitch_class for parent in found}
        assert roots == set(numbers(row["parent_dominant_roots_(7b9_minus_root)"]))
        assert all(parent.quality == "7" and parent.bass == parent.root for parent in found)
        named = {Chord.parse(word).root.pitch_class for word in row["parents_named"].split()}
        assert roots == named

    def test_they_stand_by_root_upward_from_the_chord(self, row: dict[str, str]) -> None:
        chord = Chord.of(row["dim7_root"], "dim7")
        above = [(p.root.pitch_class - chord.root.pitch_class) % 12 for p in parents(chord)]
        assert above == [2, 5, 8, 11]

    def test_a_flat_ninth_without_its_root(self, row: dict[str, str]) -> None:
        chord = Chord.of(row["dim7_root"], "dim7")
        for parent in parents(chord):
            ninth = Chord.of(parent.root, "7b9")
            assert set(ninth.pcs) - {parent.root.pitch_class} == set(chord.pcs)

    def test_one_note_lowered(self, row: dict[str, str]) -> None:
        chord = Chord.of(row["dim7_root"], "dim7")
        for word in row["lower_one_note_gives_dom7"].split():
            move, name = word.split(":")
            start, end = (Note.parse(note).pitch_class for note in move.split(">"))
            dominant = Chord.parse(name)
            assert set(dominant.pcs) == set(chord.pcs) - {start} | {end}
            (found,) = (r for r in resolutions(chord) if r.parent.pcs == dominant.pcs)
            assert (found.lowered.start.pitch_class, found.lowered.end.pitch_class) == (start, end)
            assert found.lowered.semitones == -1
            assert found.target.pitch_class == (end + 5) % 12

    def test_one_note_raised(self, row: dict[str, str]) -> None:
        chord = Chord.of(row["dim7_root"], "dim7")
        wanted = {}
        for word in row["raise_one_note_gives_m7b5"].split():
            move, name = word.split(":")
            start, end = (Note.parse(note).pitch_class for note in move.split(">"))
            wanted[Chord.parse(name).pcs] = (start, end)
        found = {}
        for sixth in minor_sixths(chord):
            move = raised(chord, sixth)
            found[sixth.pcs] = (move.start.pitch_class, move.end.pitch_class)
            assert sixth.quality == "m6"
        assert found == wanted

    def test_what_is_left_is_named(self, row: dict[str, str]) -> None:
        chord = Chord.of(row["dim7_root"], "dim7")
        wanted = {
            Chord.parse(word.split(":")[1]).root.pitch_class
            for word in row["raise_one_note_gives_m7b5"].split()
        }
        ways = raisings(chord)
        assert {way.half_diminished.root.pitch_class for way in ways} == wanted
        for way in ways:
            assert way.half_diminished.pcs == way.sixth.pcs
            assert way.raised.semitones == 1
            assert way.raised.start.unicode in way.reason
        for resolution in resolutions(chord):
            assert resolution.lowering.endswith(f": the chord becomes {resolution.parent.unicode}.")

    def test_tritone_pairs(self, row: dict[str, str]) -> None:
        chord = Chord.of(row["dim7_root"], "dim7")
        roots = {parent.root.pitch_class for parent in parents(chord)}
        for pair in row["tritone_pairs_of_parents"].split():
            low, high = (Note.parse(name).pitch_class for name in pair.split("/"))
            assert {low, high} <= roots
            assert (high - low) % 12 == 6


def test_there_are_three() -> None:
    found = {chord.pcs for chord in diminished_sevenths()}
    assert found == {chord.pcs.transpose(n) for chord in diminished_sevenths() for n in range(12)}
    assert len(found) == 3


def test_resolutions_of_one_shape() -> None:
    # Theory of the strings (common practice): 2-3-2-3 is D7b9, F7b9, Ab7b9 or B7b9 without its
    # root; each resolves down a fifth: to G, Bb, Db, E.
    found = {r.parent.symbol: r.target.name for r in resolutions(Chord.parse("D#dim7"))}
    assert found == {"D7": "G", "F7": "Bb", "Ab7": "Db", "B7": "E"}


def test_moves_of_a_resolution_arrive() -> None:
    for chord in diminished_sevenths():
        for resolution in resolutions(chord):
            starts = {move.start.pitch_class for move in resolution.moves}
            ends = {move.end.pitch_class for move in resolution.moves}
            assert starts == set(chord.pcs)
            assert ends == set(Chord.of(resolution.target).pcs)
            assert all(abs(move.semitones) <= 2 for move in resolution.moves)
            assert resolution.reason.endswith(".")
            for move in resolution.moves:
                assert str(move) in resolution.reason


@given(names)
def test_parents_and_sixths_of_any_spelling(root: Note) -> None:
    chord = Chord.of(root, "dim7")
    for found in (parents(chord), minor_sixths(chord)):
        assert len({one.pcs for one in found}) == 4
        assert all(len(set(one.pcs) & set(chord.pcs)) == 3 for one in found)
        assert all(abs(one.root.accidental) < 2 for one in found)


class TestApproach:
    """The diminished seventh beside a target: letter below, letter above, or its own root."""

    @pytest.mark.parametrize(
        ("target", "side", "found"),
        [
            # Common practice, no source: the letter beside the target's, but no double flat.
            ("Dm7", "below", "C#dim7"),
            ("Dm7", "above", "Ebdim7"),
            ("C/E", "below", "D#dim7"),
            ("C", "same", "Cdim7"),
            ("G7/B", "same", "Gdim7"),
            ("Bb", "below", "Adim7"),
            ("Gb", "above", "Gdim7"),
            ("Ab", "above", "Adim7"),
            ("G#", "below", "F##dim7"),
            ("E", "below", "D#dim7"),
        ],
    )
    def test_names(self, target: str, side: str, found: str) -> None:
        assert approach(target, side=side).symbol == found

    @given(names)
    def test_letters(self, note: Note) -> None:
        below, above = approach(note).root, approach(note, side="above").root
        assert (note.pitch_class - below.pitch_class) % 12 == 1
        assert (above.pitch_class - note.pitch_class) % 12 == 1
        around = "CDEFGABCDEFGAB"
        place = around.index(note.letter, 1)
        assert below.letter == around[place - 1]
        assert above.letter == around[place + 1] or abs(above.accidental) < 2

    def test_any_target_has_three(self) -> None:
        # Theory (h): it can precede all twelve roots, by one of the three uses.
        found = {approach("C", side=side).pcs for side in ("below", "same", "above")}
        assert len(found) == 3

    def test_an_unknown_side_is_said(self) -> None:
        with pytest.raises(HarmonyError, match="'left' is not a known side"):
            approach("C", side="left")


def test_a_move_says_what_it_does() -> None:
    assert str(Move(Note.parse("Ab"), Note.parse("G"))) == "A♭ falls to G"
    assert str(Move(Note.parse("D"), Note.parse("D"))) == "D stays"
    assert Move(Note.parse("B"), Note.parse("C")).semitones == 1


@pytest.mark.parametrize("use", [parents, resolutions])
def test_a_chord_that_stands_for_no_other_dominant_is_refused(use) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(HarmonyError, match="Cmaj7 is not a diminished seventh"):
        use(Chord.parse("Cmaj7"))


def test_a_chord_far_from_minor_sixths_is_refused() -> None:
    with pytest.raises(HarmonyError, match="not a semitone away from a minor sixth chord"):
        minor_sixths("C+")


@pytest.mark.parametrize(
    ("chord", "dominants", "targets"),
    [
        # Common practice, no source: V7 of three keys with a raised fifth; a rootless ninth; the
        # French sixth is V7 with a flat fifth in two keys a tritone apart.
        ("C+", "C7 E7 Ab7", "F A Db"),
        ("Bm7b5", "G7", "C"),
        ("Dm6", "G7", "C"),
        ("C7b5", "C7 Gb7", "F Cb"),
        ("D7#5", "D7", "G"),
    ],
)
def test_other_altered_chords_stand_for_dominants(chord: str, dominants: str, targets: str) -> None:
    found = resolutions(chord)
    assert [r.parent.root.pitch_class for r in found] == [
        Chord.parse(d).root.pitch_class for d in dominants.split()
    ]
    assert [r.target.pitch_class for r in found] == [
        Note.parse(t).pitch_class for t in targets.split()
    ]
    for way in found:
        changed = way.chord.pcs - PcSet.of(way.lowered.start.pitch_class)
        assert changed <= way.parent.pcs
        assert {move.start.pitch_class for move in way.moves} == set(way.chord.pcs)


def test_reasons_name_what_is_left_out() -> None:
    (rootless,) = resolutions("Bm7b5")
    assert rootless.reason.startswith("Bm7♭5 is G9 without its root, so it resolves to C:")
    assert resolutions("C+")[0].stands_for == "C7♯5 without its seventh"
    assert resolutions("C7b5")[0].reason.startswith("C7♭5 resolves to F:")


@given(st.sampled_from(QUALITIES), st.integers(0, 11))
def test_parents_hold_all_notes_but_one(quality: Quality, root: int) -> None:
    chord = Chord.build(Note.from_midi(root).at(None), quality.degrees)
    try:
        found = parents(chord)
    except HarmonyError:
        return
    for parent in found:
        assert len(chord.pcs - parent.pcs) == 1
