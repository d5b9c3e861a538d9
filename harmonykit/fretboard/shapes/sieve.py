"""What is asked of a shape beyond its tones: outer pitches, muted strings, doublings, layout."""

from collections.abc import Iterable, Sequence

from harmonykit.errors import need_one_of
from harmonykit.fretboard.shapes import frettings, textures
from harmonykit.fretboard.shapes.tones import Tone, above_root, asked_pitch, mask, outer_pitches_fit
from harmonykit.theory.chord import Chord, Degree
from harmonykit.values import dataclass

ALL_TONES = 0b111111111111
_MUTES = {False: "none", True: "any"}
MUTES = ("none", "any", "outer", "inner")
"""Which strings may be muted: none, any, those outside all that sound, those between."""


@dataclass(frozen=True, slots=True)
class Sieve:
    """What is asked of a shape whose tones are right.

    Parameters
    ----------
    low, high : int or None
        The lowest and the highest pitch, as ``tones.asked_pitch`` gives them.
    foreign : bool
        Whether the lowest is no tone of the chord.
    muted : {"none", "any", "outer", "inner"}
    twice : int
        Bit mask of the pitch classes that may sound on more than one string.
    layout : str or None
        The name of a layout.
    """

    low: int | None = None
    high: int | None = None
    foreign: bool = False
    muted: str = "any"
    twice: int = ALL_TONES
    layout: str | None = None

    @property
    def lets_all_through(self) -> bool:
        """Whether nothing is asked."""
        asked = (self.low, self.high, self.layout)
        return asked == (None,) * 3 and self.twice == ALL_TONES and self.muted in ("none", "any")

    def passes(self, frets: frettings.Fretting, sounding: Sequence[int]) -> bool:
        """Whether a shape is as asked; ``sounding`` are its MIDI numbers in string order.

        Examples
        --------
        >>> Sieve(high=72).passes((0, 0, 0, 3), (67, 60, 64, 72))
        True
        >>> Sieve(twice=0).passes((0, 0, 0, 3), (67, 60, 64, 72))
        False
        """
        if not outer_pitches_fit(sounding, self.low, self.high, foreign=self.foreign):
            return False
        if self.twice != ALL_TONES and self._doubles_another(sounding):
            return False
        if self.layout is not None and textures.layout_of(sounding) != self.layout:
            return False
        return _muted_as(frets, self.muted)

    def _doubles_another(self, sounding: Sequence[int]) -> bool:
        heard = 0
        for pitch in sounding:
            tone = 1 << pitch % 12
            if heard & tone & ~self.twice:
                return True
            heard |= tone
        return False


def sieve_for(
    chord: Chord,
    *,
    mutes: bool | str = False,
    bass: Tone | None = None,
    top: Tone | None = None,
    doubling: bool | Iterable[Tone | Degree] = True,
    layout: str | None = None,
) -> Sieve:
    """Return the sieve for what ``find_voicings`` was asked, in its words.

    Raises
    ------
    HarmonyError
        If something in ``doubling`` is no tone of the chord, or a word is not known.

    Examples
    --------
    >>> sieve_for(Chord.parse("C"), bass="E", doubling=("1",)).twice
    1
    """
    if layout is not None:
        textures.check_layout(layout)
    twice = ALL_TONES if doubling is True else 0
    if not isinstance(doubling, bool):
        twice = mask((above_root(chord, tone) for tone in doubling), chord.root.pitch_class)
    low, high = asked_pitch(bass), asked_pitch(top)
    foreign = low is not None and chord.degree_of(low) is None
    return Sieve(low, high, foreign, muted_strings(asked=mutes), twice, layout)


def muted_strings(*, asked: bool | str) -> str:
    """Return which strings may be muted, from what was asked for.

    Raises
    ------
    HarmonyError
        If it is no such word.

    Examples
    --------
    >>> muted_strings(asked=True), muted_strings(asked="outer")
    ('any', 'outer')
    """
    word = _MUTES[asked] if isinstance(asked, bool) else asked
    return need_one_of(word, "setting for muted strings", MUTES)


def _muted_as(frets: frettings.Fretting, muted: str) -> bool:
    if muted not in ("outer", "inner"):
        return True
    sounds = [fret is not None for fret in frets]
    first, last = sounds.index(True), len(sounds) - sounds[::-1].index(True)
    inner = sounds[first:last].count(False)
    return inner == (0 if muted == "outer" else sounds.count(False))
