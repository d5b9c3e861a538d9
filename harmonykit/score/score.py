"""A score as a value: parts, measures, and what stands on each staff.

Conventions.  Everything is as it is *written*: a part for a transposing instrument holds its own
key, notes and chords, and says how far they are from what sounds.  ``at`` counts quarters from the
start of the measure.  A staff's tones follow each other without a gap and fill the measure.  A tune
becomes a score in ``score.lead``, an arrangement in ``arrange.score``; ``score.musicxml_out``
writes it.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.key import Key
from harmonykit.tune.bar import Meter
from harmonykit.tune.words import Syllable
from harmonykit.values import dataclass, replace


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef: its letter, its line from below, and octaves to what sounds."""

    sign: str = "G"
    line: int = 2
    octave: int = 0


@dataclass(frozen=True, slots=True)
class Transposition:
    """From what is written to what sounds: letters, semitones, and whole octaves besides."""

    diatonic: int
    chromatic: int
    octaves: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """What one player reads."""

    name: str
    key: Key
    clef: Clef = Clef()
    transposition: Transposition | None = None


@dataclass(frozen=True, slots=True)
class Frame:
    """A shape as it is drawn.

    Parameters
    ----------
    frets : tuple of int or None
        One for each string in the instrument's order, as frets of the neck; ``None`` is muted.
    fingers : tuple of int or None
        Of the same length, or empty where no fingering is known.
    barres : tuple of (int, int)
        The first and the last string of each barre, counted from 0 in the instrument's order.
    first, rows : int
        The first fret that is drawn, and how many.
    """

    frets: tuple[int | None, ...]
    fingers: tuple[int | None, ...] = ()
    barres: tuple[tuple[int, int], ...] = ()
    first: int = 1
    rows: int = 4


@dataclass(frozen=True, slots=True)
class Symbol:
    """A chord symbol over a staff; no chord is N.C., an alternate is offered instead of another."""

    at: Fraction
    chord: Chord | None
    frame: Frame | None = None
    alternate: bool = False


@dataclass(frozen=True, slots=True)
class Tone:
    """Notes that sound together for a time; a rest where there are none.

    Parameters
    ----------
    at, beats : Fraction
        In quarters.
    notes : tuple of Note
        From the lowest.
    tied_in, tied_out : bool
        Whether they carry on the tone before, and whether the next carries them on.
    top_in, top_out : bool
        Whether the highest of them alone does so.
    held : bool
        Whether a fermata stands over their start.
    words : tuple of Syllable
        What is sung to them, one syllable at most of each verse.
    """

    at: Fraction
    beats: Fraction
    notes: tuple[Note, ...] = ()
    tied_in: bool = False
    tied_out: bool = False
    top_in: bool = False
    top_out: bool = False
    held: bool = False
    words: tuple[Syllable, ...] = ()

    @property
    def end(self) -> Fraction:
        """Where it is over, in quarters."""
        return self.at + self.beats


@dataclass(frozen=True, slots=True)
class Staff:
    """What one part has in one measure."""

    tones: tuple[Tone, ...]
    symbols: tuple[Symbol, ...] = ()


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure of all parts.

    Parameters
    ----------
    number : int
    meter : tuple of int
    length : Fraction
        In quarters; less than a whole measure in a pick-up.
    staves : tuple of Staff
        One for each part.
    completes : bool
        Whether it is not counted: it completes the measure before, whose number it bears.
    label : str
        The name of the section that starts here.
    opens : bool
        Whether a repeated part starts here.
    closes : int
        How often the part that ends here is played; 0 where none ends.
    ending : tuple of int
        The passes in which the measure is played.
    ending_starts, ending_stops : bool
        Whether the bracket of its ending starts or stops here.
    signs : tuple of str
        ``"segno"``, ``"to coda"``, ``"D.C. al fine"`` and so on.
    is_last : bool
        Whether the music ends here.
    new_line : bool
        Whether a line of the page starts here.
    """

    number: int
    meter: Meter
    length: Fraction
    staves: tuple[Staff, ...]
    completes: bool = False
    label: str = ""
    opens: bool = False
    closes: int = 0
    ending: tuple[int, ...] = ()
    ending_starts: bool = False
    ending_stops: bool = False
    signs: tuple[str, ...] = ()
    is_last: bool = False
    new_line: bool = False

    @property
    def is_counted(self) -> bool:
        """Whether the measure has a number of its own: a pick-up has none."""
        return self.number > 0 and not self.completes


@dataclass(frozen=True, slots=True)
class Score:
    """Parts and their measures.

    Parameters
    ----------
    title : str
    tempo : float
        Quarters a minute.
    parts : tuple of Part
        From the top of the page.
    measures : tuple of Measure
    composer, rights : str
    fields : tuple of (str, str)
        What else the file says of itself, by name.
    """

    title: str
    tempo: float
    parts: tuple[Part, ...]
    measures: tuple[Measure, ...]
    composer: str = ""
    rights: str = ""
    fields: tuple[tuple[str, str], ...] = ()

    def cut(self, measures: range) -> Score:
        """Return some of the measures; the chords that sound when they start are shown there.

        So is the bracket of an ending that goes on over an edge.

        Parameters
        ----------
        measures : range
            Places counted from 0, at least one.

        Returns
        -------
        Score

        Examples
        --------
        >>> score = hk.score.lead_score(hk.read_tune("heron_landing"))
        >>> len(score.measures), len(score.cut(range(4)).measures)
        (32, 4)
        """
        cut = [*self.measures[measures.start : measures.stop]]
        cut[0] = replace(cut[0], ending_starts=bool(cut[0].ending))
        cut[-1] = replace(cut[-1], ending_stops=bool(cut[-1].ending))
        first, *rest = cut
        before = self.measures[: measures.start]
        staves = tuple(_begun(staff, before, place) for place, staff in enumerate(first.staves))
        return replace(self, measures=(replace(first, staves=staves), *rest))


def ended(measures: Iterable[Measure]) -> tuple[Measure, ...]:
    """Return measures, of which the last ends the music."""
    *others, last = measures
    return (*others, replace(last, is_last=True))


def _begun(staff: Staff, before: tuple[Measure, ...], place: int) -> Staff:
    """Return a staff with the last symbol before it, unless one stands at its start."""
    symbols = [s for measure in before for s in measure.staves[place].symbols if not s.alternate]
    if not symbols or any(symbol.at == 0 for symbol in staff.symbols):
        return staff
    return replace(staff, symbols=(replace(symbols[-1], at=Fraction(0)), *staff.symbols))
