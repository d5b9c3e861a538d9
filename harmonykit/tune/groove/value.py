"""A groove as a value: the strokes of its bars, its bass line, its swing, how human it is.

Conventions.  Places are written straight; where swing moves them is for who plays them.
"""

from __future__ import annotations

from fractions import Fraction

from harmonykit.errors import HarmonyError, need_number, need_whole
from harmonykit.tune.bar import Meter, bar_length, beat_length, write_meter
from harmonykit.tune.groove.places import row
from harmonykit.tune.groove.strokes import Hit, Low, Stroke, count_words, hand_words, strokes_of
from harmonykit.tune.text.changes import read_meter
from harmonykit.values import dataclass, replace

EASES = 0.0
"""The swing that follows the tempo."""

MOST_LATE, MOST_LOUDER, MOST_SWING, MOST_RITARD, MOST_INTRO = 30.0, 20, 3.0, 2.0, 8
_STRAIGHT = 1.0


@dataclass(frozen=True, slots=True)
class Groove:
    """What a hand strums and a bass plays in bars of a metre.

    Parameters
    ----------
    name : str
    meter : tuple of int
    bars : tuple of tuple of Stroke
        The strokes of each bar, played in turn from the start of a section on.
    low : tuple of tuple of Low
        The bass line of each bar, in turn; roots on the heavy beats where empty.
    beat : tuple of tuple of Hit
        What small percussion plays in each bar, in turn; nothing where empty.
    ending : tuple of Stroke
        The strokes of the bar before the last chord; as in the others where empty.
    intro : int
        How many bars are played before the tune where an intro is asked for.
    swing : float
        How much longer the first half of a beat is than the second: 1 straight, 2 triplets; 0
        where it follows the tempo, less swung the faster it goes.
    ritard : float
        How much longer the last bar before the final chord takes; 1 keeps the tempo.
    timing : float
        How many milliseconds a stroke may be early or late.
    dynamics : int
        How much louder or softer it may be, on the scale of MIDI.
    seed : int
        What is chance follows from it: one seed plays alike every time.
    styles : tuple of str
        The words of a tune's ``style`` that it suits.
    tempo : tuple of float
        The slowest and the fastest tempo that it suits, in quarter notes a minute.
    usual : bool
        Whether it is played where a tune of its metre and tempo says no style.
    about : str
        How it is played, in a sentence.

    Examples
    --------
    >>> calypso = hk.tune.Groove.parse("D - D U - U D U")
    >>> calypso.strum, len(calypso.bars[0]), calypso.spoken
    ('D - D U - U D U', 6, 'down, down-up, up, down-up')
    """

    name: str
    meter: Meter
    bars: tuple[tuple[Stroke, ...], ...]
    low: tuple[tuple[Low, ...], ...] = ()
    beat: tuple[tuple[Hit, ...], ...] = ()
    ending: tuple[Stroke, ...] = ()
    intro: int = 4
    swing: float = _STRAIGHT
    ritard: float = 1.0
    timing: float = 8.0
    dynamics: int = 6
    seed: int = 1
    styles: tuple[str, ...] = ()
    tempo: tuple[float, float] = (10.0, 1000.0)
    usual: bool = False
    about: str = ""

    def __post_init__(self) -> None:
        need_whole(self.seed, "the seed", 0)
        need_number(self.timing, "timing in milliseconds", 0, MOST_LATE)
        need_whole(self.dynamics, "dynamics", 0, MOST_LOUDER)
        need_number(self.ritard, "ritard", 1, MOST_RITARD)
        if self.swing != EASES:
            need_number(self.swing, "swing", _STRAIGHT, MOST_SWING)
        need_whole(self.intro, "the bars of an intro", 1, MOST_INTRO)
        for bar in (*self.bars, self.ending):
            places = [stroke.at for stroke in bar]
            if places != sorted(set(places)) or not all(
                0 <= at < bar_length(self.meter) for at in places
            ):
                raise HarmonyError(
                    f"the strokes of {self.name!r} are not in order inside their bar"
                )
        if not self.bars:
            raise HarmonyError(f"{self.name!r} has no bar", mend='Groove.parse("D D D D")')

    @classmethod
    def parse(cls, text: str, meter: Meter | str = (4, 4), *, name: str = "own") -> Groove:
        """Read a strum from a line of text.

        Parameters
        ----------
        text : str
            Such as ``"D - D U - U D U"``, evenly spaced; ``|`` between bars.
        meter : tuple of int or str
        name : str

        Returns
        -------
        Groove
            Straight, with a bass on the heavy beats.

        Raises
        ------
        HarmonyError
            With the column of what cannot be read.

        Examples
        --------
        >>> hk.tune.Groove.parse("D! d u D! d u", "6/8").strum
        'D! D U D! D U'
        """
        return cls(name, as_meter(meter), strokes_of(text, as_meter(meter)))

    @property
    def strum(self) -> str:
        """The strokes as a line of text."""
        return row(({one.at: one.sign for one in bar} for bar in self.bars), self.meter)

    @property
    def bass(self) -> str:
        """The bass line as a line of text."""
        return row(({one.at: one.sign for one in bar} for bar in self.low), self.meter)

    @property
    def percussion(self) -> str:
        """What small percussion plays, as a line of text."""
        bars = [{hit.at: "" for hit in bar} for bar in self.beat]
        for signs, bar in zip(bars, self.beat, strict=True):
            for hit in bar:
                signs[hit.at] += f"+{hit.sign}" if signs[hit.at] else hit.sign
        return row(bars, self.meter)

    @property
    def spoken(self) -> str:
        """The strokes in words, bar by bar: ``"down, down-up, up, down-up"``."""
        return hand_words(self.bars, self.meter)

    @property
    def counted(self) -> str:
        """The counts of the strokes in words: ``"one, two-and, (three)-and, four-and"``."""
        return count_words(self.bars, self.meter)

    @property
    def feel(self) -> str:
        """How its beats are divided, in words: ``"swung: long, short"``; empty where straight."""
        return "" if self.swing == _STRAIGHT else "swung: long, short"

    @property
    def exact(self) -> Groove:
        """The same as a machine plays it: each stroke on its place, all of a kind equally loud."""
        return replace(self, timing=0.0, dynamics=0)

    def strummed(self, text: str) -> Groove:
        """Return the groove with other strokes; swing, bass and all else stay.

        Parameters
        ----------
        text : str

        Returns
        -------
        Groove

        Examples
        --------
        >>> hk.tune.grooves()["swing"].strummed("D D D D").strum
        'D D D D'
        """
        return replace(self, bars=strokes_of(text, self.meter), about="")

    def __repr__(self) -> str:
        return f"<Groove {self.name!r} in {write_meter(self.meter)}: {self.strum}>"


def as_meter(given: Meter | str) -> Meter:
    """Return a metre, or read it.

    Examples
    --------
    >>> as_meter("6/8"), as_meter((3, 4))
    ((6, 8), (3, 4))
    """
    return read_meter(given) if isinstance(given, str) else given


def plain(meter: Meter) -> Groove:
    """Return what any metre can be played with: a stroke on each beat, dotted ones with an up.

    Examples
    --------
    >>> plain((7, 4)).strum, plain((9, 8)).strum
    ('D! D D D D D D', 'D! - U D - U D - U')
    """
    beat = beat_length(meter)
    bar: list[Stroke] = []
    for number in range(int(bar_length(meter) / beat)):
        bar.append(Stroke(number * beat, accent=not number))
        if beat.numerator == 3:
            bar.append(Stroke((number + Fraction(2, 3)) * beat, down=False))
    return Groove("plain", meter, (tuple(bar),))
