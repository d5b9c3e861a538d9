"""Textures: which strings a shape takes and how its notes lie, as players name it.

Conventions.  A *shell* is root, third and seventh (or what stands for them) with the root on the
sixth or fifth string, and at most a tension above them; *two strings* are third and seventh alone,
*tenths* a bass and its tenth.
*Close*, *drop 2*, *drop 3* and *drop 2 and 4* are layouts of three or four tones, each sounded once
(``spacing``); a triad with its middle voice dropped is *spread*.  A shape is *open* where a string
sounds open, *barre* where a finger lies over three strings or more, else *movable*; *rootless*
where no string sounds the root.  On four strings and fewer, and beside a banjo's short string, what
counts first is whether a string sounds open.  (Common practice, no source.)

The first texture of a shape is the one that a hand keeps: *voiced* textures keep their strings and
voices.  *Open*, *barre* and *movable* are one family; so are *shell* and *drop 3*, whose bass is on
a string apart.
"""

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.marks import MANY_STRINGS
from harmonykit.fretboard.shapes.spacing import layout_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

OPEN, BARRE, MOVABLE, ROOTLESS = "open", "barre", "movable", "rootless"
SHELL, TWO_STRINGS, TENTHS, SPREAD = "shell", "two strings", "tenths", "spread"
FAMILY = (OPEN, BARRE, MOVABLE)
_ON_A_BASS = (SHELL, "drop 3")
VOICED = (SHELL, TWO_STRINGS, TENTHS, "close", SPREAD, "drop 2", "drop 3", "drop 2 and 4")
TEXTURES = (*FAMILY, *VOICED, ROOTLESS)
"""The names of textures."""

_BARRED = 3
_THIRDS = (3, 4)
_IN_PLACE_OF_A_THIRD = (2, 5)
_SEVENTHS = (9, 10, 11)
_TENTHS = (15, 16)


def textures_of(voicing: Voicing, chord: Chord) -> tuple[str, ...]:
    """Return every texture of a shape of a chord, the one that a hand keeps first.

    Examples
    --------
    >>> guitar = Instrument.named("guitar")
    >>> for digits in ("x-3-2-3-x-x", "x-3-5-3-5-x", "8-x-8-9-8-x", "x-3-2-3-1-0"):
    ...     print(*textures_of(Voicing.parse(digits, guitar), Chord.parse("C7")), sep=", ")
    shell, movable
    drop 2, barre
    drop 3, movable
    open
    """
    pitches = sorted(voicing.sounding)
    held = _held(voicing)
    low = next(string for string, fret in enumerate(voicing.frets) if fret is not None)
    voiced = _voiced(pitches, chord, bass=has_many_strings(voicing.instrument) and low < 2)
    found = [held]
    if voiced:
        first = has_many_strings(voicing.instrument) and held != OPEN
        found = [voiced, held] if first else [held, voiced]
    if all((pitch - chord.root.pitch_class) % 12 for pitch in pitches):
        found.append(ROOTLESS)
    return tuple(found)


def kept_texture(voicing: Voicing, chord: Chord | None) -> str:
    """Return the texture that a hand keeps after a shape, also where its chord is not known.

    Two strings alone are tenths or guide tones, whatever they are of.

    Examples
    --------
    >>> kept_texture(Voicing.parse("xx34xx", Instrument.named("guitar")), None)
    'two strings'
    """
    pitches = sorted(voicing.sounding)
    if len(pitches) == 2 and has_many_strings(voicing.instrument) and 0 not in voicing.frets:
        return TENTHS if pitches[1] - pitches[0] in _TENTHS else TWO_STRINGS
    return _held(voicing) if chord is None else textures_of(voicing, chord)[0]


def has_many_strings(instrument: Instrument) -> bool:
    """Whether a hand may choose among strings: five or more, none of them short.

    Examples
    --------
    >>> [has_many_strings(Instrument.named(name)) for name in ("guitar", "banjo", "ukulele")]
    [True, False, False]
    """
    return len(instrument.midi) >= MANY_STRINGS and not instrument.starts


def same_family(one: str, other: str) -> bool:
    """Whether a hand that goes from one texture to the other keeps what matters of it.

    Examples
    --------
    >>> same_family("shell", "drop 3"), same_family("open", "barre"), same_family("open", "close")
    (True, True, False)
    """
    return one == other or any(one in kin and other in kin for kin in (FAMILY, _ON_A_BASS))


def check_texture(name: str | None) -> None:
    """Refuse a texture that is not known.

    Raises
    ------
    HarmonyError
        With the names that there are.
    """
    if name is not None and name not in TEXTURES:
        raise HarmonyError(f"{name!r} is not a texture", rule=f"it is one of {', '.join(TEXTURES)}")


def _held(voicing: Voicing) -> str:
    if 0 in voicing.frets:
        return OPEN
    fingering = voicing.fingering
    barres = fingering.barres if fingering else ()
    return BARRE if any(barre.width >= _BARRED for barre in barres) else MOVABLE


def _voiced(pitches: list[int], chord: Chord, *, bass: bool) -> str:
    """Return the name of how the notes lie; empty where it has none.

    ``bass`` says whether the first string that sounds is one for the bass.
    """
    above = [(pitch - chord.root.pitch_class) % 12 for pitch in pitches]
    thirds = _THIRDS if set(_THIRDS) & set(chord.semitones) else _IN_PLACE_OF_A_THIRD
    if len(pitches) == 2:
        if pitches[1] - pitches[0] in _TENTHS and above[0] == 0:
            return TENTHS
        guides = any(a in thirds for a in above) and any(a in _SEVENTHS for a in above)
        return TWO_STRINGS if guides else ""
    if bass and above[0] == 0 and len(pitches) in (3, 4):
        lower, tension = above[1:3], set(above[3:])
        third, seventh = (any(a in tones for a in lower) for tones in (thirds, _SEVENTHS))
        if third and seventh and not tension & {0, 7, *lower}:
            return SHELL
    layout = layout_of(pitches)
    return SPREAD if layout == "open" else layout
