"""The fingers of an arrangement: chosen together over all its shapes, the same where a phrase is.

Bars are *one*, and have one fingering, where they are the same bar as written and are played alike,
as in a repeat; and where they and their neighbours before and after are played alike, as where a
phrase stands written out again.  A shape that the hand's limits refuse, because a chord has no
other, is held as a wide hand holds it.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import chain

from harmonykit.fretboard.hands import holding, progression
from harmonykit.fretboard.hands.change import Change, change_of
from harmonykit.fretboard.hands.hand import Fingering, Limits
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.grips import grip_form
from harmonykit.fretboard.shapes.voicing import Voicing

Sounds = tuple[tuple[Voicing | None, Fraction, Fraction], ...]
"""The shapes of a bar, each with its place in the bar and its length, in quarters."""

Fingered = tuple[tuple[Fingering | None, Change | None], ...]
"""For each shape its fingering, and the change that leads to it."""

Taught = tuple[tuple[Fretting, progression.Fingers], ...]
"""Grips by their form, each with the fingers, string by string, with which it was taught."""


def fingers_of(
    bars: Sequence[Sounds], written: Sequence[Hashable], limits: Limits, taught: Taught = ()
) -> Fingered:
    """Return the fingering of each shape, and what the fingers do on the way to it.

    Parameters
    ----------
    bars : sequence of Sounds
        In playing order.
    written : sequence of hashable
        For each bar which it is as written.
    limits : Limits
        The hand.
    taught : tuple of (tuple, tuple)
        The fingers with which some grips were taught before.

    Returns
    -------
    tuple of pairs of Fingering or None, Change or None
        No fingering where nothing sounds or no hand holds the shape.  No change at the first
        shape and after a silence.

    Examples
    --------
    >>> shapes = [Voicing.parse(frets, "ukulele") for frets in ("0232", "0212")]
    >>> bars = [((shape, Fraction(0), Fraction(4)),) for shape in shapes]
    >>> found = fingers_of(bars, (1, 2), Limits())
    >>> [fingering.fingers for fingering, _ in found if fingering], found[1][1]
    ([(0, 2, 4, 3), (0, 2, 1, 3)], <2 and 3 stay; 1 lands at fret 1, E string; 4 lifts; 0 mm>)
    """
    numbers: dict[Hashable, int] = {}
    names = tuple(numbers.setdefault(word, len(numbers)) for word in written)
    return _fingered(tuple(bars), names, limits, taught)


@lru_cache(maxsize=128)
def _fingered(
    bars: tuple[Sounds, ...], written: tuple[int, ...], limits: Limits, taught: Taught
) -> Fingered:
    shapes = [shape for shape, _, _ in chain.from_iterable(bars)]
    hands = {shape: _hand(shape, limits) for shape in shapes if shape is not None}
    numbered = zip(_alike(bars, written), bars, strict=True)
    words = [(bar, place) for bar, row in numbered for place in range(len(row))]
    held = [
        (shape, hands[shape], word)
        for shape, word in zip(shapes, words, strict=True)
        if shape is not None and hands[shape] is not None
    ]
    row, limited, alike = zip(*held, strict=True) if held else ((), (), ())
    chosen = iter(progression.fingered(row, limited, alike, taught=_held(row, taught)))
    found: list[tuple[Fingering | None, Change | None]] = []
    before: tuple[Voicing, Fingering] | None = None
    for shape in shapes:
        if shape is None or hands[shape] is None:
            found.append((None, None))
            before = None
            continue
        fingering = next(chosen)
        found.append((fingering, change_of(*before, shape, fingering) if before else None))
        before = shape, fingering
    return tuple(found)


def _held(row: Iterable[Voicing], taught: Taught) -> dict[Voicing, progression.Fingers]:
    """Return the fingers with which shapes were taught; a movable one at any fret."""
    known = dict(taught)
    forms = {shape: grip_form(shape) for shape in row} if known else {}
    return {shape: known[form] for shape, form in forms.items() if form in known}


def _hand(shape: Voicing, limits: Limits) -> Limits | None:
    neck = shape.instrument
    hands = replace(limits, max_fret=neck.frets), Limits(max_fret=neck.frets)
    return next((hand for hand in hands if holding.can_hold(shape.frets, neck, hand)), None)


def _alike(bars: Sequence[Sounds], written: Sequence[int]) -> list[int]:
    """Return for each bar the first bar with which it is one."""
    ends = (None, *bars, None)
    around = zip(ends, ends[1:-1], ends[2:], strict=False)
    return progression.joined([*zip(written, bars, strict=True)], [*around])
