"""A bar cut into the notes and rests that a score writes one after another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar


@dataclass(slots=True)
class Piece:
    """A part of a bar that is written as one value or several: a note, or a rest without one."""

    at: Fraction
    beats: Fraction
    note: Note | None = None
    tie_in: bool = False
    tie_out: bool = False


def times_of(bar: Bar) -> Iterator[Fraction]:
    """Yield the places and lengths of a bar that a score must count exactly."""
    yield bar.length
    yield from bar.fermatas
    for change in bar.changes:
        yield change.at


def pieces_of(bar: Bar, held: Note | None = None) -> Iterator[Piece]:
    """Yield notes and rests from the start of a bar to its end, cut at fermatas.

    Rests are cut at chords too, so that each stands over what it sounds with.  A tie from the bar
    before holds a note.
    """
    now = Fraction(0)
    for sung in bar.melody:
        if sung.at > now:
            yield from _cut(Piece(now, sung.at - now), [*bar.fermatas, *_starts(bar)])
            held = None
        piece = Piece(sung.at, sung.beats, sung.note, held == sung.note, sung.tied)
        yield from _cut(piece, list(bar.fermatas))
        now, held = sung.at + sung.beats, sung.note if sung.tied else None
    if now < bar.length:
        yield from _cut(Piece(now, bar.length - now), [*bar.fermatas, *_starts(bar)])


def _starts(bar: Bar) -> Iterator[Fraction]:
    for change in bar.changes:
        yield change.at


def _cut(piece: Piece, places: list[Fraction]) -> Iterator[Piece]:
    end = piece.at + piece.beats
    edges = sorted({piece.at, end, *(at for at in places if piece.at < at < end)})
    for index, (start, stop) in enumerate(zip(edges, edges[1:], strict=False)):
        first, last = index == 0, stop == end
        yield replace(
            piece,
            at=start,
            beats=stop - start,
            tie_in=piece.tie_in if first else True,
            tie_out=piece.tie_out if last else True,
        )
