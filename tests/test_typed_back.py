"""The ``repr`` of a public value is typed back after ``from harmonykit import *``.

The law is its own oracle: Python reads the text, and what comes out equals what went in.
"""

from __future__ import annotations

import inspect
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_tunes import tune_of
from strategies import chords, intervals, names, pitches

import harmonykit as hk
from harmonykit.about.chord import AboutChord
from harmonykit.about.progression import Progression
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import CONTOURS, STYLES
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import DENSITIES, Demands, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import BARRES, Limits
from harmonykit.fretboard.shapes.row_textures import ROW_TEXTURES
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names as shipped
from harmonykit.theory.chord import Chord
from harmonykit.theory.degree import Degree
from harmonykit.theory.key import Key
from harmonykit.theory.modes import SCALES, Scale
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.operation import Operation
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.setclass import SetClass, set_classes
from harmonykit.theory.symbols.dialect import CHOICES, Dialect

degrees = st.builds(
    Degree, st.sampled_from((1, 2, 3, 4, 5, 6, 7, 9, 11, 13)), st.sampled_from((0, 0, 0, -1, 1, -2))
)
# Any degrees at all, most of which no symbol says.
odd_chords = st.builds(
    Chord.build, names, st.lists(degrees, min_size=1, max_size=7), st.none() | names
)
strings = st.lists(
    pitches.filter(lambda note: 12 <= note.midi <= 108), min_size=3, max_size=10
).map(tuple)
typed = st.builds(
    Instrument,
    name=st.sampled_from(("ukulele", "my own", "it's mine")),
    strings=strings,
    scale_mm=st.sampled_from((350, 381.0, 432.5)),
    frets=st.integers(1, 24),
    family=st.sampled_from(("ukulele", "guitar")),
)
instruments = st.builds(
    lambda known, capo, left: _held(known, capo, left),
    st.sampled_from(shipped()).map(Instrument.named) | typed,
    st.integers(0, 9),
    st.booleans(),
)


def _held(known: Instrument, capo: int, left: bool) -> Instrument:
    try:
        known = known.with_capo(capo)
    except HarmonyError:  # a neck too short for it, or strings too high
        pass
    return known.for_left_hand() if left else known


@st.composite
def voicings(draw: st.DrawFn) -> Voicing:
    instrument = draw(instruments)
    frets = [
        draw(st.sampled_from([None, *(f for f in range(25) if instrument.has_fret(string, f))]))
        for string in range(len(instrument.strings))
    ]
    if all(fret is None for fret in frets):
        frets[0] = 0
    return Voicing(instrument, tuple(frets))


LIMITS = st.builds(
    Limits,
    max_fret=st.integers(0, 24),
    stretch_mm=st.sampled_from((67.0, 80.0, 98.0)),
    barre=st.sampled_from(BARRES),
    thumb=st.booleans(),
)
WEIGHTS = st.builds(Weights, semitone=st.integers(0, 40), clash=st.integers(0, 300))
DEMANDS = st.builds(
    Demands,
    changes_a_bar=st.none() | st.integers(1, 4),
    first=st.none() | voicings(),
    locked=st.frozensets(st.integers(0, 40)),
    no_added_clashes=st.booleans(),
)
KEYS = st.builds(Key, names, st.sampled_from(("major", "minor")))
VALUES: dict[type, st.SearchStrategy[Any]] = {
    AboutChord: st.builds(hk.chord, chords, st.none() | KEYS),
    Chord: chords | odd_chords,
    Degree: degrees,
    Demands: DEMANDS,
    Dialect: st.fixed_dictionaries(
        {}, optional={name: st.sampled_from(known) for name, known in CHOICES.items()}
    ).map(lambda given: Dialect(**given)),
    Instrument: instruments,
    hk.Interval: intervals,
    Key: KEYS,
    Limits: LIMITS,
    hk.Note: names | pitches,
    Operation: st.builds(Operation, st.integers(0, 11), st.sampled_from((1, 5, 7, 11))),
    Progression: st.builds(hk.progression, st.lists(chords, min_size=1, max_size=5), KEYS),
    PcSet: st.builds(PcSet, st.integers(0, 4095)),
    Scale: st.builds(Scale, names, st.sampled_from(sorted(SCALES))),
    SetClass: st.sampled_from(set_classes()),
    SixthDiminished: st.builds(SixthDiminished, names, st.sampled_from(sorted(KINDS))),
    hk.Often: st.sampled_from(("Dm7 G7", "C F", "C7 Gb7")).map(hk.how_often),
    hk.Term: st.sampled_from(hk.glossary()),
    Voicing: voicings(),
    Weights: WEIGHTS,
    Wishes: st.builds(
        Wishes,
        style=st.sampled_from(sorted(STYLES)),
        density=st.sampled_from(DENSITIES),
        texture=st.sampled_from(("", *ROW_TEXTURES)),
        contours=st.lists(st.sampled_from(sorted(CONTOURS)), max_size=3).map(tuple),
        limits=st.none() | LIMITS,
        demands=st.none() | DEMANDS,
        weights=st.none() | WEIGHTS,
        tempo=st.none() | st.integers(40, 240),
        bass_player=st.booleans(),
        name=st.text(max_size=5),
    ),
}
# Each takes long to make.
SLOW = {AboutChord, Progression}
# Why a value cannot be typed back in one line.
NOT_TYPED = {
    "Arrangement": "found by a search: its chords and shapes, each with a reason, fill pages",
    "HarmonyError": "raised, and never compared",
    "Playability": "worked out of a tune or a shape, with its parts",
    "Surprise": "worked out of chords: a line for each change",
    "Tune": "bars of chords and notes; it has a text form of its own (write_tune)",
}


def _typed_back(value: object) -> object:
    scope = {kind.__name__: kind for kind in VALUES}
    exec("from harmonykit import *", scope)
    return eval(repr(value), scope)


def test_every_public_type_is_typed_back_or_named_with_a_reason() -> None:
    public = {name for name in hk.__all__ if inspect.isclass(getattr(hk, name))}
    assert public <= {kind.__name__ for kind in VALUES} | NOT_TYPED.keys()


@pytest.mark.parametrize("kind", VALUES, ids=lambda kind: kind.__name__)
def test_a_value_is_typed_back(kind: type) -> None:
    @settings(max_examples=settings().max_examples // (3 if kind in SLOW else 1))
    @given(VALUES[kind])
    def law(value: object) -> None:
        assert _typed_back(value) == value

    law()


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Chord.parse("Amin7"), "Chord.parse('Am7')"),
        (PcSet.of(0, 3, 6, 9), "PcSet.of(0, 3, 6, 9)"),
        (Voicing.parse("0003", "ukulele"), "Voicing.parse('0-0-0-3', 'ukulele')"),
        (Instrument.named("Ukulele"), "Instrument.named('ukulele')"),
        (
            Instrument.named("guitar").with_capo(3).for_left_hand(),
            "Instrument.named('guitar').with_capo(3).for_left_hand()",
        ),
        (Instrument.parse("C3 G3 D4 A4"), "Instrument.parse('C3 G3 D4 A4')"),
        (SixthDiminished("Ab", "minor"), "SixthDiminished('Ab', 'minor')"),
        (Limits(max_fret=5), "Limits(max_fret=5)"),
        (Dialect(), "Dialect()"),
        (
            tune_of("| C | G7 |"),
            "<Tune 'Bollard Exercise': C major, 4/4, 120 quarter notes a minute, 2 bars>",
        ),
    ],
)
def test_a_value_is_said_in_one_short_line(value: object, text: str) -> None:
    assert repr(value) == text


def test_an_arrangement_says_what_it_is() -> None:
    (best,) = reharmonise(tune_of("| C6 | Dm7 |"), Instrument.named("ukulele"), (), k=1)
    assert repr(best).startswith(
        "<Arrangement of 'Bollard Exercise' for ukulele: 2 chords, 0 added, cost "
    )
