"""The textures that a whole row of chords may keep, and the shapes that each of them allows.

A level or a style has one; what it asks of a shape is asked by what sounds, so that a re-entrant
instrument is judged as it is heard (common practice, no source):

- *open and barre*: what a chord book prints first, with open strings or an index laid flat; on four
  strings and fewer movable shapes too, as long as all strings sound,
- *shells*: three notes, the bass lowest, with third and seventh; the sixth stands in for a seventh
  and the fifth where the chord has neither.  The upper two lie side by side, the bass one string
  apart at most; where there are five strings and more it is on one of the two lowest, and a triad
  may be spread: root and fifth side by side, the tenth a string apart,
- *two strings*: the guide tones alone, third and seventh; a triad has third and root.  One string
  at most lies between,
- *close*, *drop 2*, *drop 3*: each tone once, as ``textures`` has it, on neighbouring strings (but
  for the bass of drop 3); a triad has its own close and open position, and no drop 3,
- *rootless*: third and seventh with a fifth or a tension, without the root,
- *tenths*: the root and its tenth,
- *fourths*: four notes, each a fourth above the one before (``fourths``), of minor and suspended
  chords, and of a 6/9 or a major thirteenth, whose notes they are,
- *one voice moves*: all tones, each once where it can be; which of the shapes is for the row to say
  (``one_voice``),
- *chord melody*: any of these, with nothing a semitone or a minor ninth below the highest note.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from itertools import islice

from harmonykit.errors import need_one_of
from harmonykit.fretboard.hands.hand import Limits, as_limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes import finding, fourths, marks, ranking, textures
from harmonykit.fretboard.shapes.tones import unwanted
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.guides import guide_degrees

_SPAN, _SHELL, _FOUR = 4, 3, 4
# Open strings sound beside fingers up to this fret; a chord book prints so many shapes of a chord.
_OPEN_UP_TO, _PRINTED = 5, 24
# By so many semitones a third may lie too low in a shell: over B flat, not over A.
_THICK = 2
ONE_VOICE, CHORD_MELODY = "one voice moves", "chord melody"
_TENTHS = (15, 16)
_FIFTHS = (6, 7, 8)
_RUBS = (1, 13)


def texture_shapes(
    chord: ChordLike, instrument: InstrumentLike, texture: str, limits: Limits | None = None
) -> tuple[Voicing, ...]:
    """Return the shapes of a chord in a texture that a row of chords may keep.

    Parameters
    ----------
    chord : Chord or str
    instrument : Instrument or str
    texture : str
        One of ``ROW_TEXTURES``: ``"shells"``, ``"drop 2"``, ``"two strings"`` and so on.
    limits : Limits, optional
        The hand; a wide one where not given.

    Returns
    -------
    tuple of Voicing
        The most usual first; none where the instrument does not have the texture
        (``texture_missing`` says why).

    Raises
    ------
    HarmonyError
        If a text cannot be read or the texture is not known.

    Examples
    --------
    >>> [one.digits for one in hk.fretboard.texture_shapes("G7", "guitar", "shells")[:3]]
    ['3-x-3-4-x-x', 'x-10-9-10-x-x', 'x-10-x-10-12-x']
    >>> [one.digits for one in hk.fretboard.texture_shapes("C7", "ukulele", "two strings")[:3]]
    ['x-x-0-1', '3-4-x-x', 'x-4-6-x']
    >>> hk.fretboard.texture_shapes("C", "ukulele", "drop 3")
    ()
    """
    need_one_of(texture, "texture", ROW_TEXTURES)
    hand = as_limits(limits, Limits())
    return _shapes(as_chord(chord), as_instrument(instrument), texture, hand)


def texture_missing(
    chord: ChordLike, instrument: InstrumentLike, texture: str, limits: Limits | None = None
) -> str:
    """Return why a chord has no shape in a texture on an instrument; empty where it has one.

    Parameters
    ----------
    chord : Chord or str
    instrument : Instrument or str
    texture : str
        One of ``ROW_TEXTURES``.
    limits : Limits, optional
        The hand; a wide one where not given.

    Returns
    -------
    str

    Examples
    --------
    >>> hk.fretboard.texture_missing("C", "guitar", "drop 3")
    'C is a triad: drop 3 needs four tones'
    >>> print(hk.fretboard.texture_missing("D", "ukulele", "tenths"))
    no hand holds D in tenths on the ukulele: its open strings span only 9 semitones
    >>> hk.fretboard.texture_missing("Dm7", "ukulele", "close")
    ''
    """
    if texture_shapes(chord, instrument, texture, limits):
        return ""
    harmony, neck = as_chord(chord), as_instrument(instrument)
    name, guides = harmony.unicode, guide_tones(harmony)
    if texture == fourths.FOURTHS and (why := fourths.not_in_fourths(harmony)):
        return why
    if texture in ("drop 3", "rootless") and len(harmony.semitones) < _FOUR:
        return f"{name} is a triad: {texture} needs four tones"
    if texture in ("two strings", "tenths") and not guides:
        return f"{name} has no third"
    if texture in ("close", "drop 2", "drop 3") and len(neck.strings) < _FOUR:
        return f"{texture} takes four strings: the {neck.name} has {len(neck.strings)}"
    spread = max(neck.midi) - min(neck.midi)
    held = f"no hand holds {name} in {texture} on the {neck.name}"
    return f"{held}: its open strings span only {spread} semitones"


def guide_tones(chord: Chord) -> tuple[int, ...]:
    """Return the semitones above the root of the two tones that tell a chord; none without a third.

    They are those of ``theory.guides``; in a triad the root stands in for the seventh (common
    practice, no source).

    Examples
    --------
    >>> [guide_tones(Chord.parse(name)) for name in ("G7", "Cm6", "F", "A7sus4", "G5")]
    [(4, 10), (3, 9), (4, 0), (5, 10), ()]
    """
    third, seventh = guide_degrees(chord)
    if third is None:
        return ()
    return third.pitch_class, 0 if seventh is None else seventh.pitch_class


def one_voice(before: Voicing, after: Voicing) -> bool:
    """Whether exactly one voice moves from a shape to another with as many notes.

    Examples
    --------
    >>> shapes = [Voicing.parse(digits, "ukulele") for digits in ("0003", "0002", "0001")]
    >>> one_voice(shapes[0], shapes[1]), one_voice(shapes[1], shapes[1])
    (True, False)
    """
    pairs = zip(sorted(before.sounding), sorted(after.sounding), strict=False)
    same = len(before.sounding) == len(after.sounding)
    return same and sum(low != high for low, high in pairs) == 1


@lru_cache(maxsize=4096)
def _shapes(
    chord: Chord, instrument: Instrument, texture: str, limits: Limits
) -> tuple[Voicing, ...]:
    return tuple(_MAKERS[texture](chord, instrument, limits))


@lru_cache(maxsize=1024)
def _usual(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return a chord's usual shapes that a hand can hold."""
    found = ranking.candidates(chord, instrument)
    return tuple(one for one in found if can_hold(one.frets, instrument, limits))


@lru_cache(maxsize=1024)
def _each_once(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return shapes in which each tone sounds once at most, of any of its tones but unwanted ones.

    A bass of the chord's symbol is left to a bass player.
    """
    tones = tuple(above for above in chord.semitones if above not in unwanted(chord))
    found = finding.find_voicings(
        chord.over(None),
        instrument,
        limits.max_fret,
        limits=limits,
        wanted=finding.Wanted(
            max_span=max(_SPAN, marks.usual_span(instrument)),
            omit=tones,
            doubling=False,
            mutes="any",
        ),
    )
    return tuple(one for one in found if 0 not in one.frets or one.highest_fret <= _OPEN_UP_TO)


def _above(one: Voicing, chord: Chord) -> list[int]:
    """Return the semitones above the root of a shape's tones, the lowest pitch first."""
    return [(pitch - chord.root.pitch_class) % 12 for pitch in sorted(one.sounding)]


def _places(one: Voicing) -> list[int]:
    return [place for place, fret in enumerate(one.frets) if fret is not None]


def side_by_side(one: Voicing) -> bool:
    """Whether no string is muted between two that sound."""
    places = _places(one)
    return places[-1] - places[0] + 1 == len(places)


def _open_and_barre(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    held = textures.FAMILY if len(instrument.midi) <= _FOUR else (textures.OPEN, textures.BARRE)
    found = (
        one
        for one in _usual(chord, instrument, limits)
        if len(one.sounding) >= min(_FOUR, len(instrument.midi))
        and textures.textures_of(one, chord)[0] in held
    )
    return list(islice(found, _PRINTED))


def _shells(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    """Return bass, third and seventh on three strings: what sounds clear first, then low frets."""
    bass = (chord.bass.pitch_class - chord.root.pitch_class) % 12
    bass = bass if bass in chord.semitones else 0
    tones = {bass, *guide_tones(chord)}
    fifth = (degree.pitch_class for degree in chord.degrees if degree.number == 5)
    for spare in (0, *fifth):
        if len(tones) < _SHELL:
            tones.add(spare)
    many = textures.has_many_strings(instrument)
    low = 1 if many else len(instrument.strings)
    found = [
        one
        for one in _each_once(chord, instrument, limits)
        if len(one.sounding) == _SHELL
        and {*(heard := _above(one, chord))} == tones
        and heard[0] == bass
        and (places := _places(one))[0] <= low
        and (_is_shell(places) or (many and _is_spread(places, heard)))
    ]
    order = sorted(found, key=lambda one: (textures.register_marks(one), one.highest_fret))
    # Three notes are heard one by one: what lies thick is left out where something else does not.
    clear = [one for one in order if textures.register_marks(one) <= _THICK]
    return clear if many and clear else order


def _is_shell(places: list[int]) -> bool:
    return places[2] - places[1] == 1 and places[1] - places[0] <= 2


def _is_spread(places: list[int], heard: list[int]) -> bool:
    """Whether root and fifth lie side by side, and the tenth a string apart."""
    return heard[1] in _FIFTHS and places[1] - places[0] == 1 and places[2] - places[1] == 2


def _two_strings(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    guides = sorted(guide_tones(chord))
    pairs = _each_once(chord, instrument, limits)
    return [
        one
        for one in pairs
        if guides
        and sorted(_above(one, chord)) == guides
        and _places(one)[1] - _places(one)[0] <= 2
    ]


def _tenths(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    found = []
    for one in _each_once(chord, instrument, limits):
        pitches = sorted(one.sounding)
        heard = _above(one, chord)
        rooted = heard[0] == 0 and heard[-1] in guide_tones(chord)[:1]
        if len(pitches) == 2 and rooted and pitches[1] - pitches[0] in _TENTHS:
            found.append(one)
    return found


def _laid_out(layout: str) -> Callable[[Chord, Instrument, Limits], list[Voicing]]:
    """Return the maker of a layout of four tones, or of a triad's."""

    def make(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
        voices = min(_FOUR, len(chord.semitones))
        name = "open" if layout == "drop 2" and voices < _FOUR else layout
        return [
            one
            for one in _each_once(chord, instrument, limits)
            if len(one.sounding) == voices
            and _tells(one, chord)
            and textures.layout_of(one.sounding) == name
            and (side_by_side(one) or name in ("drop 3", "open"))
        ]

    return make


def _tells(one: Voicing, chord: Chord) -> bool:
    """Whether a shape has the guide tones, and the tension that the symbol ends with."""
    heard = set(_above(one, chord))
    named = {d.pitch_class for d in chord.degrees if d.number > 7 or d.alter and d.number == 5}
    named -= {*chord.droppable, *unwanted(chord)}
    if len(chord.semitones) <= _FOUR:
        return heard == {*chord.semitones}
    return {*guide_tones(chord)} <= heard and len(heard & named) >= min(len(named), 2)


def _rootless(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    if len(chord.semitones) < _FOUR:
        return []
    return [
        one
        for one in _each_once(chord, instrument, limits)
        if len(one.sounding) in (3, _FOUR)
        and 0 not in (heard := _above(one, chord))
        and {*guide_tones(chord)} <= {*heard}
        and (len(chord.semitones) == _FOUR or _tells(one, chord))
        and side_by_side(one)
    ]


def _one_voice_moves(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    found = _usual(chord, instrument, limits)
    voices = min(_FOUR, len(instrument.strings))
    row = [one for one in found if len(one.sounding) == voices and side_by_side(one)]
    return row or list(found)


def _chord_melody(chord: Chord, instrument: Instrument, limits: Limits) -> list[Voicing]:
    return [one for one in _usual(chord, instrument, limits) if clear_on_top(one)]


def clear_on_top(voicing: Voicing) -> bool:
    """Whether no note lies a semitone or a minor ninth below the highest.

    Examples
    --------
    >>> [clear_on_top(Voicing.parse(digits, "ukulele")) for digits in ("0002", "4433")]
    [True, False]
    """
    return all(voicing.top - pitch not in _RUBS for pitch in voicing.sounding)


_MAKERS: dict[str, Callable[[Chord, Instrument, Limits], list[Voicing]]] = {
    "open and barre": _open_and_barre,
    "shells": _shells,
    "two strings": _two_strings,
    "close": _laid_out("close"),
    "drop 2": _laid_out("drop 2"),
    "drop 3": _laid_out("drop 3"),
    "rootless": _rootless,
    "tenths": _tenths,
    fourths.FOURTHS: lambda *asked: [*fourths.in_fourths(*asked)],
    ONE_VOICE: _one_voice_moves,
    CHORD_MELODY: _chord_melody,
}
ROW_TEXTURES = tuple(_MAKERS)
"""The names of textures that a row of chords may keep."""
