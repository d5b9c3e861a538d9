"""Slots: the stretches of a tune in which one chord lasts, cut at the bar lines.

A move works inside one slot.  A chord that lasts for many bars makes several slots of at most two
bars, each a unit that a climb can fill.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import Meter
from harmonykit.tune.tune import PlayedBar, Sung, Tune

MOST_BARS = 2


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a slot that lies in one bar.

    ``bar`` counts bars in playing order from 0; ``at`` is the place in a whole bar, in quarters,
    so that a pick-up's beats have the weights of the bar that it would complete.
    """

    onset: Fraction
    beats: Fraction
    bar: int
    meter: Meter
    at: Fraction
    whole: bool


@dataclass(frozen=True, slots=True)
class Slot:
    """One chord for a time: its pieces, the chords before and after, and the tune around it."""

    chord: Chord | None
    pieces: tuple[Piece, ...]
    before: Chord | None = None
    after: Chord | None = None
    after_at: Piece | None = None

    @property
    def onset(self) -> Fraction:
        """Where it starts, in quarters from the start of the tune."""
        return self.pieces[0].onset

    @property
    def beats(self) -> Fraction:
        """How long it lasts, in quarters."""
        return sum((piece.beats for piece in self.pieces), Fraction(0))

    @property
    def bar(self) -> int:
        """The bar in which it starts, in playing order from 0."""
        return self.pieces[0].bar


def slots_of(tune: Tune) -> tuple[Slot, ...]:
    """Return a tune's slots in playing order, without a gap."""
    cut = [
        (chord, tuple(chunk))
        for chord, pieces in groupby(_pieces(tune), key=lambda pair: pair[0])
        for chunk in _chunks([piece for _, piece in pieces])
    ]
    chords = [chord for chord, _ in cut]
    return tuple(
        Slot(
            chord,
            pieces,
            chords[i - 1] if i else None,
            chords[i + 1] if i + 1 < len(cut) else None,
            cut[i + 1][1][0] if i + 1 < len(cut) else None,
        )
        for i, (chord, pieces) in enumerate(cut)
    )


def _pieces(tune: Tune) -> Iterator[tuple[Chord | None, Piece]]:
    """Yield each change cut at the bar lines."""
    playing = tune.playing
    bar = 0
    for change in tune.changes:
        start, end = change.onset, change.onset + change.beats
        while start < end:
            while playing[bar].onset + playing[bar].bar.length <= start:
                bar += 1
            stop = min(end, playing[bar].onset + playing[bar].bar.length)
            yield change.chord, _piece(playing[bar], bar, start, stop - start)
            start = stop


def _piece(played: PlayedBar, index: int, onset: Fraction, beats: Fraction) -> Piece:
    meter = played.bar.meter
    full = Fraction(4 * meter[0], meter[1])
    # A short first bar is a pick-up: it holds the last beats of a bar.
    shift = full - played.bar.length if played.bar.number == 0 else Fraction(0)
    whole = beats == played.bar.length == full
    return Piece(onset, beats, index, meter, onset - played.onset + shift, whole)


def _chunks(pieces: list[Piece]) -> Iterator[list[Piece]]:
    """Cut a long run into pairs of whole bars; what is no whole bar stands alone."""
    chunk: list[Piece] = []
    for piece in pieces:
        if chunk and (len(chunk) == MOST_BARS or not piece.whole or not chunk[-1].whole):
            yield chunk
            chunk = []
        chunk.append(piece)
    yield chunk


def melody_between(tune_melody: tuple[Sung, ...], start: Fraction, end: Fraction) -> list[Sung]:
    """Return the melody notes that sound between two moments."""
    return [note for note in tune_melody if note.onset < end and note.onset + note.beats > start]
