"""What ``harmonykit chord`` knows of a chord: plain lists, texts and numbers, ready for JSON."""

from __future__ import annotations

from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing, find_voicings
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import (
    SIDES,
    Move,
    Resolution,
    approach,
    minor_sixths,
    raised,
    resolutions,
)
from harmonykit.theory.note import Interval
from harmonykit.theory.symbol import read_symbol

FORMAT = 1
# A hand rarely sounds six strings of a guitar at once; on four it can spare none.
_MOST_STRINGS_WITHOUT_MUTES = 4

Facts = dict[str, Any]


def facts(symbol: str, instrument: str) -> Facts:
    """Return everything that the command tells of a chord symbol on an instrument.

    Parameters
    ----------
    symbol : str
        A chord symbol as typed.
    instrument : str
        The name of a shipped instrument, or open strings with octaves.

    Raises
    ------
    HarmonyError
        If the symbol or the instrument cannot be read, or the symbol means that nothing sounds.

    Examples
    --------
    >>> known = facts("F#dim7", "ukulele")
    >>> [parent["chord"] for parent in known["parents"]], len(known["shapes"])
    (['Ab7', 'B7', 'D7', 'F7'], 9)
    """
    reading = read_symbol(symbol)
    if reading.chord is None:
        raise HarmonyError(f"{symbol!r} means that no chord sounds", mend='a chord: "F#dim7"')
    chord, neck = reading.chord, read_instrument(instrument)
    return {
        "format": FORMAT,
        "symbol": chord.symbol,
        "printed": chord.unicode,
        "doubts": list(reading.doubts),
        "bass": chord.bass.name,
        "tones": _tones(chord),
        "set_class": chord.pcs.forte_name,
        **(_diminished(chord) if chord.is_diminished_seventh else _other(chord)),
        **_on_the_neck(chord, neck),
    }


def read_instrument(text: str) -> Instrument:
    """Return a named instrument, or one of typed strings where the text holds octaves.

    Examples
    --------
    >>> read_instrument("guitar").tuning, read_instrument("G3 D4 A4 E5").tuning
    ('E A D G B E', 'G D A E')
    """
    typed = any(character.isdigit() for character in text)
    return Instrument.parse(text) if typed else Instrument.named(text)


def _tones(chord: Chord) -> list[Facts]:
    pairs = zip(chord.tones, chord.degrees, strict=True)
    return [
        {"note": note.name, "degree": degree.name, "semitones": degree.pitch_class}
        for note, degree in pairs
    ]


def _diminished(chord: Chord) -> Facts:
    """Return what one note moved by a semitone makes of a diminished seventh."""
    sixths = minor_sixths(chord)
    return {
        "parents": [_parent(way) for way in resolutions(chord)],
        "minor_sixths": [
            {
                "chord": sixth.symbol,
                "also": _half(sixth).symbol,
                "raised": _move(raised(chord, sixth)),
            }
            for sixth in sixths
        ],
    }


def _parent(way: Resolution) -> Facts:
    return {
        "chord": way.parent.symbol,
        "lowered": _move(way.lowered),
        "leads_to": way.target.name,
        "moves": [_move(move) for move in way.moves],
    }


def _half(sixth: Chord) -> Chord:
    """Return the half-diminished seventh with the notes of a minor sixth chord."""
    return Chord.of(sixth.tones[-1], "m7b5")


def _move(move: Move) -> list[str]:
    return [move.start.name, move.end.name]


def _other(chord: Chord) -> Facts:
    """Return the diminished sevenths that lead to a chord, and where it leads as a dominant."""
    found: Facts = {"led_to_by": {side: approach(chord, side).symbol for side in SIDES}}
    if chord.is_dominant:
        target = chord.root.transpose(Interval.parse("-P5")).at(None)
        found["leads_to"] = target.name
        found["its_diminished"] = approach(target).symbol
    return found


def _on_the_neck(chord: Chord, neck: Instrument) -> Facts:
    bass = None if chord.bass == chord.root else chord.bass
    mutes = len(neck.strings) > _MOST_STRINGS_WITHOUT_MUTES
    shapes = find_voicings(chord, neck, bass=bass, mutes=mutes)
    left_out: list[str] = []
    if not shapes and chord.droppable:
        shapes = find_voicings(chord, neck, bass=bass, mutes=mutes, omit=chord.droppable)
        left_out = [d.name for d in chord.degrees if d.pitch_class in chord.droppable]
    return {
        "instrument": {"name": neck.name, "tuning": neck.tuning},
        "may_be_missing": left_out,
        "shapes": [_shape(s, chord) for s in sorted(shapes, key=lambda s: _rank(s, chord))],
    }


def _rank(shape: Voicing, chord: Chord) -> tuple[int, bool, int, int, str]:
    """Order shapes up the neck; where strings are muted, first what a hand strums in one go."""
    sounds = [fret is not None for fret in shape.frets]
    first, last = sounds.index(True), len(sounds) - sounds[::-1].index(True)
    gaps = sounds[first:last].count(False)
    off_the_bass = not all(sounds) and shape.lowest % 12 != chord.bass.pitch_class
    return gaps, off_the_bass, shape.highest_fret, shape.lowest_fret, shape.digits


def _shape(shape: Voicing, chord: Chord) -> Facts:
    return {
        "frets": list(shape.frets),
        "digits": shape.digits,
        "notes": [None if note is None else str(note) for note in shape.spelled(chord)],
        "fingers": list(shape.fingers),
        "stretch_mm": round(shape.stretch_mm, 1),
    }
