"""The changes that matter on the page, and the two bars to practise first: the sheet's own.

Conventions.  Bars are counted from 0 in playing order; a beat without a change is empty.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.changes import bars_first_said, finger_lines
from harmonykit.lesson.page.figures import Figures, Symbol
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.plan.shown import Shown, notes_heard
from harmonykit.lesson.together import rescue
from harmonykit.theory.chord import Chord
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Held:
    """One of the two shapes of a change."""

    name: str
    digits: str
    alt: str
    symbol: Symbol


@dataclass(frozen=True, slots=True)
class PairView:
    """A change: two shapes, what the fingers do between them, and the easier grip if there is one.

    ``easier`` is the chord, its frets and what they leave out; empty for none.
    """

    before: Held
    after: Held
    lines: tuple[tuple[str, str], ...]
    easier: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class BarsFirst:
    """The two bars to practise first: where they are, what they are called, and their beats."""

    first: int
    title: str
    note: str
    look: str
    bars: tuple[tuple[str, ...], ...]


def view_pairs(played: Played, figures: Figures) -> tuple[PairView, ...]:
    """Return the changes that the sheet shows, the hardest first."""
    hard = rescue.practised_changes(played.arrangement, played.level.tempo)
    return tuple(_pair(one, figures) for one in hard[: rescue.SHOWN])


def _pair(one: rescue.Hard, figures: Figures) -> PairView:
    return PairView(
        _held(one.before, figures, one.change.before, None),
        _held(one.after, figures, one.change.after, one.change),
        tuple(finger_lines(one)),
        _easier(*one.rescue) if one.rescue else ("", "", ""),
    )


def _easier(chord: Chord, grip: Voicing) -> tuple[str, str, str]:
    return chord.unicode, grip.digits, rescue.left_out(chord, grip)


def _held(step: Step, figures: Figures, fingering: Fingering, change: Change | None) -> Held:
    assert step.chord is not None and step.voicing is not None
    shown, digits = Shown(step.voicing, step.chord), step.voicing.digits
    alt = f"{step.chord.unicode}, {digits}: {notes_heard(step.voicing, step.chord)}"
    return Held(step.chord.unicode, digits, alt, figures.symbol(shown, fingering, change))


def view_bars_first(played: Played) -> BarsFirst | None:
    """Return the two bars to practise first; None where no change over a bar line is hard."""
    way, tempo = played.arrangement, played.level.tempo
    one = rescue.bars_first(rescue.practised_changes(way, tempo))
    if one is None or one.after.chord is None:
        return None
    first = one.before.bar
    title, look = bars_first_said(one, way)
    return BarsFirst(
        first,
        title,
        f"Loop {title} at {rescue.said_tempi(tempo, way.tune.meter)}.",
        look,
        tuple(tuple(_beats(way, bar)) for bar in (first, first + 1)),
    )


def _beats(way: Arrangement, bar: int) -> Iterator[str]:
    """Yield the chord that begins on each beat of a bar, or nothing; all within a beat together."""
    played = way.tune.playing[bar]
    beat = beat_length(played.bar.meter)
    steps: Sequence[Step] = way.bars()[bar]
    for n in range(math.ceil(played.bar.length / beat)):
        span = played.onset + n * beat, played.onset + (n + 1) * beat
        names = [printed_chord(step.chord) for step in steps if span[0] <= step.onset < span[1]]
        yield " ".join(names)
