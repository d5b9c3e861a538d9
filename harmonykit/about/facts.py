"""What is told of a chord as plain lists, texts and numbers, ready for JSON.

Nothing is worked out here: it is what ``harmonykit.about.known.KnownChord`` says.
"""

from collections.abc import Sequence

from harmonykit.about.known import KnownChord, Neighbour
from harmonykit.about.roles import Role
from harmonykit.about.scales import ChordScale
from harmonykit.about.shapes import (
    Facts,
    Hand,
    instrument_facts,
    lead_facts,
    left_out,
    near_facts,
    shape_facts,
    shapes_of,
)
from harmonykit.about.ways import DOMINANT, Way
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, Raising, Resolution, approach, raisings, resolutions
from harmonykit.theory.uses import uses
from harmonykit.tune.analysis.surprise import often_next, why_uncounted

FORMAT = 1


def chord_facts(about: KnownChord) -> Facts:
    """Return everything that a chord tells without an instrument.

    Examples
    --------
    >>> known = chord_facts(KnownChord(Chord.parse("Dm7")).in_key("C"))
    >>> known["functions"][0]["numeral"], known["synonyms"], known["prepares"]
    ('ii7', ['F6'], ['G7'])
    """
    diminished, ways = about.chord.is_diminished_seventh, about.resolutions
    meaning = _diminished(about.chord) if diminished else _other(about, ways)
    return {
        "format": FORMAT,
        "symbol": about.symbol,
        "printed": about.unicode,
        "doubts": list(about.doubts),
        "bass": about.bass.name,
        "tones": [
            {"note": note.name, "degree": degree.name, "semitones": degree.pitch_class}
            for note, degree in zip(about.tones, about.degrees, strict=True)
        ],
        "not_played": [degree.name for degree in about.not_played],
        "set_class": about.set_class.forte_name,
        "synonyms": [one.symbol for one in about.synonyms],
        "names": [
            {"chord": name.symbol, "missing": [degree.name for degree in name.missing]}
            for name in about.names
        ],
        "functions": [_role(role) for role in about.functions],
        "dominants": [
            {
                "chord": one.chord.symbol,
                "missing": [degree.name for degree in one.missing],
                "target": one.target.name,
            }
            for one in about.dominants
        ],
        "resolves_to": [way.target.symbol for way in ways if way.kind == DOMINANT],
        "prepares": [way.target.symbol for way in ways if way.kind != DOMINANT],
        "substitutes": [
            {"chord": one.chord.symbol, "kind": one.kind, "keeps": [n.name for n in one.common]}
            for one in about.substitutes
        ],
        **meaning,
        "heard_next": [
            {
                "chord": after.symbol,
                "times": often.times,
                "tunes": often.tunes,
                "of": often.of,
                "style": often.style,
                "counted_as": often.counted_as,
            }
            for after, often in often_next(about.chord)
        ],
        "why_not_heard": why_uncounted([about.chord]),
        "one_note_away": [_neighbour(near) for near in about.neighbours],
        "scales": [_scale(scale) for scale in about.scales],
        "held_by": [str(scale) for scale in about.held_by],
        "sixth_diminished": [scale.title for scale in about.sixth_diminished],
    }


def shape_part(about: KnownChord, neck: Instrument, hand: Hand) -> Facts:
    """Return what is told of a chord on an instrument: shapes, and what lies near the first.

    Examples
    --------
    >>> told = shape_part(KnownChord(Chord.parse("G7")), Instrument.named("ukulele"), Hand())
    >>> told["shapes"][0]["digits"], told["from_the_first"][0]["digits"]
    ('0-2-1-2', '0-0-0-3')
    """
    shapes = shapes_of(about.chord, neck, hand=hand)
    first = shapes[0].voicing if shapes else None
    targets = [way.target for way in about.resolutions if way.kind == DOMINANT][: _leads(about)]
    return {
        "instrument": instrument_facts(neck),
        "level": hand.level,
        "small_hand": hand.small,
        "thumb": hand.thumb,
        "after": hand.after,
        "may_be_missing": [degree.name for degree in left_out(shapes)],
        "shapes": [shape_facts(shape) for shape in shapes],
        "near_the_first": near_facts(first) if first else [],
        "from_the_first": lead_facts(first, targets, hand.limits(neck)) if first else [],
    }


def _leads(about: KnownChord) -> int:
    """Return to how many targets shapes are led: all of a symmetrical chord, else the first."""
    return len(about.resolutions) if about.set_class.symmetry[0] > 1 else 1


def _role(role: Role) -> Facts:
    return {
        "key": str(role.key),
        "numeral": role.numeral,
        "chord": role.chord.symbol,
        "function": role.function,
    }


def _scale(found: ChordScale) -> Facts:
    return {
        "tonic": found.scale.tonic.name,
        "scale": found.scale.name,
        "avoid": [note.name for note in found.avoid],
    }


def _neighbour(near: Neighbour) -> Facts:
    return {"chord": near.chord.symbol, "moved": _move(near.move)}


def _diminished(chord: Chord) -> Facts:
    """Return what one note moved by a semitone makes of a diminished seventh."""
    return {
        "parents": [_parent(way) for way in resolutions(chord)],
        "minor_sixths": [_sixth(way) for way in raisings(chord)],
    }


def _parent(way: Resolution) -> Facts:
    return {
        "chord": way.parent.symbol,
        "lowered": _move(way.lowered),
        "leads_to": way.target.name,
        "moves": [_move(move) for move in way.moves],
    }


def _sixth(way: Raising) -> Facts:
    return {
        "chord": way.sixth.symbol,
        "also": way.half_diminished.symbol,
        "raised": _move(way.raised),
    }


def _move(move: Move) -> list[str]:
    return [move.start.name, move.end.name]


def _other(about: KnownChord, ways: Sequence[Way]) -> Facts:
    """Return what leads to a chord that is not a diminished seventh, and where a dominant leads."""
    before = uses(about.chord)
    found: Facts = {
        "led_to_by": {use.side: use.chord.symbol for use in before},
        "why": {use.side: use.reason for use in before},
        "its_dominant": about.led_to_by[0].chord.symbol,
    }
    goals = [way.target for way in ways if way.kind == DOMINANT]
    if about.chord.is_dominant and goals:
        found["leads_to"] = goals[0].root.name
        found["its_diminished"] = approach(goals[0]).symbol
    return found
