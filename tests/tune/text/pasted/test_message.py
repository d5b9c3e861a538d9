"""Messages as people type and paste them; what is expected was written by hand beside each."""

from __future__ import annotations

from fractions import Fraction

import pytest
from made_tunes import made_tune

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.key import Key
from harmonykit.tune.text.changes import read_changes
from harmonykit.tune.text.pasted.header import Given
from harmonykit.tune.text.pasted.message import Message, read_message
from harmonykit.tune.text.writer import write_changes
from harmonykit.tune.tune import Bar, Tune

FOUR = "F | D7 | Gm7 | C7"
TWO = "F D7 | Gm7 C7"

# What is typed, and its bars in one section: chords, "-" where nothing changes.
ONE_SECTION = {
    "slashes for beats, no lines": ("F / / / Gm7 / C7 /", "F | Gm7 C7"),
    "too few slashes for beats": ("F / Gm7 C7", "F | Gm7 | C7"),
    "two bars": ("|1. F D7 | Gm7 C7 |", TWO),
    "every bar numbered": ("|1. F D7 |2. Gm7 C7 |3. F |4. C7 |", "F D7 | Gm7 C7 | F | C7"),
    "numbers without dots": ("|1 F D7 |2 Gm7 C7 |", TWO),
    "rows numbered by bars": ("1 | F | D7 |\n3 | Gm7 | C7 |", FOUR),
    "rows numbered by bars, dots": ("1. F | D7 | Gm7 | C7\n5. F | Bb |", FOUR + " | F | Bb"),
    "rows counted": ("1) | F | D7 |\n2) | Gm7 | C7 |", FOUR),
    "no blanks": ("|F D7|Gm7 C7|", TWO),
    "no outer lines": ("F | D7\nGm7 | C7", FOUR),
    "blanks that do not break": ("|\u00a0F\u00a0\u00a0D7\u00a0|\u2009Gm7\u202fC7\u00a0|", TWO),
    "a blank of no width": ("| F D\u200b7 |\u200b Gm7 C7 |", TWO),
    "tabs": ("|\tF\tD7\t|\tGm7\tC7\t|", TWO),
    "boxes": ("│ F  D7 │ Gm7  C7 ║", TWO),
    "wide lines": ("｜F D7｜Gm7 C7｜", TWO),
    "curled quotes": ("“| F D7 | Gm7 C7 |”", TWO),
    "straight quotes": ('"| F D7 | Gm7 C7 |"', TWO),
    "set heavy": ("**| F D7 | Gm7 C7 |**", TWO),
    "as code": ("```\n| F D7 | Gm7 C7 |\n```", TWO),
    "a mail's answer": ("> Dear all,\n>\n> | F | D7 |\n> | Gm7 | C7 |\n>\n> Yours", FOUR),
    "other line ends": ("| F | D7 |\r\n| Gm7 | C7 |\r\n", FOUR),
    "final bar": ("| F D7 | Gm7 C7 |]", TWO),
    "signs of music": ("𝄆 F | D⁷ | Gm⁷ | C⁷ 𝄇", FOUR),
    "words between": ("| F | D7 |\nA sailor I will be\n| Gm7 | C7 |\nand home again", FOUR),
    "words after": ("| F | D7 | Gm7 | C7 | (slowly now)", FOUR),
    "pictures": ("🎸 | F | D7 | Gm7 | C7 | 🎶", FOUR),
    "a chat's stamp": ("[12/5, 18:03] Jo: | F | D7 | Gm7 | C7 |", FOUR),
    "remarks": ("# mine\n| F | D7 | # quick\n// more\n| Gm7 | C7 |", FOUR),
    "as before": ('| F | % | D7 | ./. | Gm7 | " | C7 | - |', "F|F|D7|D7|Gm7|Gm7|C7|-"),
    "a sign for as before": ("| F | 𝄎 | D7 | 𝄎 |", "F|F|D7|D7"),
    "two bars again": ("| F | D7 | %% | %% | Gm7 | C7 |", "F|D7|F|D7|Gm7|C7"),
    "two bars again, once": ("| F | D7 | %% | Gm7 | C7 |", "F|D7|F|D7|Gm7|C7"),
    "blank bars": ("| F | | Gm7 | |", "F | - | Gm7 | -"),
    "slashes alone": ("| F | / | D7 | / / / / |", "F | - | D7 | -"),
    "silence": ("| F | N.C. | NC | no chord | tacet |", "F | N.C. | N.C. | N.C. | N.C."),
    "commas": ("| F, D7 | Gm7, C7. |", TWO),
    "joined": ("| F-D7 | Gm7/C7 |", TWO),
    "arrows": ("| F → D7 | Gm7 > C7 |", TWO),
    "cut names": ("| F maj7 | G m7 | C 7 |", "Fmaj7 | Gm7 | C7"),
    "in brackets": ("| [F] [D7] | [Gm7] [C7] |", TWO),
    "brackets in words, in bars": ("| [F] Row to the [D7] | [Gm7] lee [C7] |", TWO),
    "brackets in words": ("[F]Row to the [D7]lee and\n[Gm7]home a[C7]gain", FOUR),
    "brackets within words, in bars": ("| [F]Row to | the [D7]lee, a|[Gm7]gain |", "F | D7 | Gm7"),
    "round brackets in words": ("(F)Row to the (D7)lee\n(Gm7)home a(C7)gain", FOUR),
    "above words": ("F            D7\nRow to the lee\nGm7     C7\nhome again", FOUR),
    "a letter above words": ("F      D7\nRow to the lee\nA\nAnd home", "F | D7 | A"),
    "chords alone": ("F D7 Gm7 C7", FOUR),
    "dashes between": ("F - D7 – Gm7 — C7", FOUR),
    "beats alone": ("F / / / D7 / / / Gm7 / / / C7 / / /", FOUR),
    "printed signs": ("| F♯m7♭5 | B7(♭9) | E–7 | A7 |", "F#m7b5 | B7b9 | Em7 | A7"),
    "a doubtful one": ("| F | D7? | Gm7 | C7 |", FOUR),
    "small letters": ("| f | d7 | gm7 | c7 |", FOUR),
    "small minors": ("| C | a | d7 | G7 |", "C | Am | Dm7 | G7"),
    "German": ("| a | d | E7 | H7 |", "Am | Dm | E7 | B7"),
    "German, B is flat": ("| C | H7 | B | Fis |", "C | B7 | Bb | F#"),
    "Latin": ("| Do | Lam | Rem7 | Sol7 |", "C | Am | Dm7 | G7"),
}  # fmt: skip


def chords_of(bar: Bar) -> str:
    """Return the chords of a bar, written small and plain."""
    return " ".join(str(c.chord) if c.chord else "N.C." for c in bar.changes) or "-"


def only(text: str, given: Given | None = None) -> tuple[Bar, ...]:
    said = read_message(text, given=given)
    assert len(said.sections) == 1
    return said.sections[0].bars


@pytest.mark.parametrize("case", ONE_SECTION)
def test_the_bars_are_read(case: str) -> None:
    text, bars = ONE_SECTION[case]
    assert [chords_of(bar) for bar in only(text)] == [bar.strip() for bar in bars.split("|")]


# What is typed, and what is played, with the form unfolded.
PLAYED = {
    "endings": (
        "|: F | D7 |1. Gm7 | C7 :|2. Gm7 C7 | F ||",
        "F D7 Gm7 C7 F D7 Gm7 C7 F",
    ),
    "endings in brackets": (
        "||: F | D7 |[1. Gm7 | C7 :||[2. Bb | F |]",
        "F D7 Gm7 C7 F D7 Bb F",
    ),
    "endings in words": (
        "|: F | D7 | 1st time: Gm7 | C7 :| 2nd time: Bb | F |",
        "F D7 Gm7 C7 F D7 Bb F",
    ),
    "an ending without its sign": ("| F | D7 |1. Gm7 |2. C7 |", "F D7 Gm7 F D7 C7"),
    "an ending for two passes": (
        "|: F |[1,2 C7 :|[3 Bb |",
        "F C7 F C7 F Bb",
    ),
    "after the endings": ("|: F |1. C7 :|2. Bb || Dm | Gm |", "F C7 F Bb Dm Gm"),
    "three times": ("|: F | C7 :|x3", "F C7 F C7 F C7"),
    "three times, apart": ("|: F | C7 :| (3x)", "F C7 F C7 F C7"),
    "bars three times, in a row": ("| F | C7 | x3 | Bb | F |", "F C7 F C7 F C7 Bb F"),
    "a row twice, its bars closed": ("| F | C7 | x2 |", "F C7 F C7"),
    "what is opened, three times": ("| Bb |: F | C7 | x3 Gm7 |", "Bb F C7 F C7 F C7 Gm7"),
    "a row twice": ("| F | C7 | x2\n| Bb | F |", "F C7 F C7 Bb F"),
    "blanks in signs": ("| : F | C7 : | Bb |", "F C7 F C7 Bb"),
    "two repeats": ("|: F | C7 :||: Bb | F :|", "F C7 F C7 Bb F Bb F"),
    "one sign for both": ("|: F | C7 :|: Bb | F :|", "F C7 F C7 Bb F Bb F"),
    "a form in words": (
        "A: | F | C7 |\nB: | Bb | F |\nForm: AABA",
        "F C7 F C7 Bb F F C7",
    ),
    "letters without colons": ("A | F | C7 |\nB | Bb | Gm7 |\nAABA", "F C7 F C7 Bb Gm7 F C7"),
    "names again": ("Verse:\n| F | C7 |\nChorus\n| Bb | F |\nVerse", "F C7 Bb F F C7"),
    "bars again": ("Chorus\n| F |\nBridge\n| Bb |\nChorus\n| F |", "F Bb F"),
    "other bars, same name": ("Verse\n| F |\nVerse\n| Bb |", "F Bb"),
    "a name with its times": ("Intro (x2): | F | C7 |\nVerse | Bb |", "F C7 F C7 Bb"),
    "names before open rows": ("A1: F | C7\nA2: Bb | F", "F C7 Bb F"),
    "a name, again": ("A\n| F |\nB\n| Bb |\nA (again)", "F Bb F"),
    "words after a chord": ("F (two bars) | C7", "F C7"),
    "names and chords alone": ("[Verse] F C7\n[Chorus] Bb F", "F C7 Bb F"),
    "from the top": ("| F | D7 {fine} | Gm7 | C7 {D.C. al fine} |", "F D7 Gm7 C7 F D7"),
    "from the top, in words": ("| F | D7 Fine | Gm7 | C7 | D.C. al Fine", "F D7 Gm7 C7 F D7"),
}


@pytest.mark.parametrize("case", PLAYED)
def test_what_is_repeated_is_played_again(case: str) -> None:
    text, chords = PLAYED[case]
    tune = Tune.parse(text)
    heard = [chord for played in tune.playing for chord in chords_of(played.bar).split()]
    assert heard == chords.split()


# What is typed, the metre, and where the chords of all bars stand, in quarters.
PLACED = {
    "| F / / C7 |": ((4, 4), [0, 3]),
    "| F /// | D7/ Gm7/ |": ((4, 4), [0, 0, 2]),
    "| F . . C7 |": ((4, 4), [0, 3]),
    "| F - D7 - |": ((4, 4), [0, 2]),
    "| F - D7 |": ((4, 4), [0, 2]),
    "| F / | D7 / C7 / |": ((4, 4), [0, 0, 2]),
    "| F / / | D7 / / | Gm7 / C7 |": ((3, 4), [0, 0, 0, 2]),
    "| F D7 Gm7 | C7 Bb F |": ((3, 4), [0, 1, 2, 0, 1, 2]),
    "| F D7 Gm7 | C7 F | F C7 |": ((4, 4), [0, 2, 3, 0, 2, 0, 2]),
    "3/4 time\n| Am | Dm E7 |": ((3, 4), [0, 0, Fraction(3, 2)]),
    "Slow Heron Waltz\n| Am | E7 |": ((3, 4), [0, 0]),
    "6/8\n| Am / / G / / |": ((6, 8), [0, Fraction(3, 2)]),
    "| 3/4 F | D7 / Gm7 |": ((3, 4), [0, 0, 2]),
    "| F | {2/4} C7 Bb |": ((4, 4), [0, 0, 1]),
    "| F C7@4 |": ((4, 4), [0, 3]),
}


@pytest.mark.parametrize("text", PLACED)
def test_beats_and_metres(text: str) -> None:
    meter, places = PLACED[text]
    said = read_message(text)
    assert said.meter == meter
    assert [c.at for s in said.sections for bar in s.bars for c in bar.changes] == places


def test_a_heading_says_title_key_metre_and_tempo() -> None:
    said = read_message("Title: “Low Tide Rag”\nKey: Bb major, 3/4\nTempo: 132\n| Bb | Eb |")
    assert (said.title, str(said.key)) == ("Low Tide Rag", "Bb major")
    assert (said.meter, said.tempo) == ((3, 4), 132)


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("Heron in D minor", "D minor"), ("key of Eb", "Eb major"), ("Tonart: a-moll", "A minor"),
        ("in B flat", "Bb major"), ("Key = F#m", "F# minor"),
    ],
)  # fmt: skip
def test_a_key_is_said_in_many_ways(line: str, key: str) -> None:
    assert read_message(f"{line}\n| C | D |").key == Key.parse(key)


def test_what_is_given_counts_before_what_is_said() -> None:
    said = read_message("Key: F, 4/4\n| F | C7 |", given=Given.of("G", "3/4", title="Mine"))
    assert (str(said.key), said.meter, said.title) == ("G major", (3, 4), "Mine")


def test_a_first_line_is_the_title_unless_it_greets_or_tells() -> None:
    assert read_message("Heron Landing\n| F |").title == "Heron Landing"
    for line in ("Hi all,", "Here is what we played on Tuesday night", "row to the lee"):
        assert read_message(f"{line}\n| F |").title == "Untitled"


def test_a_capo_is_said_and_nothing_is_moved() -> None:
    said = read_message("Capo 3\n| C | G7 |")
    assert chords_of(said.sections[0].bars[0]) == "C"
    assert "Capo 3" in said.notes
    assert any("3 semitones higher" in doubt for doubt in said.doubts)
    assert ("capo", "fret 3, kept in the notes, as written in line 1") in said.told


@pytest.mark.parametrize(
    ("line", "fret"),
    [
        ("put the capo on the 2nd fret", 2),
        ("capo? 2nd fret or so", 2),
        ("Capo: III", 3),
        ("capo at fret V, please", 5),
        ("Kapo im 3. Bund", 3),
        ("capo if you like, x Jo", 0),
        ("with a capo, I think", 0),
        ("capo I think", 0),
        ("no capo, 3 verses", 0),
        ("capo optional, 100 bpm", 0),
    ],
)
def test_a_capo_has_a_fret_only_where_one_is_given(line: str, fret: int) -> None:
    said = read_message(f"{line}\n| C | G7 |")
    assert said.notes == (
        f"Capo {fret}: the chord names are kept as typed, not transposed." if fret else ""
    )


def told(said: Message, about: str) -> list[str]:
    return [words for each, words in said.told if each == about]


def test_what_was_left_out_is_told_with_its_line() -> None:
    said = read_message("| F | D7 |\nrow to the lee\n| Gm7 | C7 |\n# a remark")
    assert told(said, "left out") == ["line 2: row to the lee", "line 4: # a remark"]


def test_how_chords_are_named_is_told() -> None:
    assert told(read_message("| F | C7 |"), "names") == []
    german = read_message("| C | H7 | B |")
    assert "B is B flat" in told(german, "names")[0]
    assert any("B is B flat" in doubt for doubt in german.doubts)
    assert "capitals" in told(read_message("| f | c7 |"), "names")[0]


@pytest.mark.parametrize(
    ("text", "line", "column", "typed"),
    [
        ("| F | Cdim |", 1, 7, "type Cdim7"),
        ("row\n| F D7 Gm7 | C7 F |", 2, 3, "type | F / D7 Gm7 |"),
        ("F D7", 1, 1, "type | between bars"),
        ("| F | D7? |", 1, 7, "read as D7"),
        ("|1. F | D7 |5. Gm7 |", 1, 13, "is bar 3"),
        ("| F | D7 |1. Gm7 |2. C7 |", 1, 19, "taken as :|"),
        ("| F X9 | D7 |", 1, 5, "number of times, and not as a chord"),
        ("| F | X3 D7 |", 1, 7, "number of times, and not as a chord"),
    ],
)
def test_a_doubt_has_line_and_column_and_what_to_type(
    text: str, line: int, column: int, typed: str
) -> None:
    doubts = [doubt for doubt in read_message(text).doubts if typed in doubt]
    assert [doubt.split(":")[0] for doubt in doubts] == [f"line {line}, column {column}"]


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("| F |\n| Gmim7 |", 2, 3, "Gmim7"),
        ("| F |\n| ?? |", 2, 3, "not a chord"),
        ("| F | turnaround | C7 |", 1, 7, "not a chord"),
        ("| I | vi | ii | V |", 1, 3, "F Gm7 C7"),
        ("| F G A B C |", 1, 11, "5 chords do not fit a bar of 4/4"),
        ("| F / / / | D7 / / |", 1, 18, "3 beats do not fit"),
        (":| F |", 1, 1, "has no bar to repeat"),
        ("| % | F |", 1, 3, "repeats the bar before"),
        ("| F |\u00a0Hq7 |", 1, 7, "Hq7"),
    ],
)
def test_an_error_has_line_column_and_caret(text: str, line: int, column: int, words: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        read_message(text, "a message")
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (line, column)
    assert words in str(caught.value) and "^" in str(caught.value)


# An old mode is the key with its third: common practice, no source.
@pytest.mark.parametrize(
    ("text", "title", "key", "doubt"),
    [
        ("Quarrel Lane, 7/8, A dorian: | Am | G |", "Quarrel Lane", "A minor",
         "line 1, column 20: A dorian is taken as A minor"),
        ("Kites, A Dorian | Am | D |", "Kites", "A minor", "column 8: A dorian is"),
        ("Kites (F# Phrygian mode)\n| F#m | G |", "Kites", "F# minor", "F♯ phrygian is"),
        ("Kites D mixolydian\n| D | C |", "Kites", "D major", "D mixolydian is"),
        ("kites in e dorian\n| Em | A |", "kites", "E minor", "E dorian is"),
        ("Kites, h-phrygisch | Hm | C |", "Kites", "B minor", "B phrygisch is"),
        ("Key: la dorico\n| Am | D |", "Untitled", "A minor", "A dorico is"),
        ("Kites in the key of Bb lydian | Bb | C |", "Kites", "Bb major", "B♭ lydian is"),
        ("Kites in A minor, medium swing | Am | D |", "Kites", "A minor", ""),
        ("Kites, A minor, 3/4 | Am | D |", "Kites", "A minor", ""),
        ("Dorian Kites, 3/4\n| Am | D |", "Dorian Kites", "A minor", "from the chords alone"),
    ],
)  # fmt: skip
def test_a_mode_in_a_heading_is_its_key_and_told(
    text: str, title: str, key: str, doubt: str
) -> None:
    found = read_message(text)
    assert (found.title, str(found.key), len(found.sections[0].bars)) == (title, key, 2)
    assert any(doubt in each for each in found.doubts) or not (doubt or found.doubts)


# A mode with a minor third is taken as minor, one with a major third as major: common practice, no
# source.
@pytest.mark.parametrize(
    ("mode", "key"),
    [
        ("ionian", "major"), ("dorian", "minor"), ("phrygian", "minor"), ("lydian", "major"),
        ("Mixolydian", "major"), ("Aeolian", "minor"), ("locrian", "minor"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("line", ["Key: D {}", "key: d {}, 4/4", "Low Tide Rag in D {}"])
def test_a_church_mode_is_taken_as_major_or_minor_and_said(line: str, mode: str, key: str) -> None:
    found = read_message(line.format(mode) + "\n| Dm7 | G7 |")
    assert str(found.key) == f"D {key}"
    (doubt,) = found.doubts
    assert doubt.endswith(f"D {mode.lower()} is taken as D {key}")


# Names of keys in other languages: Wikipedia, "Key signature names and translations".
@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("A menor", "A minor"), ("A mineur", "A minor"), ("a-Moll", "A minor"),
        ("A-Dur", "A major"), ("la mineur", "A minor"), ("Sol mayor", "G major"),
        ("Si bémol majeur", "Bb major"), ("fis-Moll", "F# minor"), ("H-Moll", "B minor"),
        ("Es-Dur", "Eb major"), ("As-Dur", "Ab major"), ("B-Dur", "Bb major"),
        ("Re maggiore", "D major"), ("fa diesis minore", "F# minor"), ("Dó maior", "C major"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("line", ["Key: {}\n", "Tonart: {} ", "Key: {}|"])
def test_a_key_is_read_in_other_languages(said: str, key: str, line: str) -> None:
    assert str(Key.parse(said)) == key
    found = read_message(line.format(said) + "| A | E7 |")
    assert str(found.key) == key
    assert len(found.sections[0].bars) == 2


@pytest.mark.parametrize("line", ["Key: F|| F | C7 |", "Key: F | F | C7 |", "Key: F F | C7 |"])
def test_a_key_before_the_row_in_its_line_is_not_a_bar(line: str) -> None:
    found = read_message(line)
    assert str(found.key) == "F major"
    assert [str(bar.changes[0].chord) for bar in found.sections[0].bars] == ["F", "C7"]
    assert [section.name for section in found.sections] == ["A"]


def test_a_word_after_a_key_is_not_passed_over() -> None:
    (doubt,) = read_message("Key: A blusig\n| A | E7 |").doubts
    assert doubt.endswith("'blusig' is not understood, so the key is read as A major")


@pytest.mark.parametrize("line", ["key: H", "Key: Q dur", "Tonart: H, 4/4", "Key: Dorian"])
def test_a_key_that_is_not_understood_is_said(line: str) -> None:
    found = read_message(line + "\n| Dm7 | G7 |")
    assert found.title == "Untitled"
    doubts = [doubt for doubt in found.doubts if "is not understood" in doubt]
    assert len(doubts) == 1 and doubts[0].startswith("line 1, column 1: the key ")


@pytest.mark.parametrize("text", ["", "hello there", "| - | - |", "| N.C. |", "\u200b"])
def test_without_a_chord_there_is_no_tune(text: str) -> None:
    with pytest.raises(HarmonyError, match="the text has no chord"):
        read_message(text)


def test_a_text_of_a_million_signs_is_refused_at_once() -> None:
    with pytest.raises(HarmonyError, match="too long"):
        read_message("| F " * 250_000)


@pytest.mark.parametrize("seed", range(40))
def test_what_the_writer_prints_is_read_as_it_was(seed: int) -> None:
    """Law: a section printed and read as a message has the same bars."""
    for section in made_tune(seed).sections:
        text = write_changes(section.bars, (4, 4))
        assert [bar.changes for bar in only(text)] == [bar.changes for bar in section.bars]


# What the text form accepts: the message is read alike.
STRICT = (
    "| C | Am7 D7 |", "| C / / G7 |", "| C G7@3.5 |", "| Dm7 <G7 | <C |", "| G7 (Db7) | C |",
    "| C | % | - | N.C. |", "|: C | F :|x3 G7 | C |", "|: C | [1 G7 :| [2 C ||",
    "|: C | [1,3 G7 :| [2 F :| [4 C ||", "| {3/4} C | F | {4/4} G7 |", "| {1 quarter} C | F |",
    "| {segno} C | F {fine} | G7 {D.S. al fine} |", "| C {fermata} | F {fermata@3} |",
    "| / / C7 / |",
    "| F6 | C/E Dm7/C | Bbmaj7#11 | Ebm7b5 Ab7b9 |",
)  # fmt: skip


@pytest.mark.parametrize("text", STRICT)
def test_what_the_text_form_accepts_is_read_alike(text: str) -> None:
    assert only(text) == read_changes(text, (4, 4), lambda index: Place())[0]


def test_a_word_of_a_greeting_is_no_chord() -> None:
    """The word "do" is a diminished D to who writes minor chords small, and C in Latin naming."""
    tune = Tune.parse("hey can we do this on Tuesday\n\nG      Em\nThe kite\nAm7 D7\nabove\n")
    assert [str(change.chord) for change in tune.changes] == ["G", "Em", "Am7", "D7"]
    assert not any("lower-case" in doubt for doubt in tune.doubts)


@pytest.mark.parametrize(
    "line", ["Play it: Intro Verse 1 Chorus Intro", "Form: intro, verse 1, chorus, then intro"]
)
def test_sections_are_put_in_order_by_their_names(line: str) -> None:
    text = f"Intro: | G |\nVerse 1: | C | D7 |\nChorus: | Em | D |\n\n{line}"
    assert Tune.parse(text).order == ("Intro", "Verse 1", "Chorus", "Intro")
    missing = read_message(text.replace("Chorus:", "Bridge:"))
    assert any("missing section" in doubt for doubt in missing.doubts)


# By hand, as a band would play it.
FORMS = {
    "Form: Intro A B A Tag": "Intro A B A Tag",
    "form - Intro, A, B, A, Tag": "Intro A B A Tag",
    "Order: Intro – A – B – Tag": "Intro A B Tag",
    "Ablauf: Intro -> A -> A -> B": "Intro A A B",
    "Reihenfolge: Intro, A, dann B": "Intro A B",
    "Form is Intro AAB Tag": "Intro A A B Tag",
    "Form: Intro, A x2, B (2x), Tag": "Intro A A B B Tag",
    "Form: Intro 2x A": "Intro Intro A",
    "Form: 2x A, B": "A A B",
    "Form: Intro (A B) x2 Tag": "Intro A B A B Tag",
    "Form: A B A": "A B A",
    "Play Intro A A Tag": "Intro A A Tag",
    "Form: Intro A Kazoo B": "Intro A Kazoo B",
    "Kites - in D - Form: A B A - 96 bpm": "A B A",
    "Kites, in D, form Intro A B, 4/4": "Intro A B",
}


@pytest.mark.parametrize("line", FORMS)
@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize("bars", ["| D | A7 |", "D  A7"])
def test_a_form_of_letters_and_words_is_played(line: str, below: bool, bars: str) -> None:
    names = ("Intro", "A", "B", "[Kazoo]", "Tag")
    parts = "\n".join(f"{name}\n{bars}" for name in names)
    found = read_message(f"{parts}\n{line}" if below else f"{line}\n{parts}")
    assert list(found.order) == FORMS[line].split()
    assert [part.name for part in found.sections] == ["Intro", "A", "B", "Kazoo", "Tag"]
    assert not any(about == "left out" for about, _ in found.told)


def test_chords_after_a_name_are_no_form() -> None:
    for line in ("Form: Am F C G", "Play: A D E7", "Order: D Bm G A7"):
        found = read_message(line)
        assert len([c for part in found.sections for bar in part.bars for c in bar.changes]) >= 3


def test_words_of_a_feel_are_the_style() -> None:
    for line in (
        "Kelp Road - in D - 4/4 - 100 bpm - medium swing", "Kelp Road\nmedium swing",
        "Kelp Road\nin D, feel: medium swing", "Kelp Road\nStyle: medium swing",
    ):  # fmt: skip
        found = read_message(f"{line}\n| D | A7 |")
        assert (found.title, found.style) == ("Kelp Road", "medium swing")
        assert Tune.of_message(found).style == "medium swing"


@pytest.mark.parametrize(
    "remark", ["bass: please bow", "Low G: only this", "all: hush", "NB: slow"]
)
def test_a_line_to_players_is_not_sung(remark: str) -> None:
    found = read_message(f"D  G\nBoil the water\n{remark}\nA7  D\n{remark}\npour it")
    sung = " ".join(text for part in found.sections for bar in part.bars for text in bar.lyric)
    assert sung == "Boil the water pour it"
    assert [what.partition(": ")[2] for about, what in found.told if about == "left out"] == [
        remark, remark,
    ]  # fmt: skip


def test_what_may_say_the_order_is_doubted_where_it_is_left_out() -> None:
    found = read_message("Verse:\n| D | A7 |\nthen the bridge, end on D\nsee you, Jo")
    assert found.doubts[-1] == (
        "line 3, column 1: 'then the bridge, end on D' is left out, and may say what is played "
        "when; type the sections in order: Form: Verse"
    )


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("form ABA, last time slow down", ("A part", "B part", "A part")),
        ("Form: AABB", ("A part", "B part")),  # as the repeats say already
        ("Form: AAB", ("A part", "B part")),  # each A is a pass
        ("play the ballad", ("A part", "B part")),
    ],
)
def test_letters_of_a_form_name_parts(line: str, order: tuple[str, ...]) -> None:
    text = f"Key: G\nA part (x2)\n| G | D7 |\n\nB part\n|: C | D7 :|\n\n{line}"
    tune = Tune.parse(text)
    assert tune.order == order and not any("section" in doubt for doubt in tune.doubts)


def test_a_form_with_a_missing_part_says_what_to_type() -> None:
    found = read_message("Key: C\nA: | C | G7 |\nB: | F | C |\nForm: ABAC")
    (doubt,) = found.doubts
    assert doubt.endswith("missing section, C; the sections are A, B; type C: before the bars of C")


def test_keys_are_told_with_printed_signs() -> None:
    for text in ("Key: Bb\n| Bb | F7 |", "| Bb | Gm | Eb | F7 | Bb |"):
        said = read_message(text)
        assert dict(said.told)["key"].startswith("B♭ major")
        assert not any("Bb major" in each for each in (*said.doubts, *dict(said.told).values()))
    assert "B♭ dorian is taken as B♭ minor" in read_message("in Bb dorian\n| Bbm | Eb7 |").doubts[0]


def test_a_verse_whose_bars_other_verses_have_has_no_number() -> None:
    """Verse 1 and 2 over the same chords are one section, Verse; other names stay as typed.

    Common practice, no source.
    """
    rows = "Verse 1\n| G | D7 |\nsing it low\nChorus\n| C | G |\nVerse 2\nsing it high\n"
    assert Tune.parse(rows).order == ("Verse", "Chorus", "Verse")
    ordered = "Form: Verse 1, Chorus, Verse 2, Chorus, Verse 1\n" + rows
    assert Tune.parse(ordered).order == ("Verse", "Chorus", "Verse", "Chorus", "Verse")
    own = rows.replace("sing it high", "| G | A7 |")
    assert Tune.parse(own).order == ("Verse 1", "Chorus", "Verse 2")
    taken = rows + "Verse\n| F | C7 |\n"
    assert Tune.parse(taken).order == ("Verse 1", "Chorus", "Verse 1", "Verse")
    assert Tune.parse("Solo 1\n| F | C |\nSolo 2: same chords\n").order == ("Solo", "Solo")
    assert Tune.parse("Verse 1\n| F | C |\nCoda: as verse 1\n").order == ("Verse 1", "Verse 1")
