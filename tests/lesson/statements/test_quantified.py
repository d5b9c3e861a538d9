"""What is said of every, some, none, most or so many of a group, about four bars written by hand.

Shapes are on g4 C4 E4 A4: 0003 is G C E C, 2000 A C E A, 0212 G D F B, 3211 Bb D F Bb, x013 muted,
C, F and C.  Notes of chords are worked out by hand (common practice, no source).
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from small_arrangements import Arranged
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import quantified
from harmonykit.lesson.statements.groups import TOLD, Around, group_of
from harmonykit.lesson.statements.kinds import Stated, call_text
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
QUANTIFIERS = ("every", "some", "none", "most", "just")
# C, C sharp diminished that was added, D minor, G seventh, silence; and C again in another shape.
BARS = "C=0003 C#dim7:2=0101 | Dm=2210 G7:2=0212 | NC | C=0003 C:2=5433"


@pytest.fixture(scope="module")
def around(arranged: Arranged) -> Around:
    way = arranged(BARS)
    steps = list(way.steps)
    steps[1] = replace(steps[1], written=Chord.parse("C"), move="leading-tone diminished")
    way = replace(way, steps=tuple(steps))

    def level(number: int) -> Arrangement:
        assert number == 2
        return way

    return Around(UKULELE, way.tune, level)


def names(around: Around, words: str) -> list[str]:
    return [member.name for member in group_of(words, around).members]


def test_groups_have_the_members_that_their_words_tell(around: Around) -> None:
    told = {
        "aug": ["C+", "D♭+", "D+", "E♭+"],
        "diminished seventh": ["C°7", "D♭°7", "D°7"],
        "notes of Bdim7": ["B", "D", "F", "A♭"],
        "notes of C/D": ["D", "C", "E", "G"],
        "chords D7 F7 Ab7": ["D7", "F7", "A♭7"],
        "chords of the tune": ["C", "C♯°7", "Dm", "G7"],
        "chords of level 2": ["C in bar 1", "C♯°7 in bar 1", "Dm in bar 2", "G7 in bar 2",
                              "C in bar 4"],
        "added chords of level 2": ["C♯°7 in bar 1"],
        "shapes of level 2": ["0-0-0-3", "0-1-0-1", "2-2-1-0", "0-2-1-2", "5-4-3-3"],
        "changes of level 2": ["0-0-0-3 to 0-1-0-1", "0-1-0-1 to 2-2-1-0", "2-2-1-0 to 0-2-1-2",
                               "0-0-0-3 to 5-4-3-3"],
        "strings of x013": ["string C", "string E", "string A"],
        "strings A g of x013": ["string A", "string g"],
        "  strings   of 0003 ": ["string g", "string C", "string E", "string A"],
    }  # fmt: skip
    for words, members in told.items():
        assert names(around, words) == members
    # All twelve roots, spelled as they usually are.
    assert len(names(around, "dominant seventh")) == 12
    # A finger of every change is told with the shape that it goes to.
    fingers = group_of("fingers of level 2", around).members
    assert {each.name.split(" to ")[1] for each in fingers} <= {
        "0-1-0-1", "2-2-1-0", "0-2-1-2", "5-4-3-3",
    }  # fmt: skip
    assert names(around, "fingers from 2213 to 2212") == [f"finger {n}" for n in (1, 2, 3, 4)]


def test_silence_breaks_what_follows(around: Around) -> None:
    """G7 is followed by silence, the last C by nothing; C minor's bar 4 is one chord."""
    placed = {each.name: each.thing for each in group_of("chords of level 2", around).members}
    after = {name: thing.after and thing.after.chord.symbol for name, thing in placed.items()}
    assert after == {
        "C in bar 1": "C#dim7", "C♯°7 in bar 1": "Dm", "Dm in bar 2": "G7", "G7 in bar 2": None,
        "C in bar 4": None,
    }  # fmt: skip
    assert all(thing.sung is None for thing in placed.values())


@pytest.mark.parametrize(
    ("words", "one", "many", "found"),
    [
        ("aug", "augmented triad", "augmented triads", "tried on all twelve roots"),
        ("notes of Bdim7", "note of B°7", "notes of B°7", "note by note"),
        ("chords D7 F7", "chord among D7 and F7", "chords D7 and F7", "one by one"),
        ("chords of the tune", "chord of Ebb at the Weir", "chords of Ebb at the Weir",
         "read from the tune"),
        ("chords of level 2", "chord at level 2", "chords at level 2",
         "counted in the level as it is played"),
        ("added chords of level 2", "added chord at level 2", "added chords at level 2",
         "counted in the level as it is played"),
        ("shapes of level 2", "shape at level 2", "shapes at level 2",
         "counted in the level as it is played"),
        ("changes of level 2", "change of shape at level 2", "changes of shape at level 2",
         "counted in the level as it is played"),
        ("fingers of level 2", "finger in a change of shape at level 2",
         "fingers in the changes of shape at level 2", "counted in the level as it is played"),
        ("fingers from 2213 to 2212", "finger from 2-2-1-3 to 2-2-1-2",
         "fingers from 2-2-1-3 to 2-2-1-2", "finger by finger"),
        ("strings of x013", "string of x-0-1-3", "strings of x-0-1-3",
         "string by string, three of them"),
        ("strings g C of 2213", "one of the strings g and C of 2-2-1-3",
         "strings g and C of 2-2-1-3", "string by string, two of them"),
    ],
)  # fmt: skip
def test_a_group_is_called_in_words(
    around: Around, words: str, one: str, many: str, found: str
) -> None:
    group = group_of(words, around)
    assert (group.one, group.many, group.found) == (one, many, found)


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("tritone", "'tritone' is not a group"), ("level 2", "'level 2' is not a group"),
        ("chords", "'chords' is not a group"), ("major scale", "'major scale' is not a group"),
        ("notes of C major", "C major is a scale"), ("strings q of 2213", "has no string q"),
        ("added chords of the tune", "'added chords of the tune' is not a group"),
    ],
)  # fmt: skip
def test_what_is_no_group(around: Around, words: str, what: str) -> None:
    with pytest.raises(Exception, match=what):
        group_of(words, around)
    with pytest.raises(LessonError) as caught:
        group_of("tritone", around)
    # What can be typed is named, and each of it is a group.
    assert caught.value.mend == ", ".join(f'"{each}"' for each in TOLD)
    assert all(group_of(each, around).members for each in TOLD)


# A group, what is said of it with its arguments, and the members of which it is so.
SAID: tuple[tuple[str, str, tuple[str | int, ...], tuple[str, ...]], ...] = (
    ("dominant seventh", "contains", ("G",), ("G7",)),
    ("dominant seventh", "holds", ("B", "F"), ("D♭7", "G7")),
    ("dominant seventh", "has the notes of", ("E7",), ("E7",)),
    ("dominant seventh", "has the notes of", ("augmented triad",), ()),
    ("chords D7 F7 C7", "turns into", ("Cdim7",), ("D7", "F7")),
    ("dominant seventh", "resolves to", ("C",), ("D♭7", "G7")),
    ("dominant seventh", "is", ("minor triad",), ()),
    ("chords C6 Am7 F6 C", "has the notes of", ("m7",), ("C6", "Am7", "F6")),
    ("chords C6 Bdim7 F", "has notes", (4,), ("C6", "B°7")),
    ("chords C6 Bdim7 Ab6", "alternates with", ("Bdim7",), ("C6",)),
    ("chords C6 Bdim7 C7", "alternates with", ("diminished seventh",), ("C6", "B°7", "C7")),
    ("chords C F Am", "is", ("minor triad",), ("Am",)),
    ("notes of C", "falls to leave", ("minor triad",), ("C", "E")),
    ("notes of C", "rises to leave", ("augmented triad",), ("G",)),
    ("notes of C", "falls to leave", ("tritone",), ()),
    ("chords of the tune", "contains", ("minor triad",), ("Dm",)),
    ("chords of level 2", "is", ("major triad",), ("C in bar 1", "C in bar 4")),
    ("chords of level 2", "lies a half step below what follows", (),
     ("C in bar 1", "C♯°7 in bar 1")),
    ("chords of level 2", "goes down a fifth", (), ("Dm in bar 2",)),
    ("shapes of level 2", "goes past fret", (3,), ("5-4-3-3",)),
    ("shapes of level 2", "goes past fret", (2,), ("0-0-0-3", "5-4-3-3")),
    ("shapes of level 2", "has an open string", (), ("0-0-0-3", "0-1-0-1", "2-2-1-0", "0-2-1-2")),
    ("shapes of level 2", "has a barre", (), ("5-4-3-3",)),
    ("changes of level 2", "keeps strings", (2,), ("0-0-0-3 to 0-1-0-1", "2-2-1-0 to 0-2-1-2")),
    ("changes of level 2", "keeps strings", (1,),
     ("0-0-0-3 to 0-1-0-1", "2-2-1-0 to 0-2-1-2", "0-0-0-3 to 5-4-3-3")),
    ("fingers from 2213 to 2212", "stays", (), ("finger 1", "finger 2", "finger 3")),
    ("strings of 2213", "sounds", ("F6",), ("string g", "string C", "string E", "string A")),
    ("strings of 2213", "sounds", ("A", "D"), ("string g", "string C")),
    ("strings of 2213", "sounds", ("G",), ()),
    ("strings g C of x013", "sounds", ("C",), ("string C",)),
    ("strings of 0003", "is open", (), ("string g", "string C", "string E")),
    ("strings g C of x013", "is open", (), ("string C",)),
)  # fmt: skip
WORDS = "no one two three four five six seven eight nine ten eleven twelve".split()


def state(around: Around, name: str, *args: str | int) -> Stated:
    return quantified.QUANTIFIERS[name](around, *args)


@pytest.mark.parametrize("case", SAID, ids=lambda case: f"{case[0]} {case[1]} {case[2]}")
def test_a_property_is_true_of_the_members_that_have_it(
    around: Around, case: tuple[str, str, tuple[str | int, ...], tuple[str, ...]]
) -> None:
    of, says, about, having = case
    group = group_of(of, around)
    whole, count = len(group.members), len(having)
    stated = {
        name: state(around, name, *((count,) if name == "just" else ()), of, says, *about)
        for name in QUANTIFIERS
    }
    assert {name: each.holds for name, each in stated.items()} == {
        "every": count == whole, "some": count > 0, "none": count == 0,
        "most": 2 * count > whole, "just": True,
    }  # fmt: skip
    labels = {each.label for each in stated.values()}
    assert len(labels) == 1
    (label,) = labels
    assert label.startswith(f"{count} of {whole} {group.many} ")
    # Of whom it is so is named, five at most.
    found = stated["just"].reason
    shown = list(having[:5])
    if count <= 5:
        text = " and ".join([", ".join(shown[:-1]), shown[-1]]) if count > 1 else "".join(shown)
        assert found == f"{group.found}: {text or 'none'}"
    assert {each.mend for each in stated.values()} == {call_text("just", count, of, says, *about)}
    heads = {0: f"None of the {WORDS[whole]} ", whole: f"All {WORDS[whole]} ", 1: "Exactly one "}
    assert stated["just"].said.startswith(heads.get(count, f"Exactly {WORDS[count]} of the "))
    # One count more is not so.
    wrong = state(around, "just", count + 1, of, says, *about)
    assert not wrong.holds
    assert wrong.sentence.startswith("Not ")
    those = f"of the {group.many}" if re.match(r"chords [A-G]", of) else group.many
    # A counter-example has not the property, an example has it.
    if 0 < count < whole:
        assert stated["every"].sentence.startswith(f"Not every {group.one} ")
        assert stated["none"].sentence.startswith(f"Some {those} ")
        assert stated["some"].sentence.startswith(f"Some {those} ")
        assert stated["every"].reason != stated["none"].reason
        assert not stated["none"].reason.endswith((" is not", " has none", " none stays"))


def test_words_for_none_and_all(around: Around) -> None:
    triad = ("dominant seventh", "contains", "diminished triad")
    assert state(around, "just", 12, *triad).sentence == (
        "All twelve dominant sevenths contain a diminished triad."
    )
    assert state(around, "just", 0, *triad).sentence == (
        "Some dominant sevenths contain a diminished triad."
    )
    assert state(around, "just", 3, *triad).sentence == (
        "Not exactly three of the twelve dominant sevenths contain a diminished triad."
    )
    assert state(around, "just", 1, *triad).reason == (
        "tried on all twelve roots: C7, D♭7, D7, E♭7, E7, and seven more"
    )
    minor = ("dominant seventh", "is", "minor triad")
    assert state(around, "just", 12, *minor).sentence == (
        "Not all twelve dominant sevenths are minor triads."
    )
    assert state(around, "just", 0, *minor).sentence == (
        "None of the twelve dominant sevenths are minor triads."
    )
    # Half is not most.
    two = ("chords C Am", "is", "minor triad")
    assert state(around, "most", *two).sentence == (
        "At most half of the two chords C and Am are minor triads."
    )
    assert state(around, "most", *two).reason == "one by one: 1 of 2"


@pytest.mark.parametrize(
    ("name", "asked", "reason"),
    [
        ("none", ("chords C Am", "is", "minor triad"), "Am is one"),
        ("every", ("chords C Am", "is", "minor triad"), "C is not"),
        ("every", ("chords of level 2", "is", "m"), "C in bar 1 is not"),
        ("every", ("changes of level 2", "keeps strings", 1),
         "from 0-1-0-1 to 2-2-1-0 none stays"),
        ("none", ("changes of level 2", "keeps strings", 1),
         "from 0-0-0-3 to 0-1-0-1 two stay"),
        ("every", ("changes of level 2", "keeps strings", 3),
         "from 0-0-0-3 to 0-1-0-1 two stay"),
        ("every", ("strings g C of x013", "is open"), "string g is muted"),
        ("every", ("strings of 0003", "is open"), "string A is at fret 3"),
        ("none", ("strings of 0003", "is open"), "string g is open"),
        ("every", ("strings g C of x013", "sounds", "C"), "string g sounds nothing"),
        ("every", ("strings of 2213", "sounds", "A"), "string C sounds D"),
        ("every", ("shapes of level 2", "has a barre"), "0-0-0-3 has none"),
        ("none", ("shapes of level 2", "has a barre"), "5-4-3-3 has one"),
        ("none", ("shapes of level 2", "has an open string"), "0-0-0-3 has one"),
        ("every", ("shapes of level 2", "has an open string"), "5-4-3-3 has none"),
        ("every", ("shapes of level 2", "goes past fret", 4), "0-0-0-3 goes to fret 3"),
        ("every", ("chords of level 2", "goes down a fifth"), "C in bar 1 goes to C♯°7"),
        ("every", ("chords of level 2", "lies a half step below what follows"),
         "Dm in bar 2 goes to G7"),
        ("some", ("chords of level 2", "has notes", 2),
         "counted in the level as it is played: 0 of 5"),
        ("some", ("dominant seventh", "has notes", 1),
         "tried on all twelve roots; it has four, C, E, G and B♭"),
        ("none", ("dominant seventh", "has notes", 1),
         "tried on all twelve roots; it has four, C, E, G and B♭"),
        ("every", ("fingers from 2213 to 2212", "stays"), "finger 4 slides"),
        ("some", ("chords C6 Ab6", "alternates with", "augmented triad"),
         "one by one; C6 alternates with none of them"),
        ("every", ("chords C7 F6", "alternates with", "diminished seventh"),
         "one by one; C7, D°7 alternate"),
    ],
)  # fmt: skip
def test_the_reason_is_an_example_or_the_contrary(
    around: Around, name: str, asked: tuple[str | int, ...], reason: str
) -> None:
    assert state(around, name, *asked).reason == reason


@pytest.mark.parametrize(
    ("asked", "one", "many"),
    [
        (("chords C", "contains", "F"), "contains the triad F", "contain the triad F"),
        (("chords C", "contains", "Fm"), "contains Fm", "contain Fm"),
        (("chords C", "contains", "tritone"), "contains a tritone", "contain a tritone"),
        (("chords C", "holds", "F#"), "holds F♯", "hold F♯"),
        (("chords C", "has notes", 1), "has one note", "have one note"),
        (("chords C", "has the notes of", "F"), "has the notes of F", "have the notes of F"),
        (("chords C", "has the notes of", "m"), "has the notes of a minor triad",
         "have the notes of a minor triad"),
        (("chords C", "turns into", "F7"),
         "turns into F7 when one note moves a half or a whole step",
         "turn into F7 when one note moves a half or a whole step"),
        (("chords C", "resolves to", "B"), "resolves to B as a dominant",
         "resolve to B as dominants"),
        (("chords C", "alternates with", "F"), "alternates with F in a scale",
         "alternate with F in a scale"),
        (("chords C", "alternates with", "m"), "alternates with a minor triad in a scale",
         "alternate with a minor triad in a scale"),
        (("chords C", "is", "aug"), "is an augmented triad", "are augmented triads"),
        (("notes of C", "rises to leave", "7"),
         "leaves a dominant seventh when it rises a half step",
         "leave a dominant seventh when one of them rises a half step"),
        (("notes of C", "falls to leave", "7"),
         "leaves a dominant seventh when it falls a half step",
         "leave a dominant seventh when one of them falls a half step"),
        (("shapes of level 2", "goes past fret", 7), "goes past fret 7", "go past fret 7"),
        (("changes of level 2", "keeps strings", 4), "keeps at least four strings on their frets",
         "keep at least four strings on their frets"),
        (("changes of level 2", "keeps strings", 1), "keeps at least one string on its fret",
         "keep at least one string on its fret"),
        (("strings of 2213", "sounds", "Gb", "G"), "sounds G♭ or G", "sound G♭ or G"),
        (("strings of 2213", "sounds", "G7"), "sounds a note of G7", "sound a note of G7"),
    ],
)  # fmt: skip
def test_a_property_is_worded_for_one_and_for_many(
    around: Around, asked: tuple[str | int, ...], one: str, many: str
) -> None:
    group = group_of(str(asked[0]), around)
    assert state(around, "every", *asked).said == f"Every {group.one} {one}"
    those = "of the chords C" if asked[0] == "chords C" else group.many
    assert state(around, "some", *asked).said == f"Some {those} {many}"


@pytest.mark.parametrize(
    ("asked", "what"),
    [
        (("chords C", "holds"), "no note is named"),
        (("strings of 2213", "sounds"), "no chord or note is named"),
        (("chords C", "is", "tritone"), "'tritone' is not a kind of chord"),
        (("notes of C", "falls to leave", "C7"), "'C7' is not a kind of chord"),
        (("", "holds", "C"), "'' is not a group"),
        (("chords C", "stays"), "'stays' cannot be said of chords C"),
        (("chords of level 2", "holds the melody"), "the tune has no melody"),
    ],
)
def test_what_cannot_be_said(around: Around, asked: tuple[str, ...], what: str) -> None:
    with pytest.raises(LessonError, match=what):
        state(around, "every", *asked)


def test_a_melody_is_held_where_each_of_its_notes_is_in_the_chord() -> None:
    """C E over C, then F over C (foreign), G over G7; silence under G7's second half."""
    tune = tune_of("| C | C | G7 |", melody="| C5:2 E5:2 | C5:2 F5:2 | G4:2 r:2 |")
    (way,) = reharmonise(tune, "ukulele", (), k=1)
    around = Around(UKULELE, tune, lambda _: way)
    stated = state(around, "every", "chords of level 1", "holds the melody")
    assert not stated.holds
    assert stated.reason == "C in bar 1 lacks F"
    assert stated.label == "1 of 2 chords at level 1 holds every note of the melody"
    assert state(around, "some", "chords of level 1", "holds the melody").reason.endswith(
        ": G7 in bar 3"
    )
