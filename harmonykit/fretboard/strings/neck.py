"""A fretted neck: strings, frets and the length of the scale.

Conventions.  Strings are listed in the instrument's own order, left to right as in a chord box:
g C E A on a ukulele, E A D G B E on a guitar; string 0 is the first of them.  Fret 0 is the open
string.  Lengths are in millimetres from the nut.  A string that sounds higher than the next one is
*re-entrant*; its label is a lower-case letter.

With a capo, frets are counted from it: the open string is the one that it stops, lengths are
measured from it, strings and shapes sound as much higher as it has frets behind it, and the neck
ends as many frets sooner.  So an instrument with a capo is a shorter one with higher strings.

A short string (the fifth of a banjo) starts at a fret of the neck.  Its frets have the numbers of
the neck: 0 is open, and the first where it can be stopped is the one after its start.  A doubled
string is one string here; what sounds beside it is in ``doubles``.
"""

from itertools import pairwise
from typing import Self

from harmonykit.errors import HarmonyError, need_number, need_whole
from harmonykit.fretboard.strings import tuning
from harmonykit.fretboard.strings.tuning import Stringing
from harmonykit.theory.note import Interval, Note, printed_accidental
from harmonykit.values import dataclass, field, replace

MOST_FRETS = 36
FAMILIES = ("ukulele", "guitar")
MATERIALS = ("nylon", "steel")
# A finger stands this far behind the wire, where the fret leaves it room (common practice).
_BEHIND_THE_WIRE_MM = 6.0
# A capo raises by the interval that keeps open strings plainly named (E up six frets is Bb).
_RISES = ("P1", "m2", "M2", "m3", "M3", "P4", "d5", "P5", "m6", "M6", "m7", "M7")


@dataclass(frozen=True, slots=True)
class Neck:
    """Strings over a neck.

    Parameters
    ----------
    name : str
        What it is called; a typed tuning is called by its strings.
    strings : tuple of Note
        3 to 10 open strings with octaves, in string order; with a capo, as they sound.
    scale_mm : float
        From nut or capo to bridge, in mm.
    frets : int in 1..36
        How many frets the neck has, from the capo where there is one.
    family : {"ukulele", "guitar"}
        Which table of levels applies.
    capo : int
        The fret that a capo stops, 0 for none; ``with_capo`` puts one on.
    left_handed : bool
        Whether it is strung for a left-handed player.  Strings keep their order and numbers: only
        drawings turn round.
    doubles : tuple of tuple of Note
        For each string those beside it that are pressed with it, in unison or in octaves; empty
        where no string is doubled.
    starts : tuple of int
        For each string the fret at which it starts, 0 for a whole one; empty where all are whole.
    source : str
        Where tuning and sizes are published; no part of what makes two instruments equal.
    material : {"nylon", "steel"}
        What the strings are made of, for the sound; no part of what makes two instruments equal.

    Examples
    --------
    >>> ukulele = hk.Instrument.named("ukulele")
    >>> ukulele.midi, ukulele.tuning, ukulele.reentrant
    ((67, 60, 64, 69), 'g C E A', True)
    """

    name: str
    strings: tuple[Note, ...]
    scale_mm: float = 381.0
    frets: int = 15
    family: str = "ukulele"
    capo: int = 0
    left_handed: bool = False
    doubles: tuple[tuple[Note, ...], ...] = ()
    starts: tuple[int, ...] = ()
    source: str = field(default="", compare=False)
    material: str = field(default="nylon", compare=False)
    midi: tuple[int, ...] = field(init=False, repr=False, compare=False)
    """The MIDI numbers of the open strings, in string order."""

    def __post_init__(self) -> None:
        tuning.check_stringing(self.stringing)
        _check_neck(self)
        object.__setattr__(self, "midi", tuple(note.midi for note in self.strings))

    def __hash__(self) -> int:
        # Instruments are parts of every shape: hashing all their notes each time is felt.
        return hash((self.name, self.scale_mm, self.frets))

    def with_capo(self, fret: int) -> Self:
        """Return the instrument with a capo at a fret, 0 for none.

        A short string is raised by as much, with a hook or a capo of its own (common practice,
        no source).

        Raises
        ------
        HarmonyError
            If it has a capo already, or the neck has no frets left.

        Examples
        --------
        >>> raised = hk.Instrument.named("ukulele").with_capo(2)
        >>> raised.tuning, raised.frets, round(raised.scale_mm, 1)
        ('a D F# B', 13, 339.4)
        """
        if fret and self.capo:
            raise HarmonyError(
                f"the {self.name} already has a capo at fret {self.capo}",
                rule="a neck takes one capo",
            )
        if not 0 <= fret < self.frets:
            raise HarmonyError(
                f"a capo at fret {fret} leaves no frets",
                rule=f"the {self.name} has {self.frets} frets",
            )
        return replace(
            self,
            strings=tuple(_raised(note, fret) for note in self.strings),
            doubles=tuple(tuple(_raised(note, fret) for note in beside) for beside in self.doubles),
            scale_mm=self.scale_mm * 2 ** (-fret / 12),
            frets=self.frets - fret,
            capo=fret,
        )

    def without_capo(self) -> Self:
        """Return the instrument as it is when its capo is taken off.

        Examples
        --------
        >>> ukulele = hk.Instrument.named("ukulele")
        >>> ukulele.with_capo(2).without_capo() == ukulele
        True
        """
        back = -_rise(self.capo)
        return replace(
            self,
            strings=tuple(note.transpose(back).plain() for note in self.strings),
            doubles=tuple(
                tuple(note.transpose(back).plain() for note in beside) for beside in self.doubles
            ),
            # Lengths are given in hundredths of a mm at the finest.
            scale_mm=round(self.scale_mm * 2 ** (self.capo / 12), 6),
            frets=self.frets + self.capo,
            capo=0,
        )

    def for_left_hand(self) -> Self:
        """Return the instrument as a left-handed player holds it.

        Examples
        --------
        >>> hk.Instrument.named("guitar").for_left_hand().left_handed
        True
        """
        return replace(self, left_handed=True)

    @property
    def labels(self) -> tuple[str, ...]:
        """The strings' names without octaves, a lower-case letter where re-entrant."""
        nexts = (*self.midi[1:], tuning.HIGHEST_MIDI + 1)
        return tuple(
            note.letter.lower() + note.accidentals if midi > after else note.name
            for note, midi, after in zip(self.strings, self.midi, nexts, strict=True)
        )

    @property
    def printed_labels(self) -> tuple[str, ...]:
        """The labels with ♭ and ♯.

        Examples
        --------
        >>> hk.Instrument.named("ukulele").with_capo(2).printed_labels
        ('a', 'D', 'F♯', 'B')
        """
        pairs = zip(self.labels, self.strings, strict=True)
        return tuple(label[0] + printed_accidental(note.accidental) for label, note in pairs)

    @property
    def reentrant(self) -> bool:
        """Whether some string sounds higher than the next."""
        return any(low > high for low, high in pairwise(self.midi))

    @property
    def tuning(self) -> str:
        """The labels in one text: ``"g C E A"``."""
        return " ".join(self.labels)

    def start(self, string: int) -> int:
        """Return the fret at which a string starts: 0 but for a short one."""
        return self.starts[string] if self.starts else 0

    @property
    def first_frets(self) -> tuple[int, ...]:
        """The fret at which each string starts: 0 but for a short one."""
        return self.starts or (0,) * len(self.midi)

    def pitch(self, string: int, fret: int) -> int:
        """Return the MIDI number of a string stopped at a fret, 0 for the open string.

        Raises
        ------
        HarmonyError
            If the string has no such fret.

        Examples
        --------
        >>> banjo = hk.Instrument.named("five-string banjo")
        >>> banjo.pitch(0, 0), banjo.pitch(0, 7), banjo.pitch(1, 7)
        (67, 69, 57)
        """
        start = self.start(string)
        if not self.has_fret(string, fret):
            where = f"starts at fret {start}" if start else f"has {self.frets} frets"
            raise HarmonyError(f"the {self.labels[string]} string has no fret {fret}: it {where}")
        return self.midi[string] + (fret - start if fret else 0)

    def fret_at(self, string: int, midi: int) -> int | None:
        """Return the fret at which a string sounds a pitch, or ``None`` where it does nowhere.

        Examples
        --------
        >>> banjo = hk.Instrument.named("five-string banjo")
        >>> [banjo.fret_at(0, midi) for midi in (66, 67, 69)]
        [None, 0, 7]
        """
        above = midi - self.midi[string]
        fret = above + self.start(string) if above else 0
        return fret if above >= 0 and fret <= self.frets else None

    def has_fret(self, string: int, fret: int) -> bool:
        """Whether a string can be stopped at a fret; 0, the open string, always."""
        return fret == 0 or self.start(string) < fret <= self.frets

    def wire_mm(self, fret: int) -> float:
        """Return the distance of a fret's wire from the nut, in mm; 0 for the open string.

        Each fret takes the same ratio of the string that is left: scale × (1 − 2^(−fret/12)).

        References
        ----------
        Buckland, "Rule of 18 vs 17.817", Guild of American Luthiers, 2021.

        Examples
        --------
        >>> round(hk.Instrument.named("ukulele").wire_mm(12), 1)
        190.5
        """
        return wire_mm(self.scale_mm, fret)

    def finger_mm(self, fret: int) -> float:
        """Return where the finger stands for a fret, in mm from the nut; 0 for the open string.

        It stands 6 mm behind the wire; high up, where frets are narrow, in the middle between
        two wires (common practice, no source).
        """
        if fret == 0:
            return 0.0
        wire, before = self.wire_mm(fret), self.wire_mm(fret - 1)
        return max(wire - _BEHIND_THE_WIRE_MM, (wire + before) / 2)

    @property
    def stringing(self) -> Stringing:
        """What its tuning says of each string."""
        return Stringing(self.strings, self.doubles, self.starts)


def wire_mm(scale_mm: float, fret: int) -> float:
    """Return the distance of a fret's wire from the nut of a scale, in mm: see ``Neck.wire_mm``."""
    return float(scale_mm * (1 - 2 ** (-fret / 12)))


def _check_neck(neck: Neck) -> None:
    need_number(neck.scale_mm, "scale_mm")
    need_whole(neck.frets, "frets")
    if not 100 <= neck.scale_mm <= 2000:
        raise HarmonyError(
            f"a scale length of {neck.scale_mm} mm is out of range",
            rule="from nut to bridge: 100 to 2000 mm",
        )
    if not 1 <= neck.frets <= MOST_FRETS:
        raise HarmonyError(f"{neck.frets} frets", rule=f"a neck has 1 to {MOST_FRETS} frets")
    if any(not 0 <= start < neck.frets for start in neck.starts):
        raise HarmonyError(
            f"a string starts at fret {max(neck.starts)}",
            rule=f"the neck has {neck.frets} frets",
        )
    if not 0 <= neck.capo < MOST_FRETS:
        raise HarmonyError(f"a capo at fret {neck.capo} is out of range", mend="with_capo(2)")
    if neck.family not in FAMILIES:
        raise HarmonyError(
            f"the family {neck.family!r} is not known",
            rule=f"it is one of {', '.join(FAMILIES)}",
        )
    if neck.material not in MATERIALS:
        raise HarmonyError(
            f"strings of {neck.material!r} are not known",
            rule=f"the material is one of {', '.join(MATERIALS)}",
        )


def _raised(note: Note, fret: int) -> Note:
    return note.transpose(_rise(fret)).plain()


def _rise(fret: int) -> Interval:
    octaves, rest = divmod(fret, 12)
    return Interval(Interval.parse(_RISES[rest]).steps + 7 * octaves, fret)
