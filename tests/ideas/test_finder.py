"""The finder: it finds what is taught, lists nothing false, and puts the useful first."""

from __future__ import annotations

import re
from functools import cache

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.ideas.finder import discover
from harmonykit.ideas.finding import Finding
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet

EIGHT = ("dim7", "+", "7b5", "m7b5", "sus4", "6", "whole tone", "half-whole")
SYMBOL = re.compile(r"\b[A-G][♭♯]?(?:°7|m7♭5|m7|maj7|m6|m|7♭5|7|6|\+)?(?![A-Za-z♭♯0-9°+])")


@cache
def found(source: str) -> tuple[Finding, ...]:
    return discover(source, "ukulele")


def said(source: str, *words: str) -> Finding:
    """Return the finding whose statement has these words; fail where there is none or several."""
    (one,) = [f for f in found(source) if all(word in f.statement for word in words)]
    return one


def plain(symbol: str) -> Chord:
    return Chord.parse(symbol.replace("♭", "b").replace("♯", "#").replace("°", "dim"))


@pytest.mark.parametrize("source", EIGHT)
def test_ten_ideas_for_each_of_eight_sources(source: str) -> None:
    ideas = found(source)
    assert len(ideas) >= 10
    assert len({one.statement for one in ideas}) == len(ideas)
    for one in ideas:
        assert one.statement.endswith(".")
        assert one.proof.endswith(".")
        assert one.payoff > 0


@pytest.mark.parametrize("source", [*EIGHT, "guitar"])
def test_each_idea_says_what_is_nearly_so(source: str) -> None:
    for one in discover("dim7", "guitar") if source == "guitar" else found(source):
        assert one.near_miss.endswith("."), one
        assert one.near_miss[0].isupper() or one.near_miss[0].isdigit()


@pytest.mark.parametrize(
    ("typed", "kind"),
    [("aug", "+"), ("augmented triad", "+"), ("half-diminished", "m7b5"), ("dim", "dim7"),
     ("Diminished sevenths", "dim7"), ("C octatonic half-whole", "half-whole")],
)  # fmt: skip
def test_a_kind_is_read_as_people_type_it(typed: str, kind: str) -> None:
    assert discover(typed) == discover(kind)


def test_grips_count_where_a_class_that_knows_open_chords_has_to_learn_them() -> None:
    """By hand: E7 (1202) and G7 (0212) are known; B°7, D♭7 and B♭7 have no open string."""
    assert said("Bdim7", "lowered by a half step").ease.new_grips == 3
    assert said("Bdim7", "1-2-1-2 to 0-0-0-3").ease.new_grips == 1
    assert said("C6", "C6 becomes A7 when C rises by a half step").ease.new_grips == 1
    # A class that knows 1-2-1-2, at any fret, and G7, but no E7.
    ours = hk.tune.ClassFile.of("Ours", "ukulele", "F#dim7 2323", "G7 0212")
    found_for = discover("Bdim7", "ukulele", knows=ours)
    (one,) = [f for f in found_for if "lowered by a half step" in f.statement]
    assert one.ease.new_grips == 3


@pytest.mark.parametrize("source", EIGHT)
def test_the_first_ten_are_not_of_one_sort(source: str) -> None:
    kinds = [one.kind for one in found(source)[:10]]
    assert len(set(kinds)) >= 5
    assert max(map(kinds.count, kinds)) <= 5


def test_it_finds_what_is_taught_of_the_diminished_seventh() -> None:
    """Cohn 2012, ch. 7, for the neighbours; the others by arithmetic and common practice."""
    assert (
        "there are three different transpositions, not twelve"
        in said("Bdim7", "moved up").statement
    )
    dominants = said("Bdim7", "lowered by a half step")
    assert "B♭7, D♭7, E7 and G7" in dominants.statement
    assert "The note that moves becomes the new root" in dominants.statement
    assert dominants.rarity == 1
    sixths = said("Bdim7", "raised by a half step")
    assert all(name in sixths.statement for name in ("Fm6", "A♭m6", "Bm6", "Dm6 = Bm7♭5"))
    home = said("Bdim7", "as a dominant it resolves to")
    assert "G♭, A, C and E♭" in home.statement
    assert "D♭7 with G7 and E7 with B♭7" in said("Bdim7", "two tritone pairs").statement
    scales = said("Bdim7", "Five kinds of chord")
    assert "five such scales" in scales.statement
    assert "octatonic" in scales.statement
    assert "Cmaj7" in scales.near_miss


def test_it_finds_the_six_neighbours_of_the_augmented_triad() -> None:
    """Cohn 2012, ch. 4: three major and three minor triads."""
    six = said("C+", "Six triads lie a half step away")
    named = {plain(name).pcs for name in SYMBOL.findall(six.statement.split(":")[1])}
    assert named == {plain(name).pcs for name in ("C", "E", "Ab", "Fm", "Am", "C#m")}
    # By hand: C major is a half step from C minor (E to E flat) and E minor (C to B) alone.
    assert six.near_miss == "C has two such triads."
    assert "F, A and D♭" in said("C+", "dominant in three keys").statement


def test_one_sound_with_two_names_and_one_grip_with_four() -> None:
    """Common practice, no source: C6 is Am7; Dm6 is Bm7♭5, and G9 without its root."""
    assert "C6 and Am7 are the same notes" in said("C6", "the same notes").statement
    grip = said("Bm7b5", "four chords, one grip").statement
    assert grip.startswith("The Bm7♭5 grip 2-2-1-2 is")
    assert all(name in grip for name in ("Dm6 over D", "Bm7♭5 over B", "G9 over G", "over D♭"))


def test_three_fresh_facts() -> None:
    """By arithmetic: twelve notes shared out; a grip on two tunings; three fall and one rises."""
    for source, rest in (("C6", ("B°7", "F♯6")), ("C7", ("B°7", "F♯m6"))):
        one = said(source, "Twelve notes, once each")
        assert all(name in one.statement for name in rest)
        named = [plain(each).pcs for each in (source, *rest)]
        assert sum(map(len, named)) == len(named[0] | named[1] | named[2]) == 12
    assert "and drop 2 with a low G." in said("C6", "One grip, two sounds").statement
    for shape in ("0-2-1-2 (G7)", "2-2-1-2 (Dm6)"):
        own = said(shape.split()[0], "One grip, two sounds").statement
        assert own.startswith(f"One grip, two sounds: {shape} is in close position")
    step = said("Bdim7", "1-2-1-2 to 0-0-0-3")
    assert "three voices fall and one rises" in step.statement


def test_whole_tone_and_half_whole() -> None:
    """By arithmetic: six dominants share a whole-tone scale, four a half-whole one."""
    assert "Six dominants" in said("whole tone", "dominants share").statement
    assert "the notes of two augmented triads" in said("whole tone", "alternates the").statement
    assert "Four dominants" in said("half-whole", "dominants share").statement
    assert "the notes of two diminished sevenths" in said("half-whole", "alternates the").statement
    assert "D°7" in said("half-whole", "leaves out").statement


@pytest.mark.parametrize(
    "source",
    [
        *EIGHT,
        "C7",
        *(
            pytest.param(one, marks=pytest.mark.long)
            for one in ("C", "Am", "Cmaj7", "G7b9", "C#m7b5")
        ),
    ],
)
def test_chords_of_one_moved_note_are_one_note_away(source: str) -> None:
    """By arithmetic, from the proofs: each says which note moves, and what it is then."""
    for one in found(source):
        if one.kind != "turns into":
            continue
        for line in one.proof.rstrip(".").split("; "):
            start, note, end, name = re.fullmatch(
                r"(\S+) with (\S+) moved to (\S+) is (.+?)(?: = .+)?", line
            ).groups()  # type: ignore[union-attr]
            before, after = plain(start).pcs, plain(name).pcs
            pcs = [hk.Note.parse(n.replace("♭", "b").replace("♯", "#")
                                 .replace("𝄫", "bb").replace("𝄪", "##")).pitch_class
                   for n in (note, end)]  # fmt: skip
            assert before - PcSet.of(pcs[0]) | PcSet.of(pcs[1]) == after
            assert (pcs[1] - pcs[0]) % 12 in (1, 2, 10, 11)


@pytest.mark.parametrize("source", [*EIGHT[:6], "C7", "Dm6"])
def test_shapes_sound_what_is_said(source: str) -> None:
    for one in found(source):
        if one.kind == "turns into" and one.ease.shapes:
            start, *after = one.ease.shapes
            first = hk.Voicing.parse(start, "ukulele")
            names = [re.search(r" is (\S+?)(?: =|$)", line) for line in
                     one.proof.rstrip(".").split("; ")]  # fmt: skip
            wanted = [plain(name[1]).pcs for name in names if name]
            assert [hk.Voicing.parse(each, "ukulele").pcs for each in after] == wanted
            assert first.pcs == plain(one.proof.split(" ")[0]).pcs


def test_places_are_in_the_tune() -> None:
    tune = hk.read_tune("heron_landing")
    ideas = discover("Bdim7", "ukulele", [tune])
    chords = {(c.bar, c.chord.unicode) for c in tune.changes if c.chord}
    spots = [spot for one in ideas for spot in one.spots]
    assert spots
    assert {(spot.bar, spot.chord) for spot in spots} <= chords
    home = next(one for one in ideas if "as a dominant it resolves" in one.statement)
    assert all(plain(spot.chord.split("/")[0]).is_dominant for spot in home.spots)


def test_tunes_change_the_order() -> None:
    """A tune without dominants has no place for what stands for them."""
    calm = hk.Tune.parse("| C6 | Am7 | C6 | Am7 |")
    ideas = discover("Bdim7", "ukulele", [calm])
    home = next(one for one in ideas if "as a dominant it resolves" in one.statement)
    assert not home.spots
    assert ideas.index(home) > [one.statement for one in found("Bdim7")].index(home.statement)


def test_a_tune_is_a_source_too() -> None:
    ideas = discover(hk.Tune.parse("| C6 | G7 | C6 | G7 |"), "ukulele")
    assert any("C6 and Am7" in one.statement for one in ideas)
    assert any("G7 and D♭7 share B and F" in one.statement for one in ideas)


def test_without_an_instrument_no_shapes_are_shown() -> None:
    assert not any(one.ease.shapes for one in discover("C+"))


@pytest.mark.parametrize("wrong", ["", "Xyz", None, 7, "C C", "0 1 2 3 4 5 6 7 8 9 10 11", [1]])
def test_what_cannot_be_read_is_said(wrong: object) -> None:
    with pytest.raises(HarmonyError):
        discover(wrong, "ukulele")  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="not a tune"):
        discover("C", "ukulele", ["no tune"])  # type: ignore[list-item]


def test_what_moves_on_the_strings_is_told_string_by_string() -> None:
    """By the tuning: 0-1-0-0 on G C E A is G C♯ E A, and 2-2-2-0 is A D F♯ A."""
    (one,) = (each for each in discover("A7", "ukulele low g") if "0-1-0-0 to" in each.statement)
    assert "three voices rise and one stays" in one.statement
    assert one.proof == "String by string: G rises to A; C♯ rises to D; E rises to F♯; A stays."
    # Three that rise while one stays are what is said, not nearly so.
    assert "leaps" in one.near_miss and "rise" not in one.near_miss
