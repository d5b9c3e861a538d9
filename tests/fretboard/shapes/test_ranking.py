"""Shapes after shapes: what players do, and what must hold of every list."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.ranking import candidates, in_order_after, rank_shapes
from harmonykit.fretboard.shapes.textures import TEXTURES, textures_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names
from harmonykit.theory.chord import Chord

ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()
# The kinds that chord books print.
KINDS = (
    " m 7 m7 maj7 6 m6 mb5 dim7 m7b5 + sus2 sus4 7sus4 add9 9 m9 maj9 6/9 11 13 7b9 7#9 7#5 7b5 5"
).split(" ")
chords = st.builds(Chord.of, st.sampled_from(ROOTS), st.sampled_from(["m", "7", "m7", "maj7", "6"]))


@pytest.mark.parametrize("row", rows("usual_shapes"), ids=lambda row: row["chord"])
def test_what_chord_books_print_is_in_the_first_quarter(row: dict[str, str]) -> None:
    found = rank_shapes(row["chord"], row["instrument"])
    place = found.index(Voicing.parse(row["frets"], row["instrument"])) + 1
    assert place <= -(-len(found) // 4)


# Other tunings of the guitar, which take longest, are among the long tests but for one.
NECKS = [
    pytest.param(name, marks=pytest.mark.long)
    if name.startswith("guitar ") and name != "guitar DADGAD"
    else name
    for name in names()
]


@pytest.mark.parametrize("name", NECKS)
def test_every_instrument_has_shapes_for_every_usual_chord(name: str) -> None:
    neck = Instrument.named(name)
    for root in ("Db", "E"):
        for kind in KINDS:
            chord = Chord.of(root, kind)
            assert find_voicings(chord, neck) or candidates(chord, neck), chord


# Common practice, no source: where a player goes from here.
@pytest.mark.parametrize(
    ("before", "symbol", "frets", "among"),
    [
        ("x-5-7-5-6-x", "C7", "x-3-5-3-5-x", 3),  # down a whole step, the same grip
        ("x-5-3-5-x-x", "G7", "3-x-3-4-x-x", 2),  # ii to V in shells: the guide tones fall
        ("3-x-3-4-x-x", "Cmaj7", "x-3-2-4-x-x", 2),  # V to I in shells
        ("x-x-5-5-6-5", "G7", "x-x-3-4-3-3", 4),  # ii to V in drop 2 near by
        ("8-x-8-9-8-x", "F7", "8-x-7-8-6-x", 2),  # drop 3: the bass stays, the rest falls
        ("3-x-3-4-5-x", "Cmaj9", "3-x-2-4-3-x", 3),  # V13 to I over one bass
        ("x-5-3-5-5-x", "G13", "3-x-3-4-5-x", 2),  # ii9 to V13: the bass a fifth down
        ("x-x-3-4-x-x", "C7", "x-x-2-3-x-x", 1),  # guide tones: a half step down
        ("x-3-2-0-1-0", "F", "1-3-3-2-1-1", 2),  # a beginner's C to F
        ("x-3-2-0-1-0", "G7", "3-2-0-0-0-1", 2),
        ("x-3-2-0-1-0", "Am", "x-0-2-2-1-0", 2),
        ("1-3-3-2-1-1", "Bb", "x-1-3-3-3-1", 2),
    ],
)
def test_where_a_guitarist_goes_next(before: str, symbol: str, frets: str, among: int) -> None:
    found = rank_shapes(symbol, "guitar", after=before)
    assert Voicing.parse(frets, "guitar") in found[:among]


@pytest.mark.parametrize(
    ("before", "symbol", "frets"),
    [
        ("0003", "F", "2010"),
        ("2010", "G7", "0212"),
        ("0212", "C", "0003"),
        ("2222", "E7", "1202"),
        ("2220", "A7", "0100"),
    ],
)
def test_what_was_counted_on_guitars_leaves_the_ukulele_its_open_strings(
    before: str, symbol: str, frets: str
) -> None:
    """Common practice, no source: the first shapes of every method."""
    assert rank_shapes(symbol, "ukulele", after=before)[0] == Voicing.parse(frets, "ukulele")


@settings(max_examples=20)
@given(chords, chords, st.sampled_from(["guitar", "ukulele", "baritone ukulele"]), st.data())
def test_every_shape_stands_once_is_held_and_sounds_its_chord(
    first: Chord, chord: Chord, name: str, data: st.DataObject
) -> None:
    """An order loses and adds nothing but the shape before, whatever comes before."""
    neck = Instrument.named(name)
    before = data.draw(st.sampled_from(candidates(first, neck)[:30]))
    found = rank_shapes(chord, neck, after=before)
    assert len(set(found)) == len(found)
    assert set(found) == set(candidates(chord, neck)) - {before}
    hand = Limits(max_fret=15)
    for shape in found[:20]:
        assert can_hold(shape.frets, neck, hand)
        assert shape.pcs <= chord.pcs


@pytest.mark.parametrize("texture", TEXTURES)
def test_asked_for_a_texture_each_shape_has_it(texture: str) -> None:
    chord = Chord.parse("C" if texture in ("spread", "tenths") else "Cm7")
    found = rank_shapes(chord, "guitar", texture=texture)
    assert texture == "tenths" or found
    assert all(texture in textures_of(shape, chord) for shape in found)


def test_a_voiced_texture_stays() -> None:
    """The evidence: on both guitarists the strings that sound stayed above all."""
    chord = Chord.parse("F7")
    for digits in ("x-3-5-3-4-x", "x-x-5-5-4-6"):
        found = rank_shapes(chord, "guitar", after=digits)[:3]
        assert [textures_of(shape, chord)[0] for shape in found] == ["drop 2"] * 3


def test_weights_of_one_s_own_change_the_order() -> None:
    """With the hand's way alone the nearest place on the neck comes first."""
    before, chord = Voicing.parse("xx6766", "guitar"), Chord.parse("Eb7")
    drops = [v for v in candidates(chord, before.instrument) if v.frets[:2] == (None, None)]
    drops = [v for v in drops if textures_of(v, chord)[0] == "drop 2"]
    found = in_order_after(before, chord, drops, (0.0, 0.0, -1000.0, 0.0, 0.0))
    middle = [sum(f for f in v.frets if f) / 4 for v in found]
    assert abs(middle[0] - 6.25) == min(abs(m - 6.25) for m in middle)


def test_what_cannot_be_asked_is_refused() -> None:
    with pytest.raises(HarmonyError, match="is not a texture"):
        rank_shapes("C7", "guitar", texture="block")
    with pytest.raises(HarmonyError, match="is for ukulele"):
        rank_shapes("C7", "guitar", after=Voicing.parse("0003", "ukulele"))


# Where HARMONYKIT_EVIDENCE names the folder of the collections, which are not in this project.
FOLDER = os.environ.get("HARMONYKIT_EVIDENCE", "")

if FOLDER:

    @pytest.mark.long
    def test_the_figures_are_those_that_were_wanted() -> None:
        """Half of the data of Keating & Casey 2024."""
        sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "shared" / "evidence"))
        import fit_shapes

        choices = fit_shapes.read_choices(Path(FOLDER))
        assert len(choices) == 98
        assert all(choice.taken >= 0 for choice in choices)
        places = fit_shapes.left_out(
            choices, range(5), lambda choice: fit_shapes.GROUPS[choice.progression]
        )
        assert fit_shapes.reciprocal(places)[0] >= 0.8


# Common practice, no source: of flat nine, sharp nine, sharp eleven and flat thirteen one at least
# sounds, or the chord is a plain seventh.
@pytest.mark.parametrize("root", ["C", "Eb", "G"])
@pytest.mark.parametrize("instrument", ["ukulele", "mandolin", "guitar", "five-string banjo"])
def test_an_altered_dominant_sounds_an_altered_tone(root: str, instrument: str) -> None:
    chord = Chord.parse(f"{root}7alt")
    altered = {(chord.root.pitch_class + above) % 12 for above in (1, 3, 6, 8)}
    for shapes in (find_voicings(chord, instrument), rank_shapes(chord, instrument)):
        assert shapes
        assert all(altered & set(shape.pcs) for shape in shapes)
