"""What is told of shapes on a neck: plain lists, texts and numbers, ready for JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from typing import Any

from harmonykit.fretboard.change import change
from harmonykit.fretboard.difficulty import difficulty
from harmonykit.fretboard.hand import Limits, caution, limits_at
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.makeup import makeup
from harmonykit.fretboard.nearest import Near, nearest_shapes, neighbours
from harmonykit.fretboard.tones import usual_omissions
from harmonykit.fretboard.voicing import Voicing, find_voicings
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

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


def hand_limits(neck: Instrument, level: int | None, small_hand: bool) -> Limits:
    """Return the limits of a level, or of a wide hand where none is given.

    Examples
    --------
    >>> hand_limits(Instrument.named("ukulele"), None, small_hand=True).stretch_mm
    78.4
    """
    if level is not None:
        return limits_at(level, neck, small_hand)
    return Limits().small_hand() if small_hand else Limits()


def shapes_of(chord: Chord, neck: Instrument, limits: Limits) -> tuple[list[Voicing], list[str]]:
    """Return the shapes of a chord, up the neck, and the degrees that some of them leave out.

    Tones are left out only where no shape has them all: first those that players leave out on so
    many strings, then whatever the chord can do without.  A bass that is not the root is lowest.
    """
    bass = None if chord.bass == chord.root else chord.bass
    found, omit = _fullest(chord, neck, bass, limits)
    left_out = [d.name for d in chord.degrees if d.pitch_class in omit]
    return sorted(found, key=lambda shape: _rank(shape, chord)), left_out


def _fullest(
    chord: Chord, neck: Instrument, bass: Note | None, limits: Limits
) -> tuple[tuple[Voicing, ...], Iterable[int]]:
    """Return the shapes that leave out the least, and the semitones that they may leave out."""
    ways: tuple[Iterable[int], ...] = ((), usual_omissions(chord, len(neck.strings)))
    for omit in (*ways, chord.droppable):
        found = find_voicings(chord, neck, bass=bass, mutes=_mutes(neck), omit=omit, limits=limits)
        if found:
            return found, omit
    return (), chord.droppable


def _mutes(neck: Instrument) -> bool:
    return len(neck.strings) > _MOST_STRINGS_WITHOUT_MUTES


def _rank(shape: Voicing, chord: Chord) -> tuple[int, bool, int, int, str]:
    """Order shapes up the neck; on many strings, first what a hand strums over the chord's bass."""
    sounds = [fret is not None for fret in shape.frets]
    first, last = sounds.index(True), len(sounds) - sounds[::-1].index(True)
    gaps = sounds[first:last].count(False)
    off_the_bass = _mutes(shape.instrument) and shape.lowest % 12 != chord.bass.pitch_class
    return gaps, off_the_bass, shape.highest_fret, shape.lowest_fret, shape.digits


def shape_facts(shape: Voicing, chord: Chord) -> Facts:
    """Return what is told of one shape of a chord.

    Examples
    --------
    >>> shape = Voicing.parse("2323", Instrument.named("ukulele"))
    >>> told = shape_facts(shape, Chord.parse("F#dim7"))
    >>> told["notes"], told["fingers"], told["layout"], told["difficulty"]["level"]
    (['A4', 'Eb4', 'F#4', 'C5'], [1, 3, 2, 4], 'close', 1)
    """
    lies = makeup(shape, chord)
    held = shape.fingering
    return {
        "frets": list(shape.frets),
        "digits": shape.digits,
        "notes": [None if note is None else str(note) for note in shape.spelled(chord)],
        "fingers": list(shape.fingers),
        "barres": [asdict(barre) for barre in held.barres] if held else [],
        "stretch_mm": round(shape.stretch_mm, 1),
        "layout": lies.layout,
        "position": lies.position,
        "bass": lies.bass.name,
        "missing": [degree.name for degree in lies.missing],
        "doubled": [degree.name for degree in lies.doubled],
        "difficulty": _parts(shape) if held else None,
        "caution": caution(shape),
    }


def _parts(shape: Voicing) -> Facts:
    parts = asdict(difficulty(shape))
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
