"""Small invented tunes for the tests of the arranging floor: typed ones, and a strategy of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from harmonykit.arrange.moves import Refused, Setting, Variant, Web, move_named
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.weights import Weights
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.tune import Bar, BarNote, Section, Tune, bar_length, beat_length

NOTHING = Weights(**{each.name: 0 for each in fields(Weights)})
"""Weights with every price nought."""

EAGER = Weights(chance=3000, whole=0)
"""Weights that add wherever something fits."""

KINDS = {
    "leading-tone diminished": ("passing diminished",),
    "four dominants": ("backdoor",),
    "suspension": ("appoggiatura",),
    "appoggiatura": ("suspension",),
}
"""What a move calls its places, beside its own name."""

METERS = (
    (4, 4), (4, 4), (3, 4), (3, 4), (6, 8), (5, 4), (2, 4), (2, 2), (12, 8), (9, 8), (7, 8), (3, 8),
)  # fmt: skip
PHRASES = (
    "Dm7 G7 C6", "A7 Dm7", "E7 Am", "C6 F6", "D7b9 G7 C", "C7 F", "G7/F C/E", "C6", "C C/E", "Dm",
    "Am7 Dm7", "F6 G7 C6", "B7 Em7", "C7 F7 Bb7", "C/G G7", "F/G G9 Cmaj7", "G7sus4 G7 C6",
    "Bb7 Eb6", "Bdim7 C6", "G7 Cdim7", "G#dim7 Am7", "Em7b5 A7 Dm", "Caug F", "N.C.", "C6 N.C.",
    "Fm7 Bb7b9 Eb",
)  # fmt: skip
"""Pieces of changes of which tunes are made: dominants that resolve and that do not, held basses,
diminished sevenths of the tune's own, silence."""


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
    return Tune.parse(
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


def two_sections(a: str, b: str, head: str = "") -> Tune:
    """Return a tune of two sections by their changes, with lines of its header."""
    return Tune.parse(
        f'format = 1\ntitle = "Round the Buoy"\nkey = "C"\nmeter = "4/4"\n{head}\n'
        f'[[sections]]\nname = "A"\nchanges = "{a}"\n'
        f'[[sections]]\nname = "B"\nchanges = "{b}"\n'
    )


@st.composite
def tunes(
    draw: st.DrawFn,
    phrases: Sequence[str] = PHRASES,
    meters: Sequence[tuple[int, int]] = METERS,
    bars: int = 6,
    melodies: bool = True,
) -> Tune:
    """Draw a tune of a few bars: mostly one chord a bar, some over bar lines, some two or three."""
    meter = draw(st.sampled_from(meters))
    symbols = _endless(draw, phrases)
    found = [_bar(draw, symbols, meter, place == 0) for place in range(draw(st.integers(2, bars)))]
    if melodies and draw(st.booleans()):
        found = [replace(bar, melody=draw(_melodies(beat_length(meter)))) for bar in found]
    if draw(st.booleans()):
        found.insert(0, Bar.of(meter, [], beat_length(meter)))
    key = draw(st.sampled_from(("C", "F", "Am", "Dm")))
    sections = (Section("A", tuple(found)),)
    form = ("A",) * draw(st.integers(1, 2))
    tempo = draw(st.integers(50, 220))
    return Tune("Bollard Exercise", Key.parse(key), meter, tempo, sections, form)


def _endless(draw: st.DrawFn, phrases: Sequence[str]) -> Iterator[str]:
    while True:
        yield from draw(st.sampled_from(phrases)).split()


def _bar(draw: st.DrawFn, symbols: Iterator[str], meter: tuple[int, int], first: bool) -> Bar:
    beats = int(bar_length(meter) / beat_length(meter))
    starts = draw(st.sampled_from(((0,), (0,), (0,), (0, beats // 2), (0, beats - 1), (), (1,))))
    if first:
        starts = starts or (0,)
    places = sorted({place for place in starts if place < beats})
    return Bar.of(meter, [(chord(next(symbols)), beat_length(meter) * at) for at in places])


@st.composite
def _melodies(draw: st.DrawFn, beat: Fraction) -> tuple[BarNote, ...]:
    """Draw up to two notes from a quarter of a beat to two beats long, within the first beats."""
    found, reached = [], Fraction(0)
    for _ in range(draw(st.integers(0, 2))):
        reached += beat * draw(st.sampled_from((Fraction(0), *_LENGTHS)))
        length = beat * draw(st.sampled_from(_LENGTHS))
        if reached + length > 2 * beat:
            break
        note = Note.from_midi(draw(st.integers(60, 76)))
        found.append(BarNote(note, reached, length, tied=draw(st.booleans())))
        reached += length
    return tuple(found)


_LENGTHS = (Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(3, 2), Fraction(2))


def chord(symbol: str) -> Chord | None:
    """Return a chord, or None for N.C."""
    return None if symbol == "N.C." else Chord.parse(symbol)


Offer = tuple[str, Fraction, Fraction]
"""A chord that a move put in: its symbol, onset and length in quarters."""


def offers(move: str, tune: Tune, **known: Any) -> list[Variant | Refused]:
    """Return all that a move answers to a tune's slots, in order, each way through a web."""
    setting = Setting(tune.key, tune.melody, tune.tempo, **known)
    return [
        each
        for slot in slots_of(tune)
        for found in move_named(move).offer(slot, setting)
        for each in (found.rows() if isinstance(found, Web) else [found])
    ]


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
