"""Chord symbols as they are typed in several countries, and the laws that every reading obeys."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Reading, read_symbol
from harmonykit.theory.note import Note
from harmonykit.theory.symbols.dialect import CHOICES, Dialect

MORE = rows("chord_symbols_more")


def reading_of(symbol: str, dialect: Dialect | None = None) -> Reading | None:
    """Return what is read, or None where the symbol is refused."""
    try:
        return read_symbol(symbol, dialect or Dialect())
    except HarmonyError:
        return None


def fits(chord: Chord, expected: str) -> bool:
    """Whether a chord is the one that a table names; tones in brackets may be there or not."""
    body, _, bass = expected.partition("/")
    root, *tones = body.split()
    needed = {int(tone) for tone in tones if "(" not in tone}
    allowed = {int(tone.strip("()")) for tone in tones}
    named = (chord.root.name, chord.bass.name) == (root, bass or root)
    return named and needed <= set(chord.semitones) <= allowed


@pytest.mark.parametrize("row", MORE, ids=lambda row: row["typed"])
def test_the_table(row: dict[str, str]) -> None:
    reading, expected = reading_of(row["typed"]), row["expected"]
    if expected == "!":
        # It is refused, or what is read is said to be in doubt.
        assert reading is None or reading.doubts
        return
    assert reading is not None
    if expected == "N":
        assert reading.chord is None
        return
    assert reading.chord is not None
    assert any(fits(reading.chord, one) for one in expected.split(";"))
    assert reading.doubts or ";" not in expected


class TestRoles:
    """What each sign does (common practice, no source; written from memory of charts)."""

    @pytest.mark.parametrize(
        ("typed", "degrees"),
        [
            # A later seventh stands for an earlier one; a sixth is no seventh.
            ("Cm6(maj7)", "1 b3 5 6 7"),
            ("Cm9(maj7)", "1 b3 5 7 9"),
            ("Cm7(maj7)", "1 b3 5 7"),
            ("Cm11(maj7)", "1 b3 5 7 9 11"),
            ("C°7(maj7)", "1 b3 b5 bb7 7"),
            ("CmMaj", "1 b3 5 7"),
            ("CmM", "1 b3 5 7"),
            ("C-Δ", "1 b3 5 7"),
            ("C7M", "1 3 5 7"),
            ("Cm7M", "1 b3 5 7"),
            ("C7M/9", "1 3 5 7 9"),
            ("C7M(11+)", "1 3 5 7 #11"),
            # A sign after its number, in brackets, after a slash, and at a fifth.
            ("G7(9+)", "1 3 5 b7 #9"),
            ("G7(9b)", "1 3 5 b7 b9"),
            ("G7(9-)", "1 3 5 b7 b9"),
            ("G7/9-", "1 3 5 b7 b9"),
            ("G7(5+)", "1 3 #5 b7"),
            ("G7(13b)", "1 3 5 b7 b13"),
            ("G7/5-", "1 3 b5 b7"),
            ("Gm7(5-)", "1 b3 b5 b7"),
            ("Gm5b", "1 b3 b5"),
            ("G5+7", "1 3 #5 b7"),
            ("Gadd9#", "1 3 5 #9"),
            ("G7(9,11+,13)", "1 3 5 b7 9 #11 13"),
            # Fourths and seconds without sus.
            ("G7/4", "1 4 5 b7"),
            ("G4/7/9", "1 4 5 b7 9"),
            ("G7(4/9)", "1 4 5 b7 9"),
            ("Gm7/4", "1 b3 5 b7 11"),
            ("Gsus(2)", "1 2 5"),
            # Lists of what is left out or added.
            ("C7(no3,5)", "1 b7"),
            ("C7(no 3 & 5)", "1 b7"),
            ("C(add9,#11)", "1 3 5 9 #11"),
            ("Cadd(9)", "1 3 5 9"),
            # Kinds after their number, a nought, a letter, words.
            ("C7°", "1 b3 b5 bb7"),
            ("C7dim", "1 b3 b5 bb7"),
            ("C07", "1 b3 b5 bb7"),
            ("Ch7", "1 b3 b5 b7"),
            ("C half diminished", "1 b3 b5 b7"),
            ("C minor seventh", "1 b3 5 b7"),
            ("C7 flat 9", "1 3 5 b7 b9"),
            ("C7aug5", "1 3 #5 b7"),
            ("C dim 7", "1 b3 b5 bb7"),
            ("C aug 7", "1 3 #5 b7"),
            ("C -7", "1 b3 5 b7"),
            ("C +7", "1 3 #5 b7"),
            ("C - 7", "1 b3 5 b7"),
            ("C maj 7", "1 3 5 7"),
            ("C m maj 7", "1 b3 5 7"),
            ("C(dim7)", "1 b3 b5 bb7"),
            # Labels with a colon (Harte et al. 2005): a seventh in brackets is major.
            ("C:maj7", "1 3 5 7"),
            ("C:dim(7)", "1 b3 b5 7"),
            ("C:sus4(b7)", "1 4 5 b7"),
        ],
    )
    def test_degrees(self, typed: str, degrees: str) -> None:
        chord = Chord.parse(typed)
        assert " ".join(degree.name for degree in chord.degrees) == degrees
        assert Chord.parse(chord.symbol) == Chord.parse(chord.unicode) == chord

    @pytest.mark.parametrize(
        ("typed", "bass", "quality"),
        [
            ("C on E", "E", ""),
            ("ConE", "E", ""),
            ("Am7onD", "D", "m7"),
            ("C over E", "E", ""),
            ("C(/E)", "E", ""),
            ("C(on E)", "E", ""),
            (r"C\E", "E", ""),
            ("C/5", "G", ""),
            ("Cm/3", "Eb", "m"),
            ("C7/3", "E", "7"),
            ("C:maj/b7", "Bb", ""),
            ("C/e", "E", ""),
            ("C/B flat", "Bb", ""),
            ("C6/9/E", "E", "6/9"),
        ],
    )
    def test_the_bass(self, typed: str, bass: str, quality: str) -> None:
        chord = Chord.parse(typed)
        assert (chord.bass, chord.quality) == (Note.parse(bass), quality)

    @pytest.mark.parametrize(
        ("typed", "plain"),
        [
            ("Ｃｍ７", "Cm7"),
            ("Ｃ７（♭９）", "C7b9"),
            ("Cᵐᵃʲ⁷", "Cmaj7"),
            ("C⁶₉ C⁶⁄₉", "C6/9"),
            ("C▲7 C^7 CJ7 Cᐃ7", "Cmaj7"),
            ("C₇", "C7"),
            ("B♭△⁹", "Bbmaj9"),
        ],
    )
    def test_raised_lowered_and_full_width(self, typed: str, plain: str) -> None:
        for symbol in typed.split():
            assert Chord.parse(symbol) == Chord.parse(plain)


class TestTwoAtOnce:
    """A chord over a chord is one chord on the lower root, and said to be."""

    @pytest.mark.parametrize(
        ("typed", "tones"),
        [
            # Upper structures, spelled by hand.
            ("D|C7", "C E G Bb D F# A"),
            ("D over C7", "C E G Bb D F# A"),
            ("Gb|C7", "C E G Bb Db F#"),
            ("C|D", "D F# A C E G"),
            ("Am | D", "D F# A C E"),
        ],
    )
    def test_tones(self, typed: str, tones: str) -> None:
        reading = read_symbol(typed)
        assert reading.chord is not None
        assert {note.name for note in reading.chord.tones} == set(tones.split())
        assert reading.chord.root.name == tones.split()[0]
        assert "the polychord is read" in reading.doubts[0]

    def test_two_thirds_are_refused(self) -> None:
        with pytest.raises(HarmonyError, match="not tensions of the lower"):
            read_symbol("E|Cm")

    @pytest.mark.parametrize(
        ("typed", "rule", "mend"),
        [
            ("D/C7", r"typed D\|C7", "D|C7"),
            ("C/D/E", "one bass", "C|D/E"),
            ("C/7", "a seventh is typed without a slash", "C7"),
            ("C/b7", "a seventh is typed without a slash", "C7"),
            ("C(b5", "this bracket is never closed", "C(b5)"),
            ("C7()", "these brackets are empty", "C7"),
            ("C7(b9,)", "between two alterations", "C7b9"),
            ("C7no9", "the chord has no 9 to leave out", "C9"),
            ("C7alt13", "alt goes with", "Calt"),
            ("C7b11", "a fourth is natural or sharp", "C11"),
            ("C7#7", "a chord has only one seventh", "C7#9"),
            ("Cmaj9(7)", "a chord has only one seventh", "Cmaj9"),
            ("Cm5", "a bare fifth is C5", "Cm"),
            ("B-flat7", "what follows the root", "Bb7"),
            ("am7", "begins with a root", "Am7"),
        ],
    )
    def test_what_is_refused_says_what_to_type(self, typed: str, rule: str, mend: str) -> None:
        with pytest.raises(HarmonyError, match=rule) as caught:
            read_symbol(typed)
        assert mend in caught.value.mend.split(", ")

    def test_alt_goes_with_what_it_alters_already(self) -> None:
        """Common practice, no source: alt is every altered ninth, fifth and thirteenth."""
        plain = Chord.parse("C7alt")
        for change in ("b9", "#9", "b5", "#5", "#11", "b13"):
            assert Chord.parse(f"C7alt({change})") == plain

    @pytest.mark.parametrize(
        "word",
        "Adagio Bass Bridge Chorus Coda Dolce Ending Fine Forte Gesang Ad A.C D.C. D.S. Cresc "
        "Amen Baby Cabaret Ah Ending Dal Bis Es Fade Dim Add".split(),
    )
    def test_words_on_a_sheet_are_not_chords(self, word: str) -> None:
        assert reading_of(word) is None


class TestNamings:
    """German and Latin names are read when asked for; elsewhere they are refused or doubted."""

    latin = Dialect(latin=True)

    @pytest.mark.parametrize(
        ("typed", "plain"),
        [
            ("Do7", "C7"), ("DO", "C"), ("Dom", "Cm"), ("do7", "C7"), ("Ut", "C"), ("Ré7", "D7"),
            ("Rem7", "Dm7"), ("Mi7", "E7"), ("Mim", "Em"), ("Misus4", "Esus4"), ("Fa#m", "F#m"),
            ("Fa#m7(5b)", "F#m7b5"), ("Sol7/Si", "G7/B"), ("Sol on Si", "G/B"), ("Lab", "Ab"),
            ("La-7", "Am7"), ("Sib7M", "Bbmaj7"), ("Sim7b5", "Bm7b5"), ("Mi bémol 7", "Eb7"),
            ("Fa diesis", "F#"), ("Dodim7", "Cdim7"), ("Remaj7", "Dmaj7"), ("Sidim7", "Bdim7"),
        ],
    )  # fmt: skip
    def test_latin(self, typed: str, plain: str) -> None:
        assert Chord.parse(typed, self.latin) == Chord.parse(plain)
        reading = reading_of(typed)
        if reading is None:
            with pytest.raises(HarmonyError, match="Latin naming") as caught:
                read_symbol(typed)
            assert Chord.parse(caught.value.mend.split(", ")[0]) == Chord.parse(plain)
        else:
            assert any("Latin naming" in doubt for doubt in reading.doubts)

    def test_letters_are_not_latin(self) -> None:
        with pytest.raises(HarmonyError, match="Do to Si"):
            read_symbol("C7", self.latin)

    @pytest.mark.parametrize(("typed", "plain"), [("H7", "B7"), ("Fis7", "F#7"), ("Es", "Eb")])
    def test_german_says_what_it_is_in_letters(self, typed: str, plain: str) -> None:
        with pytest.raises(HarmonyError, match="German naming") as caught:
            read_symbol(typed)
        assert plain in caught.value.mend.split(", ")

    def test_no_double_sharp_is_offered_for_a_slip(self) -> None:
        """In German naming Hx is B double sharp, which nobody means."""
        with pytest.raises(HarmonyError, match="German naming") as caught:
            read_symbol("Hx")
        assert "##" not in caught.value.mend

    def test_one_naming(self) -> None:
        with pytest.raises(HarmonyError, match="name the roots differently"):
            Dialect(german=True, latin=True)

    @pytest.mark.parametrize(
        ("typed", "plain"),
        [("am", "Am"), ("c°7", "Cdim7"), ("dm7b5", "Dm7b5"), ("a-7", "Am7"), ("f#m", "F#m"),
         ("cø", "Cm7b5")],
    )  # fmt: skip
    def test_a_lower_case_root_may_say_its_kind_too(self, typed: str, plain: str) -> None:
        assert Chord.parse(typed, Dialect(lower_case_minor=True)) == Chord.parse(plain)


PIECES = (
    "m - maj M Δ ^ j mj dim ° o ø + aug 7 9 11 13 6 69 6/9 5 2 4 b5 #5 b9 #9 #11 b13 b6 #7 b7 +7 "
    "5+ 9+ 9- 5b 9b sus sus4 sus2 sus(4) add9 addb9 add(9) no3 no5 no(3,5) (maj7) (M7) (7) (5) "
    "(9+) (b9,#11) (7+) , / ( ) alt -5 +5 +9 -9 dim5 aug5 & h7"
).split()
dialects = st.builds(
    Dialect, **{name: st.sampled_from(choices) for name, choices in CHOICES.items()}
)  # type: ignore[arg-type]


class TestLaws:
    """Whatever is typed: one third, one seventh, one fifth unless two are spelled out."""

    @given(st.lists(st.sampled_from(PIECES), max_size=5), st.one_of(st.just(Dialect()), dialects))
    def test_one_of_each(self, pieces: list[str], dialect: Dialect) -> None:
        reading = reading_of("C" + "".join(pieces), dialect)
        if reading is None or reading.chord is None:
            return
        chord = reading.chord
        numbers = [degree.number for degree in chord.degrees]
        altered_fifth = any(d.number == 5 and d.alter for d in chord.degrees)
        assert numbers.count(3) <= 1
        assert not (altered_fifth and any(d.name == "5" for d in chord.degrees))
        # A diminished seventh with a major one is the only chord of two, and says so.
        both = {"bb7", "7"} <= {degree.name for degree in chord.degrees}
        assert numbers.count(7) <= 1 + (both and any("dim" in doubt for doubt in reading.doubts))
        assert Chord.parse(chord.symbol) == Chord.parse(chord.unicode) == chord

    @pytest.mark.parametrize("spelled", ["C(b5,#5)", "C+(add5)", "C7(maj7,add7)"])
    def test_two_that_are_spelled_out(self, spelled: str) -> None:
        numbers = [degree.number for degree in Chord.parse(spelled).degrees]
        assert len(numbers) == len(set(numbers)) + 1

    @pytest.mark.parametrize(
        "typed",
        "C7no5b5 C7(no5,#5) C6maj Csusmaj C9no13 C7alt11 C7/7 C7m Cmm7 C7min Cadd Cno C7() C7, "
        "Cmaj7b7 C7#7 C7##9 C--7 Caltalt Cm(b7)maj7 C70 C79 C74 C8 C(10)".split(),
    )
    def test_what_says_nothing_or_the_contrary_is_refused(self, typed: str) -> None:
        assert reading_of(typed) is None


class TestSheetsAndMessages:
    """What stands on sheets of several countries and in messages.

    From memory of such sheets (common practice, no source); tones are semitones above the root,
    then the bass.
    """

    @pytest.mark.parametrize(
        ("typed", "setting", "expected"),
        [
            # A hyphen before a word is a hyphen.
            ("C-Dur", "", "C 0 4 7"),
            ("C-moll", "", "C 0 3 7"),
            ("Fis-Moll", "german", "F# 0 3 7"),
            ("a-Moll", "lower_case_minor", "A 0 3 7"),
            ("C-maj7", "", "C 0 3 7 11"),
            # A dominant has its seventh.
            ("Cdom", "", "C 0 4 7 10"),
            ("Cdom9", "", "C 0 2 4 7 10"),
            # A flat fifth over a major third is where the eleventh would be.
            ("C13b5", "", "C 0 2 4 6 9 10"),
            ("Cmaj13b5", "", "C 0 2 4 6 9 11"),
            ("Cm13b5", "", "C 0 2 3 5 6 9 10"),
            ("C13sus2", "", "C 0 2 7 9 10"),
            # A number straight after sus goes on where the stack ended.
            ("C7sus13", "", "C 0 (2) 5 7 9 10"),
            ("C9sus13", "", "C 0 2 5 7 9 10"),
            ("C/(E)", "", "C 0 4 7/E"),
            ("Dó7M", "latin", "C 0 4 7 11"),
            ("Fá", "latin", "F 0 4 7"),
            ("Lám7", "latin", "A 0 3 7 10"),
            ("Re\N{COMBINING ACUTE ACCENT}m", "latin", "D 0 3 7"),
            ("Eses", "german", "Ebb 0 4 7"),
            ("Asas7", "german", "Abb 0 4 7 10"),
            ("Essus4", "german", "Eb 0 5 7"),
            # In brackets stands another chord, or what every sheet has there.
            ("C(add9)", "alternates", "C 0 2 4 7"),
            ("C(b9)", "alternates", "C 0 1 4 7"),
            ("G(Em)", "alternates", "G 0 4 7"),
        ],
    )
    def test_is_read(self, typed: str, setting: str, expected: str) -> None:
        reading = reading_of(typed, Dialect(**{setting: True}) if setting else None)
        assert reading is not None and reading.chord is not None
        assert fits(reading.chord, expected)

    @pytest.mark.parametrize(
        "typed", ["C/E bass", "C (E bass)", "C(bass E)", "C bass E", "C/bass E"]
    )
    def test_a_bass_in_words_is_read_with_a_doubt(self, typed: str) -> None:
        reading = reading_of(typed)
        assert reading is not None and reading.chord == Chord.parse("C/E")
        assert any("bass" in doubt for doubt in reading.doubts)

    @pytest.mark.parametrize("typed", ["C bass", "bass", "C (E)", "C7sus11", "C9sus9", "C-Du"])
    def test_is_refused(self, typed: str) -> None:
        assert reading_of(typed) is None

    def test_a_flat_fifth_asks_for_no_seventh(self) -> None:
        alteration = Dialect(flat_root="alteration")
        five, nine = reading_of("Cb5", alteration), reading_of("Cb9", alteration)
        assert five is not None and five.chord == Chord.parse("C(b5)")
        assert nine is not None and nine.chord == Chord.parse("C7b9")

    def test_hints_suit_the_names_and_keep_the_bass(self) -> None:
        with pytest.raises(HarmonyError, match='"Do"'):
            read_symbol("Am7", Dialect(latin=True))
        with pytest.raises(HarmonyError, match="Am/G"):
            read_symbol("am/G")

    @pytest.mark.parametrize(
        ("typed", "count"), [("Dm7 G7", 2), ("| Gm7 | C9 | Fmaj7 |", 3), ("C, E, G, A", 4)]
    )
    def test_several_are_told_apart_from_one_that_is_misspelt(self, typed: str, count: int) -> None:
        with pytest.raises(HarmonyError, match=f"is {count} chord symbols") as caught:
            read_symbol(typed)
        assert caught.value.mend == typed.strip("| ").split()[0].strip(",")
        with pytest.raises(HarmonyError, match="can be read"):
            read_symbol(f"{typed} Qux")
