"""Small invented tunes for the tests of the arranging floor: typed ones, and a strategy of them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from harmonykit.arrange.moves import Refused, Setting, Variant, move_named
from harmonykit.arrange.slots import slots_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.text import read_text
from harmonykit.tune.tune import Bar, BarNote, Section, Tune, bar_length, beat_length

METERS = ((4, 4), (3, 4), (6, 8), (5, 4), (2, 4), (2, 2), (12, 8), (9, 8), (7, 8), (3, 8))
SYMBOLS = (
    "C6", "C", "Cmaj7", "C7", "C/E", "C/G", "Dm7", "Dm", "D7", "D7b9", "E7", "Em7b5", "F6", "Fm6",
    "F/G", "G7", "G7/F", "G9", "G7sus4", "A7", "Am7", "Am", "Bdim7", "G#dim7", "Bb7", "Caug",
    "N.C.",
)  # fmt: skip


def tune_of(
    changes: str,
    key: str = "C",
    meter: str = "4/4",
    melody: str = "",
    tempo: float = 120,
    more: str = "",
) -> Tune:
    """Return a tune of one section in the text form; ``more`` holds further lines of its head."""
    sung = f'melody = "{melody}"' if melody else ""
    return read_text(
        f"""
        format = 1
        title = "Bollard Exercise"
        key = "{key}"
        meter = "{meter}"
        tempo = {tempo}
        {more}
        [[sections]]
        name = "A"
        changes = "{changes}"
        {sung}
        """
    )


@st.composite
def tunes(
    draw: st.DrawFn,
    symbols: Sequence[str] = SYMBOLS,
    meters: Sequence[tuple[int, int]] = METERS,
    bars: int = 6,
    melodies: bool = True,
    pickups: bool = True,
) -> Tune:
    """Draw a tune of a few bars: one to three changes a bar on its beats, over bar lines too."""
    meter = draw(st.sampled_from(meters))
    whole = bar_length(meter)
    found = [
        draw(_bars(symbols, meter, whole, melodies, first=place == 0))
        for place in range(draw(st.integers(1, bars)))
    ]
    if pickups and draw(st.booleans()):
        found.insert(0, Bar.of(meter, [], beat_length(meter)))
    key = draw(st.sampled_from(("C", "F", "Am", "Dm")))
    sections = (Section("A", tuple(found)),)
    form = ("A",) * draw(st.integers(1, 2))
    return Tune("Bollard Exercise", Key.parse(key), meter, draw(_tempos), sections, form)


_tempos = st.integers(50, 220)


@st.composite
def _bars(
    draw: st.DrawFn,
    symbols: Sequence[str],
    meter: tuple[int, int],
    length: Fraction,
    melodies: bool,
    first: bool,
) -> Bar:
    beat = beat_length(meter)
    count = int(length / beat)
    starts = draw(st.sets(st.integers(0, count - 1), min_size=int(first), max_size=3))
    if first:
        starts = starts | {0}
    changes = [(chord(draw(st.sampled_from(symbols))), beat * at) for at in sorted(starts)]
    bar = Bar.of(meter, changes, length)
    melody = draw(_melodies(beat, count)) if melodies and draw(st.booleans()) else ()
    return Bar(0, meter, length, bar.changes, melody)


@st.composite
def _melodies(draw: st.DrawFn, beat: Fraction, beats: int) -> tuple[BarNote, ...]:
    """Draw notes and rests of a quarter of a beat to two beats that fill a bar at most."""
    found, reached = [], Fraction(0)
    while reached < beat * beats and draw(st.booleans()):
        length = min(beat * draw(st.sampled_from(_LENGTHS)), beat * beats - reached)
        if draw(st.integers(0, 3)):
            note = Note.from_midi(draw(st.integers(60, 76)))
            found.append(BarNote(note, reached, length, tied=draw(st.integers(0, 4)) == 0))
        reached += length
    return tuple(found)


_LENGTHS = (Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(3, 2), Fraction(2))


def chord(symbol: str) -> Chord | None:
    """Return a chord, or None for N.C."""
    return None if symbol == "N.C." else Chord.parse(symbol)


Offer = tuple[str, Fraction, Fraction]
"""A chord that a move put in: its symbol, onset and length in quarters."""


def offers(move: str, tune: Tune, **known: Any) -> list[Variant | Refused]:
    """Return all that a move answers to a tune's slots, in order."""
    setting = Setting(tune.key, tune.melody, tune.tempo, **known)
    return [found for slot in slots_of(tune) for found in move_named(move).offer(slot, setting)]


def insertions(move: str, tune: Tune, **known: Any) -> list[list[Offer]]:
    """Return the chords that each variant of a move puts in."""
    return [
        [(str(part.chord), part.onset, part.beats) for part in found.parts if part.move]
        for found in offers(move, tune, **known)
        if isinstance(found, Variant)
    ]


def rules(move: str, tune: Tune, **known: Any) -> list[str]:
    """Return the rules that keep a move out, in order."""
    return [found.rule for found in offers(move, tune, **known) if isinstance(found, Refused)]
