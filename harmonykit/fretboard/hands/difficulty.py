"""How hard a shape is, told as its parts: no sum, since hands differ in what they find hard.

Every part is a count or a length that can be checked with a ruler; what they mean for a student is
for the teacher to say.
"""

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands import hand as fingerings
from harmonykit.fretboard.hands.hand import LEVELS, Fingering, Hold, Limits, limits_at
from harmonykit.fretboard.hands.holding import can_hold, fit, wires_of
from harmonykit.fretboard.hands.rules import room_mm
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words, number

_WIDE_MM = 80.0


@dataclass(frozen=True, slots=True)
class Difficulty:
    """What a shape asks of the hand, part by part.

    Parameters
    ----------
    fingers : int
        How many fingers press.
    barres : tuple of int
        How many strings lie under each flat finger.
    stretch_mm : float
        From the lowest to the highest fretted wire.
    weak_gap_mm : float or None
        The widest gap between middle and ring or ring and little finger, which move together;
        ``None`` where no such pair presses.
    out_of_place : int
        By how many frets the fingers leave one finger a fret; barres and spread fingers add to it.
    tip_room_mm : float or None
        Room for the fingertips in the tightest fret; ``None`` where no fret holds two.
    highest_fret : int
    muted_between, muted_outside : int
        Strings to be kept silent between those that sound, and beyond them.
    level, small_hand_level : int or None
        The first level at which a hand holds it, and a small hand; ``None`` where none does.

    Examples
    --------
    >>> guitar = hk.Instrument.named("guitar")
    >>> print(hk.fretboard.difficulty(hk.Voicing.parse("x32010", guitar)))
    3 fingers, stretch 67 mm, level 1 (small hand 3)
    >>> for label, value in hk.fretboard.difficulty(hk.Voicing.parse("133211", guitar)).parts():
    ...     print(label, "-", value)
    fingers - 4
    barre - over 6 strings
    stretch - 67 mm
    middle, ring and little finger apart - 32 mm
    fingers out of position (one per fret) - 5
    space for the fingertips - 26 mm
    highest fret - 3
    lowest level - 3
    lowest level for a small hand - 3
    """

    fingers: int
    barres: tuple[int, ...]
    stretch_mm: float
    weak_gap_mm: float | None
    out_of_place: int
    tip_room_mm: float | None
    highest_fret: int
    muted_between: int
    muted_outside: int
    level: int | None
    small_hand_level: int | None

    def parts(self) -> tuple[tuple[str, str], ...]:
        """Return the parts as labels and values with their units; what plays no part is left out.

        Returns
        -------
        tuple of tuple of str and str

        Examples
        --------
        >>> hk.fretboard.difficulty(hk.Voicing.parse("0000", "ukulele")).parts()
        (('fingers', '0'), ('lowest level', '1'), ('lowest level for a small hand', '1'))
        """
        room = self.tip_room_mm
        rows = [
            ("fingers", str(self.fingers), True),
            ("barre", f"over {' and '.join(map(str, self.barres))} strings", bool(self.barres)),
            ("stretch", f"{self.stretch_mm:.0f} mm", self.fingers > 1),
            (
                "middle, ring and little finger apart",
                f"{self.weak_gap_mm or 0:.0f} mm",
                self.weak_gap_mm is not None,
            ),
            (
                "fingers out of position (one per fret)",
                str(self.out_of_place),
                self.out_of_place > 0,
            ),
            ("space for the fingertips", f"{room or 0:.0f} mm", room is not None),
            ("highest fret", str(self.highest_fret), self.fingers > 0),
            (
                "muted strings between sounding ones",
                str(self.muted_between),
                self.muted_between > 0,
            ),
            ("muted outer strings", str(self.muted_outside), self.muted_outside > 0),
            ("lowest level", level_word(self.level), True),
            ("lowest level for a small hand", level_word(self.small_hand_level), True),
        ]
        return tuple((label, value) for label, value, told in rows if told)

    def __str__(self) -> str:
        fingers = counted(self.fingers, "finger")
        parts = [fingers, *(f"barre over {width} strings" for width in self.barres)]
        parts += [f"stretch {self.stretch_mm:.0f} mm"] if self.fingers > 1 else []
        parts += (
            [f"{counted(self.muted_between, 'inner string')} muted"] if self.muted_between else []
        )
        small = f" (small hand {level_word(self.small_hand_level)})"
        differs = self.small_hand_level != self.level
        return ", ".join([*parts, f"level {level_word(self.level)}{small if differs else ''}"])


def level_word(level: int | None) -> str:
    """Return the number of a level; none where no level has the shape."""
    return "none" if level is None else str(level)


def difficulty(voicing: Voicing | str, fingering: Fingering | None = None) -> Difficulty:
    """Return what a shape asks of the hand, part by part.

    Parameters
    ----------
    voicing : Voicing or str
        A shape, or its frets on a ukulele.
    fingering : Fingering, optional
        How it is held; the best way of a wide hand on the whole neck where not given.

    Returns
    -------
    Difficulty

    Raises
    ------
    HarmonyError
        If four fingers cannot hold it.

    Examples
    --------
    >>> hk.fretboard.difficulty("2225").parts()[:2]
    (('fingers', '2'), ('barre', 'over 3 strings'))
    """
    voicing = as_voicing(voicing)
    hand = Limits(max_fret=voicing.instrument.frets)
    held = fingering or fit(voicing.frets, voicing.instrument, hand)
    if held is None:
        raise HarmonyError(
            f"{voicing.digits} has no fingering", rule="four fingers must be able to hold the shape"
        )
    wires = wires_of(voicing.instrument.scale_mm)
    placed = fingerings.held_by(voicing.frets, held)
    fingers, holds = tuple(placed), tuple(placed.values())
    over = fingers.index(fingerings.THUMB) if fingerings.THUMB in fingers else len(fingers)
    room = room_mm(holds[:over], wires, hand.tip_mm)
    between, outside = _muted(voicing)
    return Difficulty(
        fingers=len(placed),
        barres=tuple(barre.width for barre in held.barres),
        stretch_mm=held.stretch_mm,
        weak_gap_mm=_weak_gap(placed, wires),
        out_of_place=fingerings.awkwardness(holds, fingers, fingerings.position_of(voicing.frets))
        if placed
        else 0,
        tip_room_mm=None if math.isinf(room) else room,
        highest_fret=voicing.highest_fret,
        muted_between=between,
        muted_outside=outside,
        level=_first_level(voicing, small_hand=False),
        small_hand_level=_first_level(voicing, small_hand=True),
    )


def _weak_gap(placed: dict[int, Hold], wires: tuple[float, ...]) -> float | None:
    """Return the widest gap between neighbours of the three fingers that move together."""
    gaps = [
        wires[far.fret] - wires[near.fret]
        for (low, near), (high, far) in pairwise(placed.items())
        if low > fingerings.INDEX and high == low + 1 and high != fingerings.THUMB
    ]
    return max(gaps, default=None)


def _muted(voicing: Voicing) -> tuple[int, int]:
    sounds = [fret is not None for fret in voicing.frets]
    first, last = sounds.index(True), len(sounds) - sounds[::-1].index(True)
    between = sounds[first:last].count(False)
    return between, sounds.count(False) - between


def _first_level(voicing: Voicing, *, small_hand: bool) -> int | None:
    neck = voicing.instrument
    levels = range(1, len(LEVELS[neck.family]) + 1)
    within = (
        n
        for n in levels
        if can_hold(voicing.frets, neck, limits_at(n, neck, small_hand=small_hand))
    )
    return next(within, None)


_LASTS = "If pain, numbness or tingling lasts, see a doctor or physiotherapist."


def caution(voicing: Voicing, held: Fingering | None = None) -> str:
    """Return a sentence to stand beside a wide stretch or a barre; empty where there is neither.

    A stretch is called wide from where level 2 ends, 80 mm.  Which barre it is follows from how the
    shape is ``held``: the usual way where not given.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> from harmonykit.fretboard.shapes.voicing import Voicing
    >>> print(caution(Voicing.parse("3211", Instrument.named("ukulele"))).split(" If pain")[0])
    This shape needs a barre over two strings: if it hurts, stop.
    >>> caution(Voicing.parse("2010", Instrument.named("ukulele")))
    ''
    """
    fingering = held or voicing.fingering
    barres = fingering.barres if fingering else ()
    strains = [f"a barre over {number(barre.width)} strings" for barre in barres]
    if voicing.stretch_mm > _WIDE_MM:
        frets = number(voicing.highest_fret - voicing.lowest_fret + 1)
        strains.insert(0, f"a stretch over {frets} frets ({voicing.stretch_mm:.0f} mm)")
    if not strains:
        return ""
    hurts = "it hurts" if len(strains) == 1 else "either hurts"
    return f"This shape needs {' and '.join(strains)}: if {hurts}, stop. {_LASTS}"


def cautions_said(found: Mapping[str, Sequence[str]]) -> list[tuple[str, str]]:
    """Return shapes with what hands should know of them; what holds for all is said last, once.

    Parameters
    ----------
    found : mapping of str to sequence of str
        Each caution, with the fret numbers of the shapes that it is of.

    Examples
    --------
    >>> end = "If pain, numbness or tingling lasts, see a doctor or physiotherapist."
    >>> three, four = (
    ...     f"This shape needs a barre over {many} strings: if it hurts, stop. {end}"
    ...     for many in ("three", "four")
    ... )
    >>> for shapes, text in cautions_said({three: ["2223", "2323"], four: ["1211"]}):
    ...     print(shapes, text.removesuffix(f" {end}"))
    2223 and 2323 each need a barre over three strings.
    1211 needs a barre over four strings. If it hurts, stop.
    """
    said = {
        join_words(shapes): text.replace(
            "This shape needs", "each need" if len(shapes) > 1 else "needs", 1
        )
        for text, shapes in found.items()
    }
    if len(said) < 2:
        return list(said.items())
    rows = [(shapes, f"{text.partition(':')[0]}.") for shapes, text in said.items()]
    shapes, last = rows[-1]
    return [*rows[:-1], (shapes, f"{last} If it hurts, stop. {_LASTS}")]
