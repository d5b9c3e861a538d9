"""What is told of shapes on a neck: plain lists, texts and numbers, ready for JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from typing import Any

from harmonykit.fretboard.hands.change import change
from harmonykit.fretboard.hands.difficulty import caution, difficulty
from harmonykit.fretboard.hands.fingering import Fingering
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.hands.limits import Limits, limits_at
from harmonykit.fretboard.shapes.makeup import makeup
from harmonykit.fretboard.shapes.nearest import Near, nearest_shapes, neighbours
from harmonykit.fretboard.shapes.voicing import Voicing, find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

Facts = dict[str, Any]

# A hand rarely sounds six strings of a guitar at once; on four it can spare none.
_MOST_STRINGS_WITHOUT_MUTES = 4


def instrument_facts(neck: Instrument) -> Facts:
    """Return for which strings shapes are, and where that is from.

    Examples
    --------
    >>> instrument_facts(Instrument.named("ukulele"))["line"]
    'For the ukulele with the strings g C E A; the g sounds above the C beside it.'
    """
    return {
        "name": neck.name,
        "tuning": neck.tuning,
        "strings": [str(note) for note in neck.strings],
        "scale_mm": round(neck.scale_mm, 1),
        "frets": neck.frets,
        "capo": neck.capo,
        "line": neck.sheet_line,
        "source": neck.source,
    }


def hand_limits(
    neck: Instrument, level: int | None, small_hand: bool, thumb: bool = False
) -> Limits:
    """Return the limits of a level, or of a wide hand where none is given.

    Examples
    --------
    >>> hand_limits(Instrument.named("ukulele"), None, small_hand=True).stretch_mm
    78.4
    """
    limits = limits_at(level, neck) if level is not None else Limits()
    return replace(limits.small_hand() if small_hand else limits, thumb=thumb)


def shapes_of(chord: Chord, neck: Instrument, limits: Limits) -> tuple[list[Voicing], list[str]]:
    """Return the shapes of a chord, the most usual first, and the degrees that some leave out.

    Examples
    --------
    >>> shapes, left_out = shapes_of(Chord.parse("C9"), Instrument.named("ukulele"), Limits())
    >>> [shape.digits for shape in shapes[:2]], left_out
    (['3-2-0-3', '0-2-0-1'], ['1', '5'])
    """
    found = find_voicings(chord, neck, limits.max_fret, limits=limits)
    heard = [shape.pcs for shape in found]
    root = chord.root.pitch_class
    left_out = [
        degree.name
        for degree in chord.degrees
        if any((root + degree.pitch_class) % 12 not in pcs for pcs in heard)
    ]
    return list(found), left_out


def _mutes(neck: Instrument) -> bool:
    return len(neck.strings) > _MOST_STRINGS_WITHOUT_MUTES


def shape_facts(shape: Voicing, chord: Chord, thumb: bool = False) -> Facts:
    """Return what is told of one shape of a chord, whose first string the thumb may press.

    Examples
    --------
    >>> shape = Voicing.parse("2323", Instrument.named("ukulele"))
    >>> told = shape_facts(shape, Chord.parse("F#dim7"))
    >>> told["notes"], told["fingers"], told["layout"], told["difficulty"]["level"]
    (['A4', 'Eb4', 'F#4', 'C5'], [1, 3, 2, 4], 'close', 1)
    """
    lies = makeup(shape, chord)
    neck = shape.instrument
    held = fit(shape.frets, neck, Limits(max_fret=neck.frets, thumb=thumb))
    return {
        "frets": list(shape.frets),
        "digits": shape.digits,
        "notes": [None if note is None else str(note) for note in shape.spelled(chord)],
        "fingers": list(held.fingers) if held else [],
        "barres": [asdict(barre) for barre in held.barres] if held else [],
        "stretch_mm": round(shape.stretch_mm, 1),
        "layout": lies.layout,
        "position": lies.position,
        "bass": lies.bass.name,
        "missing": [degree.name for degree in lies.missing],
        "rootless": lies.rootless,
        "doubled": [degree.name for degree in lies.doubled],
        "difficulty": _parts(shape, held) if held else None,
        "caution": caution(shape),
    }


def _parts(shape: Voicing, held: Fingering) -> Facts:
    parts = asdict(difficulty(shape, held))
    return {
        name: round(part, 1) if isinstance(part, float) else part for name, part in parts.items()
    }


def near_facts(shape: Voicing, strings: int = 1, frets: int = 1) -> list[Facts]:
    """Return the shapes of other chords that a few strings moved by a few frets make.

    Examples
    --------
    >>> near_facts(Voicing.parse("2323", Instrument.named("ukulele")))[1]
    {'digits': '1-3-2-3', 'chords': ['Ab7'], 'strings_moved': 1, 'hand_mm': 5.0}
    """
    return [_near(found) for found in neighbours(shape, strings, frets)]


def lead_facts(shape: Voicing, targets: Sequence[str], limits: Limits) -> list[Facts]:
    """Return the nearest shape of each chord that a shape leads to, and what the fingers do.

    Examples
    --------
    >>> shape = Voicing.parse("0212", Instrument.named("ukulele"))
    >>> lead_facts(shape, ["C"], Limits())[0]["digits"]
    '0-0-0-3'
    """
    return [lead for target in targets for lead in _lead(shape, target, limits)]


def _lead(shape: Voicing, target: str, limits: Limits) -> Iterator[Facts]:
    chord = Chord.of(target)
    found = nearest_shapes(shape, chord, by="mm", mutes=_mutes(shape.instrument), limits=limits)
    # A shape that leaves strings silent is not the next one where others sound them.
    full = [one for one in found if None not in one.voicing.frets[_first(shape) :]]
    for goal in (full or found)[:1]:
        done = change(shape, goal.voicing)
        yield {
            "chord": target,
            "digits": goal.voicing.digits,
            "fingers_before": list(done.before.fingers),
            "fingers_after": list(done.after.fingers),
            "strings_moved": len(done.strings),
            "hand_mm": round(done.mm, 1),
            "told": str(done),
        }


def _first(shape: Voicing) -> int:
    """Return the first string that sounds."""
    return next(string for string, fret in enumerate(shape.frets) if fret is not None)


def _near(found: Near) -> Facts:
    return {
        "digits": found.voicing.digits,
        "chords": [chord.symbol for chord in found.chords],
        "strings_moved": len(found.strings),
        "hand_mm": round(found.mm, 1),
    }
