"""From the bars as written to the bars as played, and what sounds in them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, bar_length
from harmonykit.tune.form import Form


@dataclass(frozen=True, slots=True)
class Change:
    """A chord in playing order: it sounds from ``onset`` for ``beats`` quarters.

    ``chord`` is ``None`` where no chord sounds; ``bar`` is the written number of the bar in which
    the change stands; ``fermata`` says whether one stands over it.
    """

    chord: Chord | None
    onset: Fraction
    beats: Fraction
    bar: int
    fermata: bool = False


@dataclass(frozen=True, slots=True)
class Sung:
    """A melody note in playing order, in quarters; tied notes are one."""

    note: Note
    onset: Fraction
    beats: Fraction


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A written bar at its place in playing order, in quarters from the start."""

    bar: Bar
    onset: Fraction
    section: str


def play_bars(bars: Sequence[Bar], form: Form) -> tuple[PlayedBar, ...]:
    """Return written bars in the playing order of their form, each with its onset."""
    played = []
    onset = Fraction(0)
    for turn in form.turns:
        bar = bars[turn.bar]
        played.append(PlayedBar(bar, onset, form.order[turn.part].name))
        onset += bar.length
    return tuple(played)


def play_changes(playing: Sequence[PlayedBar]) -> tuple[Change, ...]:
    """Return the changes of played bars, each lasting until the next."""
    found = [
        (change.chord, played.onset + change.at, played.bar.number)
        for played in playing
        for change in played.bar.changes
    ]
    if found and found[0][0] is None:
        del found[0]  # it has been silent from the start
    if not found or found[0][1] > 0:
        found.insert(0, (None, Fraction(0), playing[0].bar.number))
    end = (None, playing[-1].onset + playing[-1].bar.length, 0)
    held = [played.onset + at for played in playing for at in played.bar.fermatas]
    return tuple(
        Change(chord, onset, after - onset, bar, _between(held, onset, after))
        for (chord, onset, bar), (_, after, _) in pairwise([*found, end])
    )


def _between(places: list[Fraction], start: Fraction, end: Fraction) -> bool:
    index = bisect_left(places, start)
    return index < len(places) and places[index] < end


def play_melody(playing: Sequence[PlayedBar]) -> tuple[Sung, ...]:
    """Return the melody of played bars, tied notes joined where they do follow each other."""
    sung: list[Sung] = []
    tied = False
    for played in playing:
        for note in played.bar.melody:
            onset = played.onset + note.at
            last = sung[-1] if tied else None
            if last and last.note.midi == note.note.midi and last.onset + last.beats == onset:
                sung[-1] = Sung(last.note, last.onset, last.beats + note.beats)
            else:
                sung.append(Sung(note.note, onset, note.beats))
            tied = note.tied
    return tuple(sung)


def number_played(playing: Sequence[PlayedBar], pickup: bool) -> tuple[tuple[int, bool], ...]:
    """Return the number of each played bar, and whether the bar is the first to bear it.

    A pick-up is bar 0; what completes a bar after a repeat bears that bar's number (common practice
    of engravers, no source).
    """
    numbers: list[tuple[int, bool]] = []
    number, room = (-1 if pickup else 0), Fraction(0)
    for place in playing:
        missing = bar_length(place.bar.meter) - place.bar.length
        if missing > 0 and place.bar.length <= room:
            room -= place.bar.length
            numbers.append((number, False))
            continue
        number += 1
        room = missing if number else Fraction(0)
        numbers.append((number, number > 0))
    return tuple(numbers)
