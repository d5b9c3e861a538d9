"""What ``harmonykit chord`` knows of a chord: plain lists, texts and numbers, ready for JSON."""

from __future__ import annotations

import re

from harmonykit.cli.chord.shapes import (
    Facts,
    hand_limits,
    instrument_facts,
    lead_facts,
    near_facts,
    shape_facts,
    shapes_of,
)
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, read_symbol
from harmonykit.theory.diminished import (
    SIDES,
    Move,
    Resolution,
    approach,
    minor_sixths,
    raised,
    resolutions,
)
from harmonykit.theory.leading.neighbours import neighbours
from harmonykit.theory.modes import SCALES, Scale, avoid_notes, scales_holding
from harmonykit.theory.note import Interval
from harmonykit.theory.uses import uses

FORMAT = 1
_LIKE_A_SHAPE = re.compile(r"[0-9xX][0-9xX\s,-]*")


def facts(
    symbol: str,
    instrument: str,
    capo: int = 0,
    level: int | None = None,
    small_hand: bool = False,
    thumb: bool = False,
) -> Facts:
    """Return everything that the command tells of a chord symbol on an instrument.

    Parameters
    ----------
    symbol : str
        A chord symbol as typed: what sounds, also over a capo.
    instrument : str
        The name of a shipped instrument, or open strings with octaves.
    capo : int
        The fret of a capo, 0 for none.
    level : int, optional
        The level, 1 to 3, within whose limits shapes are; those of a wide hand where not given.
    small_hand : bool
        Whether the hand is small.
    thumb : bool
        Whether the thumb may press the first string.

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
    chord, doubts = read_chord(symbol)
    neck = read_instrument(instrument).with_capo(capo)
    limits = hand_limits(neck, level, small_hand, thumb)
    shapes, left_out = shapes_of(chord, neck, limits)
    meaning = _diminished(chord) if chord.is_diminished_seventh else _other(chord)
    return {
        "format": FORMAT,
        "symbol": chord.symbol,
        "printed": chord.unicode,
        "doubts": list(doubts),
        "bass": chord.bass.name,
        "tones": _tones(chord),
        "set_class": chord.pcs.forte_name,
        **meaning,
        "one_note_away": _one_note_away(chord),
        "scales": _scales(chord),
        "held_by": [str(scale) for scale in scales_holding(chord)],
        "instrument": instrument_facts(neck),
        "level": level,
        "small_hand": small_hand,
        "thumb": thumb,
        "may_be_missing": left_out,
        "shapes": [shape_facts(shape, chord, thumb) for shape in shapes],
        "near_the_first": near_facts(shapes[0]) if shapes else [],
        "from_the_first": lead_facts(shapes[0], _targets(meaning), limits) if shapes else [],
    }


def _targets(meaning: Facts) -> list[str]:
    """Return the chords that a chord leads to as a dominant."""
    if "parents" in meaning:
        return [parent["leads_to"] for parent in meaning["parents"]]
    return [meaning["leads_to"]] if "leads_to" in meaning else []


def read_chord(symbol: str) -> tuple[Chord, tuple[str, ...]]:
    """Return the chord of a typed symbol, and what is doubtful in it.

    Raises
    ------
    HarmonyError
        If it cannot be read, or means that nothing sounds.

    Examples
    --------
    >>> read_chord("C9")[0].symbol
    'C9'
    """
    try:
        reading = read_symbol(symbol)
    except HarmonyError as error:
        if _LIKE_A_SHAPE.fullmatch(symbol.strip()):
            raise HarmonyError(
                error.what,
                place=error.place,
                rule="a chord symbol begins with a root, A to G; a shape has its own option",
                mend=f"harmonykit chord --frets {symbol.strip()}",
            ) from None
        raise
    if reading.chord is None:
        raise HarmonyError(f"{symbol!r} means that no chord sounds", mend='a chord: "F#dim7"')
    return reading.chord, reading.doubts


def read_instrument(text: str) -> Instrument:
    """Return a named instrument, or one of typed strings where the text holds octaves.

    Examples
    --------
    >>> read_instrument("guitar").tuning, read_instrument("G3 D4 A4 E5").tuning
    ('E A D G B E', 'G D A E')
    """
    try:
        return Instrument.named(text)
    except HarmonyError:
        if any(character.isdigit() for character in text):
            return Instrument.parse(text)
        raise


def _tones(chord: Chord) -> list[Facts]:
    pairs = zip(chord.tones, chord.degrees, strict=True)
    return [
        {"note": note.name, "degree": degree.name, "semitones": degree.pitch_class}
        for note, degree in pairs
    ]


def _scales(chord: Chord) -> list[Facts]:
    """Return the scales on a chord's root that hold it, with the notes that clash when held.

    Scales of seven notes must spell the chord's tones as the chord does.
    """
    found = (Scale(chord.root, name) for name in SCALES)
    names = {note.name for note in chord.tones}
    return [
        {
            "tonic": scale.tonic.name,
            "scale": scale.name,
            "avoid": [note.name for note in avoid_notes(scale, chord)],
        }
        for scale in found
        if chord.pcs <= scale.pcs
        and (len(scale.degrees) != 7 or names <= {note.name for note in scale.notes})
    ]


def _one_note_away(chord: Chord) -> list[Facts]:
    """Return the chords that one note moved by a semitone makes, with that note."""
    heard = {note.pitch_class: note for note in (*chord.tones, chord.bass)}
    return [
        {
            "chord": near.symbol,
            "moved": [
                heard[next(iter(chord.pcs - near.pcs))].name,
                next(note for note in near.tones if note.pitch_class not in chord.pcs).name,
            ],
        }
        for near in neighbours(chord)
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
    found: Facts = {
        "led_to_by": {side: approach(chord, side).symbol for side in SIDES},
        "why": {use.side: use.reason for use in uses(chord)},
    }
    if chord.is_dominant:
        target = chord.root.transpose(Interval.parse("-P5")).at(None)
        found["leads_to"] = target.name
        found["its_diminished"] = approach(target).symbol
    return found
