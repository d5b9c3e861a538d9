"""Writing chord symbols: what is written reads back, in each published style."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import NAMES, chords

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import QUALITIES, Chord, Degree, read_symbol
from harmonykit.theory.note import Note
from harmonykit.theory.symbols.symbol import STYLES, suffix_of, write_symbol


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.suffix or "major")
def test_what_is_written_reads_back(quality, style: str) -> None:  # type: ignore[no-untyped-def]
    for root in NAMES:
        for bass in (None, *NAMES[root.fifths % 5 :: 5]):
            chord = Chord.build(root, quality.degrees, bass)
            assert read_symbol(write_symbol(chord, style)).chord == chord


class TestWriting:
    """What is written reads back, whatever the degrees."""

    names = "2 b2 3 b3 4 #4 5 b5 #5 6 b6 7 b7 bb7 9 b9 #9 11 #11 13 b13"
    degrees = st.sets(st.sampled_from([*map(Degree.parse, names.split())]), max_size=8)

    @given(degrees, st.booleans(), st.sampled_from(STYLES))
    def test_any_degrees(self, degrees: set[Degree], rooted: bool, style: str) -> None:
        chord = Chord.build(Note("C"), degrees | ({Degree(1)} if rooted else set()))
        assert read_symbol(write_symbol(chord, style)).chord == chord

    @given(chords)
    def test_a_chord_is_its_text(self, chord: Chord) -> None:
        assert Chord.parse(str(chord)) == Chord.parse(chord.unicode) == chord
        assert eval(repr(chord)) == chord
        assert str(chord).isascii()

    @pytest.mark.parametrize(
        ("typed", "plain", "printed", "jazz", "long"),
        [
            # Published ways to write them: Wikipedia, "Chord notation".
            ("Bbm7b5", "Bbm7b5", "B♭m7♭5", "Bbø7", "Bbmin7b5"),
            ("Bdim7", "Bdim7", "B°7", "B°7", "Bdim7"),
            ("C6/E", "C6/E", "C6/E", "C6/E", "C6/E"),
            ("F#m7", "F#m7", "F♯m7", "F#-7", "F#min7"),
            ("Cmaj7", "Cmaj7", "Cmaj7", "CΔ7", "Cmaj7"),
            ("C+", "C+", "C+", "C+", "Caug"),
            ("C6sus", "C6sus4", "C6sus4", "C6sus4", "C6sus4"),
            ("C13(#9)", "C13#9", "C13♯9", "C13#9", "C13#9"),
            ("C7b9b13", "C7(b9,b13)", "C7(♭9,♭13)", "C7(b9,b13)", "C7(b9,b13)"),
        ],
    )
    def test_styles(self, typed: str, plain: str, printed: str, jazz: str, long: str) -> None:
        chord = Chord.parse(typed)
        found = [write_symbol(chord, style) for style in ("plain", "printed", "jazz", "long")]
        assert found == [plain, printed, jazz, long]

    def test_an_unknown_style_is_said(self) -> None:
        with pytest.raises(HarmonyError, match="'loud' is not a style"):
            write_symbol(Chord.parse("C"), "loud")

    def test_the_shortest_usual_suffix(self) -> None:
        assert suffix_of(Chord.parse("C13#11").degrees) == "13#11"
        assert suffix_of(Chord.parse("C7(no5)").degrees) == "7no5"
        assert suffix_of(Chord.parse("Cadd11").degrees) == "add11"
        assert suffix_of(Chord.parse("Caddb6").degrees) == "(b6)"
        assert suffix_of(Chord.parse("C(#11)").degrees) == "add#11"
