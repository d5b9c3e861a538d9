"""Shapes that one leads to: those of other chords that lie nearest, and its own along a scale.

Nearness has two measures, each with a unit: how many strings change their fret (or begin or cease
to sound), and how many millimetres the hand travels (``travel_mm``).  Neither is made into the
other.  Along a scale every string goes one scale step each time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import combinations, product

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.fretboard.hands import holding, travel
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.finding import Wanted, as_wanted, find_voicings
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import InstrumentLike, Voicing, as_voicing
from harmonykit.theory import naming, typed
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.scale import SixthDiminished, as_sixth_diminished
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

MEASURES = ("strings", "mm")


@dataclass(frozen=True, slots=True, repr=False)
class Near(typed.Told):
    """A shape near another one.

    Parameters
    ----------
    voicing : Voicing
    chords : tuple of Chord
        What it sounds: the chord asked for, or every chord of the table that has its notes.
    strings : tuple of int
        The strings that change.
    mm : float
        How far the hand travels to it.
    """

    voicing: Voicing
    chords: tuple[Chord, ...]
    strings: tuple[int, ...]
    mm: float

    def __str__(self) -> str:
        names = " = ".join(chord.unicode for chord in self.chords)
        moved = counted(len(self.strings), "string")
        return f"{self.voicing.digits} {names}: {moved}, {self.mm:.0f} mm"


def nearest_shapes(
    voicing: Voicing | str,
    chord: ChordLike,
    by: str = "strings",
    instrument: InstrumentLike = "ukulele",
    *,
    limits: Limits | None = None,
    wanted: Wanted | None = None,
) -> tuple[Near, ...]:
    """Return all shapes of a chord, the nearest to a shape first.

    Parameters
    ----------
    voicing : Voicing or str
        Where the hand is; frets will do.
    chord : Chord or str
    by : {"strings", "mm"}
        Which measure comes first; the other one parts equals.
    instrument : Instrument or str
        For a shape given by its frets.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    wanted : Wanted, optional
        What else the shapes should be like; no tone is left out unless it says so.

    Returns
    -------
    tuple of Near

    Raises
    ------
    HarmonyError
        If four fingers cannot hold the shape, or ``by`` is no measure.

    Examples
    --------
    >>> for near in hk.nearest_shapes("2323", "D7")[:2]:
    ...     print(near)
    2-2-2-3 D7: 1 string, 5 mm
    2-0-2-5 D7: 2 strings, 9 mm
    """
    voicing, chord = as_voicing(voicing, instrument), as_chord(chord)
    wanted = as_wanted(wanted)
    if wanted.omit is None:
        wanted = replace(wanted, omit=())
    found = find_voicings(chord, voicing.instrument, limits=limits, wanted=wanted)
    return _sorted((_near(voicing, one, (chord,)) for one in found), by)


def neighbours(
    voicing: Voicing,
    strings: int = 1,
    frets: int = 2,
    limits: Limits | None = None,
    by: str = "strings",
    beside: Chord | None = None,
) -> tuple[Near, ...]:
    """Return the shapes of other chords that a few strings moved by a few frets make.

    Every such shape is tried whose notes are those of a chord of the table of qualities and other
    than the shape's own; muted strings stay muted.

    Parameters
    ----------
    voicing : Voicing
    strings : int
        How many strings move at most.
    frets : int
        How far each of them moves at most, up or down.
    limits : Limits, optional
        The hand; a wide one on the whole neck where not given.
    by : {"strings", "mm"}
    beside : Chord, optional
        What the shape is: notes that it has too keep their names.

    Raises
    ------
    HarmonyError
        If four fingers cannot hold the shape, or ``by`` is no measure.

    Examples
    --------
    One string of a diminished seventh, lowered or raised by a fret.

    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("2323", Instrument.named("ukulele"))
    >>> for near in neighbours(shape, frets=1)[:3]:
    ...     print(near)
    2-3-2-4 F♯m6 = E♭m7♭5: 1 string, 4 mm
    1-3-2-3 A♭7: 1 string, 5 mm
    2-2-2-3 D7: 1 string, 5 mm
    """
    hand = limits or Limits(max_fret=voicing.instrument.frets)
    own = voicing.pcs
    found = []
    for moved in _moved(voicing, strings, frets):
        other = replace(voicing, frets=moved)
        chords = _named(other.pcs.mask, beside)
        if chords and other.pcs != own and holding.can_hold(moved, voicing.instrument, hand):
            found.append(_near(voicing, other, chords, hand))
    return _sorted(found, by)


def _moved(voicing: Voicing, strings: int, frets: int) -> Iterator[Fretting]:
    """Yield the frets of every shape with so many strings moved, each by so many frets."""
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    ways = [way for way in range(-frets, frets + 1) if way]
    for count in range(1, strings + 1):
        for chosen in combinations(sounding, count):
            for by in product(ways, repeat=count):
                moved = list(voicing.frets)
                for string, way in zip(chosen, by, strict=True):
                    moved[string] = (moved[string] or 0) + way
                if _on_the_neck(voicing, moved):
                    yield tuple(moved)


def _on_the_neck(voicing: Voicing, frets: Iterable[int | None]) -> bool:
    has = voicing.instrument.has_fret
    return all(fret is None or has(string, fret) for string, fret in enumerate(frets))


@lru_cache(maxsize=4096)
def _named(mask: int, beside: Chord | None) -> tuple[Chord, ...]:
    return naming.exact_names(PcSet(mask), near=beside)


def _near(
    here: Voicing, there: Voicing, chords: tuple[Chord, ...], limits: Limits | None = None
) -> Near:
    pairs = zip(here.frets, there.frets, strict=True)
    strings = tuple(string for string, (a, b) in enumerate(pairs) if a != b)
    return Near(there, chords, strings, travel.travel_mm(here, there, limits))


def _sorted(found: Iterable[Near], by: str) -> tuple[Near, ...]:
    if by not in MEASURES:
        raise HarmonyError(f"{by!r} is not a measure", rule=f"it is one of {', '.join(MEASURES)}")

    def rank(near: Near) -> tuple[float, float, str]:
        count, mm = len(near.strings), round(near.mm, 6)
        return (
            (count, mm, near.voicing.digits)
            if by == "strings"
            else (mm, count, near.voicing.digits)
        )

    return tuple(sorted(found, key=rank))


def scale_of_chords(
    scale: SixthDiminished | str,
    voicing: Voicing | str,
    steps: int = 8,
    instrument: InstrumentLike = "ukulele",
) -> tuple[Voicing, ...]:
    """Return a shape carried along a scale, every string one scale step each time.

    Parameters
    ----------
    scale : SixthDiminished or str
        Every note of the shape is one of its notes; ``"C major"`` will do.
    voicing : Voicing or str
        The first shape, or its frets.
    steps : int
        How many steps up; down for a negative number.
    instrument : Instrument or str
        For a shape given by its frets.

    Returns
    -------
    tuple of Voicing
        One more than the steps, the given shape first.

    Raises
    ------
    HarmonyError
        If a note of the shape is outside the scale, or the row runs past the end of the neck.

    Examples
    --------
    >>> [shape.digits for shape in hk.scale_of_chords("D major", "2222", steps=3)]
    ['2-2-2-2', '3-4-3-4', '4-6-5-5', '6-7-6-7']
    """
    need_whole(steps, "steps")
    scale = as_sixth_diminished(scale)
    voicing = as_voicing(voicing, instrument)
    one = 1 if steps >= 0 else -1
    counts = range(one, steps + one, one)
    return (voicing, *(replace(voicing, frets=_carried(scale, voicing, n)) for n in counts))


def _carried(scale: SixthDiminished, voicing: Voicing, steps: int) -> Fretting:
    frets: list[int | None] = []
    for string, pitch in enumerate(voicing.midi):
        fret = None
        if pitch is not None:
            fret = voicing.instrument.fret_at(string, scale.step(pitch, steps))
            if fret is None:
                raise _off_the_neck(voicing, steps)
        frets.append(fret)
    return tuple(frets)


def _off_the_neck(start: Voicing, steps: int) -> HarmonyError:
    neck = start.instrument
    return HarmonyError(
        f"step {steps} from {start.digits} is beyond the neck",
        rule=f"the frets of the {neck.name} are 0 to {neck.frets}",
        mend=f"fewer steps: steps={steps - 1 if steps > 0 else steps + 1}",
    )
