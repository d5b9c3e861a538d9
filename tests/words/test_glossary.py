"""The glossary: each move has its word, each example is what it says, each line is short."""

from __future__ import annotations

import re

import pytest

from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.styles import STYLES
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.words.glossary import glossary, holding, label, term

MOST_WORDS = 25


@pytest.mark.parametrize("move", MOVES)
def test_each_move_is_a_term(move: str) -> None:
    assert term(move).name == move


def test_the_styles_stand_in_their_line() -> None:
    assert term("style").symbol.split(", ") == list(STYLES)


@pytest.mark.parametrize("found", glossary(), ids=lambda found: str(found.name))
def test_a_meaning_is_short_and_a_sentence(found: object) -> None:
    means = found.means  # type: ignore[attr-defined]
    assert means[0].isupper() and means.endswith(".")
    assert all(len(one.split()) <= MOST_WORDS for one in re.split(r"(?<=[.;:]) ", means))


def test_no_name_is_there_twice() -> None:
    names = [name for each in glossary() for name in {each.name, each.label, *each.also}]
    assert len(names) == len(set(names))
    assert all(each.name.isascii() for each in glossary())


# Sounding notes counted on paper from C = 0.
@pytest.mark.parametrize(
    ("name", "shown", "notes"),
    [
        ("chord synonym", ("C6", "Am7"), {0, 4, 7, 9}),
        ("half-diminished", ("Am7♭5", "Aø"), {9, 0, 3, 7}),
        ("rootless ninth", ("Dm6",), {2, 5, 9, 11}),
        ("rootless dominant", ("B°7",), {11, 2, 5, 8}),
        ("minor sixth chord", ("Cm6",), {0, 3, 7, 9}),
    ],
)
def test_an_example_sounds_as_it_says(name: str, shown: tuple[str, ...], notes: set[int]) -> None:
    for symbol in shown:
        assert symbol in term(name).symbol
        assert set(Chord.parse(symbol).pcs) == notes


# What a student asks for in the first lessons: common practice, no source.
@pytest.mark.parametrize(
    "name",
    [
        "tritone", "interval", "octave", "triad", "inversion", "root", "bass", "key", "mode",
        "scale", "tonic", "dominant", "subdominant", "leading tone", "ii–V–I", "secondary dominant",
        "circle of fifths", "relative minor", "modulation", "transposition", "diatonic",
        "chromatic", "arpeggio", "voicing", "guide tone", "tension", "avoid note", "cadence",
        "turnaround", "barre", "capo", "fret", "tuning", "strum", "metre", "beat", "bar", "swing",
        "syncopation", "form", "coda", "vamp", "melody", "triads", "modes", "passing tones",
        "enharmonic", "accidentals", "chord symbol", "slash chord", "Dorian", "Lydian dominant",
        "whole-tone scale", "melodic minor", "pentatonic", "blues", "re-entrant", "low G",
    ],
)  # fmt: skip
def test_basic_terms_are_known(name: str) -> None:
    assert term(name).means


# Patterns as in Wikipedia, "List of musical scales and modes" and "Bebop scale".
@pytest.mark.parametrize(
    ("name", "pattern"),
    [
        ("major scale", "2212221"), ("natural minor", "2122122"), ("harmonic minor", "2122131"),
        ("melodic minor", "2122221"), ("dorian", "2122212"), ("mixolydian", "2212212"),
        ("lydian", "2221221"), ("lydian dominant", "2221212"), ("altered scale", "1212222"),
        ("whole-tone scale", "222222"), ("octatonic scale", "12121212"), ("pentatonic", "22323"),
        ("bebop scale", "22122111"),
    ],
)  # fmt: skip
def test_a_scale_shows_its_published_pattern(name: str, pattern: str) -> None:
    notes = [Note.parse(each).pitch_class for each in term(name).symbol.split()]
    steps = [(b - a) % 12 for a, b in zip(notes, notes[1:] + notes[:1], strict=True)]
    assert "".join(map(str, steps)) == pattern


def test_the_four_dominants_are_the_published_ones() -> None:
    """Of B°7: B♭7, D♭7, E7 and G7 (Cohn 2012, ch. 7)."""
    assert sorted(re.findall(r"[A-G]♭?7(?=,|$)", term("four dominants").symbol)) == [
        "B♭7", "D♭7", "E7", "G7",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Tritone Substitution", "tritone substitution"),
        ("rootless dominant ♭9", "rootless dominant"),
        ("rootless dominant b9", "rootless dominant"),
        ("tritone partner", "tritone substitution"),
        ("leading tone diminished", "leading-tone diminished"),
        # Other names of the trade: common practice, no source.
        ("plagal", "plagal cadence"),
        ("comp", "comping"),
        ("head", "head"),
        ("chart", "chart"),
        ("12-bar blues", "twelve-bar blues"),
        ("tab", "tablature"),
        ("half cadence",) * 2,
        ("quartal harmony", "quartal voicing"),
        ("anacrusis", "pick-up bar"),
        ("2nd inversion", "second inversion"),
        ("modal mixture", "modal interchange"),
        ("Neapolitan sixth", "Neapolitan chord"),
        ("German augmented sixth", "German sixth"),
        ("Coltrane changes", "major-third cycle"),
        ("three-tonic changes", "major-third cycle"),
        ("hemiolas", "hemiola"),
        ("rescues", "easier grip"),
    ],
)
def test_a_term_is_found_as_it_is_typed(typed: str, name: str) -> None:
    assert term(typed).name == name


def test_an_unknown_term_is_met_with_near_ones() -> None:
    with pytest.raises(HarmonyError, match="unknown term 'suspencion'") as caught:
        term("suspencion")
    assert "'suspension'" in caught.value.mend


def test_a_near_term_is_offered_once() -> None:
    with pytest.raises(HarmonyError) as caught:
        term("Swiss sixth")
    offered = caught.value.mend.split(" or ")
    assert len(offered) == len(set(offered)) > 1


# The three augmented sixth chords in C: Open Music Theory, "Augmented Sixth Chords".
@pytest.mark.parametrize(
    ("name", "notes"),
    [("Italian sixth", "A♭ C F♯"), ("French sixth", "A♭ C D F♯"), ("German sixth", "A♭ C E♭ F♯")],
)
def test_the_augmented_sixths_are_the_published_ones(name: str, notes: str) -> None:
    assert term(name).symbol == f"{notes} – G"


def test_a_word_finds_the_terms_that_have_it() -> None:
    found = {each.name for each in holding("walk")}
    assert {"ascending walk", "descending walk"} <= found
    assert not [*holding("zither")]


def test_a_label_is_how_it_is_printed() -> None:
    assert label("rootless dominant") == "rootless dominant ♭9"
    assert label("as written") == "as written"
