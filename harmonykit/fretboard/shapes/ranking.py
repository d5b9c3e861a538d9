"""The shapes of a chord in the order in which a player would take them, after another or not.

Alone, the order is that of a chord book (``marks``).  After a shape the order is of a sum, the
greatest first:

- the way to it, by weights that were fitted on a player's choices within one texture
  (``features``, ``evidence.weights``),
- by rule, ``KEPT`` where the texture stays: nothing in what was counted says what leaving it costs,
- by rule, less ``ODD`` for each mark against the shape as such (``marks``); and less ``USUAL``
  after *open*, *barre* and *movable* shapes, where players take what a chord book has first.

What was fitted is one guitarist's: four voices on four neighbouring strings, no open ones.  So
``strings``, ``inversion`` and ``voices`` count after voiced textures only, and ``neck`` on guitars
only; elsewhere the hand's way alone is taken from it.

Conventions.  A row is a candidate, a column a feature, in the order of ``FEATURES``:

- ``strings``: 1 where the same strings sound, else 0,
- ``inversion``: 1 where the root is the same voice, counted from the lowest pitch, else 0,
- ``hand``: how far the middle of what is fretted moves along the neck, in cm,
- ``neck``: how far that middle is from the sixth fret, squared, in dm²,
- ``voices``: what a voice moves, squared, the mean of all voices, in semitones²; where the number
  of voices differs, each of the more goes to the nearest of the fewer.

A shape of open strings is held with the hand at the first fret.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.errors import HarmonyError
from harmonykit.evidence.weights import read_model
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes import finding, frettings, textures
from harmonykit.fretboard.shapes.marks import judge, most_usual_first
from harmonykit.fretboard.shapes.tones import keeps_altered, mask, usual_omissions
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing, pitches_of
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.naming import exact_names, name_chords

FEATURES = ("strings", "inversion", "hand", "neck", "voices")
Numbers = NDArray[np.float64]

_MIDDLE_FRET = 6


def features(
    before: Voicing, root: int | None, chord: Chord, candidates: Sequence[Voicing]
) -> Numbers:
    """Return the features of the way from a shape to each candidate: an array (candidates, 5).

    Parameters
    ----------
    before : Voicing
    root : int or None
        The pitch class of its root, where that is known (``name_of``).
    chord : Chord
        The chord of the candidates.
    candidates : sequence of Voicing
        On the same instrument.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> guitar = Instrument.named("guitar")
    >>> d7, g7 = (Voicing.parse(digits, guitar) for digits in ("x5757x", "x5546x"))
    >>> features(d7, 2, Chord.parse("G7"), [g7]).round(2).tolist()
    [[1.0, 0.0, 2.69, 0.08, 1.5]]
    """
    found: Numbers = np.array(
        [_row(before, root, chord.root.pitch_class, after) for after in candidates]
    ).reshape(len(candidates), len(FEATURES))
    return found


def name_of(voicing: Voicing, target: Chord) -> Chord | None:
    """Return the chord that a shape most likely is, before another; ``None`` where it has no name.

    Of two names with the same notes the one with a seventh is taken (Am7, not C6), since charts
    write it more often.  A diminished seventh is heard on the leading tone of its target where it
    has that, else on its lowest pitch.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> guitar = Instrument.named("guitar")
    >>> shapes = [Voicing.parse(digits, guitar) for digits in ("xx6767", "x7758x", "x323xx")]
    >>> [str(name_of(shape, Chord.parse("Cm7"))) for shape in shapes]
    ['Bdim7', 'Am7', 'C7']
    """
    names = exact_names(voicing.pcs)
    if any(name.is_diminished_seventh for name in names):
        leading = (target.root.pitch_class - 1) % 12
        root = leading if leading in voicing.pcs else voicing.lowest % 12
        return next(name for name in names if name.root.pitch_class == root)
    sevenths = [name for name in names if any(degree.number == 7 for degree in name.degrees)]
    if names:
        return (sevenths or list(names))[0]
    read = name_chords(voicing.pcs, bass=voicing.lowest % 12)
    return read[0].chord if read else None


def _row(before: Voicing, root: int | None, target: int, after: Voicing) -> list[float]:
    old, new = sorted(before.sounding), sorted(after.sounding)
    stood, stands = middle_mm(before), middle_mm(after)
    same = [a is None for a in before.frets] == [b is None for b in after.frets]
    home = before.instrument.finger_mm(_MIDDLE_FRET)
    return [
        float(same),
        float(root is not None and _voice(old, root) == _voice(new, target) is not None),
        abs(stands - stood) / 10,
        ((stands - home) / 100) ** 2,
        _voices(old, new),
    ]


def _voice(pitches: list[int], root: int) -> int | None:
    """Return which voice from the lowest is the root's first."""
    return next((n for n, pitch in enumerate(pitches) if pitch % 12 == root), None)


def middle_mm(voicing: Voicing) -> float:
    """Return the middle of what is fretted, in mm from the nut; the first fret's where all is open.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> round(middle_mm(Voicing.parse("0013", Instrument.named("ukulele"))), 1)
    35.0
    """
    places = [voicing.instrument.finger_mm(fret) for fret in voicing.fretted or (1,)]
    return sum(places) / len(places)


def _voices(old: list[int], new: list[int]) -> float:
    if len(old) == len(new):
        moves: Any = [a - b for a, b in zip(old, new, strict=True)]
    else:
        more, fewer = sorted((old, new), key=len, reverse=True)
        moves = [min(abs(a - b) for b in fewer) for a in more]
    return float(sum(move * move for move in moves)) / len(moves)


KEPT, ODD, USUAL = 5.0, 0.15, 2.0
"""By rule: what a kept texture counts, and a mark against a voiced shape and against another."""

_HIGHEST_FRET, _SPAN = 15, 4
_MOST_VOICES, _ROOT = 4, 0


def rank_shapes(
    chord: ChordLike,
    instrument: InstrumentLike,
    after: Voicing | str | None = None,
    texture: str | None = None,
) -> tuple[Voicing, ...]:
    """Return the shapes of a chord, the most natural first.

    Parameters
    ----------
    chord : Chord or str
    instrument : Instrument or str
    after : Voicing or str, optional
        The shape that the hand holds before; it is not offered again.
    texture : str, optional
        How the notes lie or the hand holds: ``"shell"``, ``"drop 2"``, ``"open"`` and so on.

    Returns
    -------
    tuple of Voicing
        Up to fret 15, of every texture unless one is given; without ``after`` in the order of a
        chord book.

    Raises
    ------
    HarmonyError
        If a text cannot be read, the texture is not known, or the shape is of another instrument.

    Examples
    --------
    >>> [shape.digits for shape in hk.rank_shapes("C7", "guitar", after="x-5-7-5-6-x")[:2]]
    ['x-3-5-3-5-x', 'x-7-8-5-8-x']
    >>> [shape.digits for shape in hk.rank_shapes("C7", "guitar", texture="shell")[:2]]
    ['x-3-2-3-x-x', 'x-3-x-3-5-x']
    >>> hk.rank_shapes("F", "ukulele", after="0003")[0].digits
    '2-0-1-0'
    """
    neck, wanted = as_instrument(instrument), as_chord(chord)
    before = None if after is None else as_voicing(after, neck)
    textures.check_texture(texture)
    if before is not None and before.instrument != neck:
        raise HarmonyError(
            f"the shape {before.digits} is for {before.instrument.name}",
            rule=f"it must be for {neck.name}, as the search is",
        )
    found = [shape for shape in candidates(wanted, neck) if shape != before]
    if texture is not None:
        found = [shape for shape in found if texture in textures.textures_of(shape, wanted)]
    return tuple(found if before is None else in_order_after(before, wanted, found))


@lru_cache(maxsize=512)
def candidates(chord: Chord, instrument: Instrument) -> tuple[Voicing, ...]:
    """Return the shapes of a chord in all textures, in the order of a chord book.

    They are the usual shapes, with a fret more of span; and shapes without the root, or root and
    fifth, of four voices at most, each tone once and no string open.

    Examples
    --------
    >>> found = candidates(Chord.parse("C7"), Instrument.named("guitar"))
    >>> wanted = ("x32310", "x3535x", "x323xx", "xx535x", "xx23xx")
    >>> [Voicing.parse(digits, Instrument.named("guitar")) in found for digits in wanted]
    [True, True, True, True, True]
    """
    hand = Limits(max_fret=min(_HIGHEST_FRET, instrument.frets))
    wider = finding.Wanted(max_span=_SPAN if textures.has_many_strings(instrument) else None)

    def found_with(wanted: finding.Wanted) -> list[frettings.Fretting]:
        return finding.unordered(chord, instrument, hand.max_fret, hand, wanted=wanted)

    frets = found_with(wider)
    if len(chord.semitones) >= _MOST_VOICES:
        strings = len(instrument.midi)
        spare = (_ROOT, *usual_omissions(chord, strings))
        few = replace(wider, omit=spare, doubling=False, opens=strings <= _MOST_VOICES)
        found = filter(_is_voiced, found_with(few))
        heard = ((shape, mask(pitches_of(instrument, shape), 0)) for shape in found)
        frets += [shape for shape, tones in heard if keeps_altered(chord, strings, tones)]
    ordered = most_usual_first(chord, instrument, dict.fromkeys(frets))
    return tuple(Voicing(instrument, each) for each in ordered)


def _is_voiced(frets: frettings.Fretting) -> bool:
    return 0 not in frets and len(frets) - frets.count(None) <= _MOST_VOICES


def in_order_after(
    before: Voicing, chord: Chord, shapes: Sequence[Voicing], fitted: Sequence[float] = ()
) -> list[Voicing]:
    """Return shapes in the order in which they follow another; of equals the more usual first.

    Parameters
    ----------
    before : Voicing
    chord : Chord
        The chord of the shapes.
    shapes : sequence of Voicing
        The most usual first.
    fitted : sequence of float
        Weights in the order of ``movement.FEATURES``; those of the table where empty.
    """
    neck, held = before.instrument, name_of(before, chord)
    kept = textures.kept_texture(before, held)
    many, voiced = textures.has_many_strings(neck), kept not in textures.FAMILY
    counted = {"hand": True, "neck": many and voiced, "strings": many and voiced}
    counts = np.array([counted.get(name, voiced) for name in FEATURES])
    root = None if held is None else held.root.pitch_class
    ways = features(before, root, chord, shapes)
    score = ways @ (counts * np.array(fitted or read_model("shapes").values))
    marker = judge(chord, neck)
    marks = np.array([marker.mark(shape.frets) for shape in shapes])
    score = score - marks * (ODD if voiced else USUAL)
    if many:
        stays = [
            _stays(before, kept, shape, textures.textures_of(shape, chord)[0]) for shape in shapes
        ]
        score = score + KEPT * np.array(stays, dtype=float)
    return [shapes[place] for place in np.argsort(-score.round(9), kind="stable")]


def _stays(before: Voicing, kept: str, after: Voicing, texture: str) -> bool:
    """Whether a hand keeps its texture: of voiced ones with the same number of voices."""
    count = kept in textures.FAMILY or len(before.sounding) == len(after.sounding)
    return count and textures.same_family(kept, texture)
