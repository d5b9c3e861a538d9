"""Everything about a chord, as one value, and as plain lists and texts: ``hk.chord("C13")``.

The command ``harmonykit chord`` and the panels tell what this value tells.  Nothing is worked out
here: it is what ``harmonykit.about.known.KnownChord`` says.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from harmonykit.about import shapes as about_shapes
from harmonykit.about.keys import ChordScale, Role
from harmonykit.about.known import KnownChord, Neighbour
from harmonykit.about.shapes import Facts, Hand
from harmonykit.about.text import to_text
from harmonykit.about.ways import DOMINANT, Way
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.chord import Reading, read_symbol
from harmonykit.theory.diminished import Move, Resolution, approach, resolutions
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_key
from harmonykit.theory.kin import Raising, raisings
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.theory.uses import uses
from harmonykit.tune.analysis.surprise import often_next, why_uncounted

FORMAT = 1


def chord_facts(about: KnownChord) -> Facts:
    """Return everything that a chord tells without an instrument.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> known = chord_facts(KnownChord(Chord.parse("Dm7")).in_key("C"))
    >>> known["functions"][0]["numeral"], known["synonyms"], known["prepares"]
    ('ii7', ['F6'], ['G7'])
    """
    diminished, ways = about.chord.is_diminished_seventh, about.resolutions
    meaning = _diminished(about, ways) if diminished else _other(about, ways)
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
                "target": way.target.over(None).symbol,
            }
            for way in ways
            if (one := way.dominant)
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
    >>> from harmonykit.theory.chord import Chord
    >>> told = shape_part(KnownChord(Chord.parse("G7")), Instrument.named("ukulele"), Hand())
    >>> told["shapes"][0]["digits"], told["from_the_first"][0]["digits"]
    ('0-2-1-2', '0-0-0-3')
    """
    shapes = about_shapes.shapes_of(about.chord, neck, hand=hand)
    first = shapes[0].voicing if shapes else None
    targets = [way.target for way in about.resolutions if way.kind == DOMINANT][: _leads(about)]
    return {
        "instrument": about_shapes.instrument_facts(neck),
        "level": hand.level,
        "small_hand": hand.small,
        "thumb": hand.thumb,
        "after": hand.after,
        "may_be_missing": [degree.name for degree in about_shapes.left_out(shapes)],
        "shapes": [about_shapes.shape_facts(shape) for shape in shapes],
        "near_the_first": about_shapes.near_facts(first, about.chord) if first else [],
        "from_the_first": about_shapes.lead_facts(first, targets, hand.limits(neck))
        if first
        else [],
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


def _diminished(about: KnownChord, ways: Sequence[Way]) -> Facts:
    """Return what one note moved by a semitone makes of a diminished seventh."""
    by_root = {way.dominant.chord.root: way for way in ways if way.dominant}
    return {
        "parents": [_parent(way, by_root[way.parent.root]) for way in resolutions(about.chord)],
        "minor_sixths": [_sixth(way) for way in raisings(about.chord)],
    }


def _parent(lowered: Resolution, way: Way) -> Facts:
    return {
        "chord": lowered.parent.symbol,
        "lowered": _move(lowered.lowered),
        "leads_to": way.target.symbol,
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
    root = about.chord.root
    goals = [way.target for way in ways if way.dominant and way.dominant.chord.root == root]
    if about.chord.is_dominant and goals:
        found["leads_to"] = goals[0].root.name
        found["its_diminished"] = approach(goals[0]).symbol
    return found


_LIKE_A_SHAPE = re.compile(r"[0-9xX](?:[\s,-]*[0-9xX]){2,}[\s,-]*")


class AboutChord(KnownChord):
    """Everything about a chord; each property is worked out when it is asked for.

    Parameters
    ----------
    chord : Chord
    doubts : tuple of str
        What some schools read otherwise.
    key : Key, optional
        The key in which it is asked about.

    Examples
    --------
    >>> about = hk.chord("C6", key="G")
    >>> about
    chord('C6', key='G major')
    >>> print(about)
    C6
    <BLANKLINE>
    tones       C  E  G  A
    degrees     1  3  5  6
    ...
    """

    __slots__ = ()

    def facts(self, instrument: InstrumentLike | None = None, hand: Hand | None = None) -> Facts:
        """Return everything as plain lists, texts and numbers, ready for JSON.

        Parameters
        ----------
        instrument : Instrument or str, optional
            With shapes on it; without shapes where not given.
        hand : Hand, optional
            A wide one where not given.

        Returns
        -------
        Facts

        Examples
        --------
        >>> known = hk.chord("F#dim7").facts("ukulele")
        >>> [parent["chord"] for parent in known["parents"]], len(known["shapes"])
        (['Ab7', 'B7', 'D7', 'F7'], 9)
        """
        known = chord_facts(self)
        if instrument is None:
            return known
        return {**known, **shape_part(self, as_instrument(instrument), hand or Hand())}

    def text(self, instrument: InstrumentLike | None = None, hand: Hand | None = None) -> str:
        """Return everything as text, in lines of at most 80 columns.

        Parameters
        ----------
        instrument : Instrument or str, optional
            Its name, its open strings, or a value.
        hand : Hand, optional

        Returns
        -------
        str

        Examples
        --------
        >>> print(hk.chord("G7").text("ukulele").splitlines()[2])
        tones       G  B  D  F
        """
        return to_text(self.facts(instrument, hand))

    def __str__(self) -> str:
        return self.text()

    def _repr_pretty_(self, printer: Any, cycle: object) -> None:
        """Show all that is told where IPython shows a value by itself."""
        printer.text(repr(self) if cycle else str(self))


def chord(
    symbol: ChordLike, key: KeyLike | None = None, *, dialect: Dialect = DEFAULT
) -> AboutChord:
    """Return everything about a chord.

    Parameters
    ----------
    symbol : str or Chord
        A symbol as people type them: ``"C13"``, ``"Bm7b5"``, ``"F#dim7/A"``.
    key : Key or str, optional
        The key in which its functions are told; without it, in every key that has the chord.
    dialect : Dialect
        How to read what schools write alike and mean differently.

    Returns
    -------
    AboutChord
        With ``tones``, ``names``, ``functions``, ``dominants``, ``resolutions``, ``scales``,
        ``substitutes``, ``neighbours``, ``shapes("ukulele")`` and more.

    Raises
    ------
    HarmonyError
        If the symbol cannot be read or means that nothing sounds; with a caret and near readings.

    Examples
    --------
    >>> hk.chord("Bdim7").resolutions[2].target, hk.chord("C6").synonyms
    (Chord.parse('C'), (Chord.parse('Am7'),))
    """
    home = None if key is None else as_key(key)
    if not isinstance(symbol, str):
        held = symbol.doubts if isinstance(symbol, AboutChord) else ()
        return AboutChord(as_chord(symbol), held, home)
    reading = _read(symbol, dialect)
    if reading.chord is None:
        raise HarmonyError(f"{symbol!r} means that no chord sounds", mend='a chord: "F#dim7"')
    return AboutChord(reading.chord, reading.doubts, home)


def _read(symbol: str, dialect: Dialect) -> Reading:
    """Read a symbol; one that looks like a shape is told where shapes are read."""
    try:
        return read_symbol(symbol, dialect)
    except HarmonyError as error:
        if _LIKE_A_SHAPE.fullmatch(symbol.strip()):
            frets = symbol.strip()
            raise HarmonyError(
                error.what,
                place=error.place,
                rule="a chord symbol begins with a root, A to G; type a shape as fret numbers",
                mend=f'read_shape("{frets}", "ukulele"), or harmonykit chord --frets {frets}',
            ) from None
        raise
