"""Textures: which strings a shape takes, how its notes lie, and how low the close ones.

Conventions.  A *shell* is root, third and seventh (or what stands for them) with the root on the
sixth or fifth string, and at most a tension above them; *two strings* are third and seventh alone,
*tenths* a bass and its tenth.  A shape is *open* where a string sounds open, *barre* where a finger
lies over three strings or more, else *movable*; *rootless* where no string sounds the root.  On
four strings and fewer, and beside a banjo's short string, what counts first is whether a string
sounds open.  (Common practice, no source.)

Layouts are of three or four tones, each sounded once.  Voices are counted from the highest *pitch*
down.  A *close* chord has all its notes within an octave.  *Drop 2* is a close chord of four notes
whose second voice from the top sounds an octave lower, and so on; a triad whose middle voice is
dropped so is *open* as a layout, *spread* as a texture.

The first texture of a shape is the one that a hand keeps: *voiced* textures keep their strings and
voices.  *Open*, *barre* and *movable* are one family; so are *shell* and *drop 3*, whose bass is on
a string apart.

Low close intervals sound thick on any instrument: no second below about E♭3, no third below about
C3, where the lower note is meant and C4 is MIDI 60 (common practice, no source).  An open G of six
strings has B2 over G2 and is played all the same: the marks are a price, never a ban.

References
----------
Drop 2: Berklee, Arranging 3, lesson 2, topic 3.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.shapes.marks import MANY_STRINGS
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing, as_voicing
from harmonykit.theory.chord import Chord

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# The voices that sound an octave lower, by how many notes there are.
_DROPPED = {
    3: {"close": (), "open": (2,)},
    4: {"close": (), "drop 2": (2,), "drop 3": (3,), "drop 2 and 4": (2, 4)},
}
LAYOUTS = tuple(dict.fromkeys(name for names in _DROPPED.values() for name in names))
"""The names of layouts: close, open, drop 2, drop 3, drop 2 and 4."""


def layout_of(pitches: Iterable[int]) -> str:
    """Return the name of a layout; empty where a note sounds twice or it has none.

    Parameters
    ----------
    pitches : iterable of int
        MIDI numbers, in any order.

    Examples
    --------
    >>> layout_of((60, 64, 67, 71)), layout_of((55, 60, 64, 71)), layout_of((60, 67, 76))
    ('close', 'drop 2', 'open')
    >>> layout_of((48, 64, 71, 79)), layout_of((60, 64, 67, 72))
    ('', '')
    """
    sounding = sorted(pitches)
    if len({pitch % 12 for pitch in sounding}) < len(sounding):
        return ""
    for name, dropped in _DROPPED.get(len(sounding), {}).items():
        if _voices_dropped(sounding, len(dropped)) == dropped:
            return name
    return ""


def _voices_dropped(sounding: list[int], count: int) -> tuple[int, ...] | None:
    """Return which voices of a close chord sound an octave lower, if so many of them do."""
    raised = [pitch + 12 for pitch in sounding[:count]]
    close = sorted([*raised, *sounding[count:]], reverse=True)
    if close[0] - close[-1] >= 12:
        return None
    return tuple(sorted(close.index(pitch) + 1 for pitch in raised))


def check_layout(name: str) -> None:
    """Refuse a layout that has no such name.

    Raises
    ------
    HarmonyError
        With the names that there are.
    """
    need_one_of(name, "layout", LAYOUTS)


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


LOWEST_SECOND, LOWEST_THIRD = 51, 48
"""The lowest notes, E♭3 and C3, over which a second and a third sound clear."""

_LOWEST = {1: LOWEST_SECOND, 2: LOWEST_SECOND, 3: LOWEST_THIRD, 4: LOWEST_THIRD}
_MOST, _SILENT = 12, 10_000


def register_marks(voicing: Voicing) -> int:
    """Return by how many semitones, in all, the close intervals of a shape are too low.

    Parameters
    ----------
    voicing : Voicing

    Returns
    -------
    int
        0 where none does; each interval counts 12 at most.

    Examples
    --------
    >>> guitar = hk.Instrument.named("guitar")
    >>> shapes = [hk.Voicing.parse(digits, guitar) for digits in ("x32010", "320003")]
    >>> [hk.fretboard.register_marks(shape) for shape in shapes]  # B2 over G2, D3 over B2
    [0, 6]
    """
    import numpy as np

    row = np.array([as_voicing(voicing).sounding], dtype=np.int64)
    return int(registers(row)[0])


def registers(pitches: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return ``register_marks`` of shapes given as MIDI numbers by string, -1 where muted.

    Examples
    --------
    >>> import numpy as np
    >>> registers(np.array([[43, 47, 50, 55], [-1, 48, 52, 55]])).tolist()
    [6, 0]
    """
    import numpy as np

    row = np.sort(np.where(pitches < 0, _SILENT, pitches), axis=1)
    low, gaps = row[:, :-1], np.diff(row, axis=1)
    marks = np.zeros(low.shape, dtype=np.int64)
    for gap, least in _LOWEST.items():
        marks = np.where(gaps == gap, np.clip(least - low, 0, _MOST), marks)
    found: NDArray[np.int64] = marks.sum(axis=1)
    return found
