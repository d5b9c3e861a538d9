"""A written bar: its chords and notes, its metre, and what repeats around it.

Time is counted in quarter notes from the start of the bar, exactly, as ``fractions.Fraction``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Interval, Note
from harmonykit.theory.typed import as_typed
from harmonykit.tune.words import MOST_VERSES, Syllable, plain, under_bar
from harmonykit.values import dataclass, replace

Meter = tuple[int, int]

MOST_BARS = 5_000
# Quarter notes a minute; the usual one is that of Standard MIDI Files (RP-001), which players know.
SLOWEST, DEFAULT_TEMPO, FASTEST = 10, 120, 1000

_COMPOUND = (6, 9, 12, 15, 18, 21, 24)

# What sends the player elsewhere, or tells him how to play; those of the first line stand before
# their bar, the others after it.
OPENING_SIGNS = ("segno", "coda", "vamp")
JUMPS = (
    "D.C.", "D.C. al fine", "D.C. al coda", "D.S.", "D.S. al fine", "D.S. al coda",
)  # fmt: skip
SIGNS = (*OPENING_SIGNS, "to coda", "fine", *JUMPS)


class TuneError(HarmonyError):
    """A tune that cannot be read, written or played."""


def write_meter(meter: Meter) -> str:
    """Return a metre as it is typed and printed.

    Examples
    --------
    >>> write_meter((6, 8))
    '6/8'
    """
    return f"{meter[0]}/{meter[1]}"


@lru_cache(maxsize=256)
def bar_length(meter: Meter) -> Fraction:
    """Return the length of a whole bar, in quarters.

    Examples
    --------
    >>> bar_length((6, 8))
    Fraction(3, 1)
    """
    return Fraction(4 * meter[0], meter[1])


@lru_cache(maxsize=256)
def beat_length(meter: Meter) -> Fraction:
    """Return the length of a beat, in quarters: dotted in 6/8, 9/8, 12/8 and their like.

    Examples
    --------
    >>> beat_length((3, 4)), beat_length((6, 8)), beat_length((3, 8))
    (Fraction(1, 1), Fraction(3, 2), Fraction(1, 2))
    """
    dotted = meter[1] >= 8 and meter[0] in _COMPOUND
    return Fraction(12 if dotted else 4, meter[1])


def beats_a_minute(tempo: float, meter: Meter) -> float:
    """Return a tempo in beats, as it is told: of dotted beats in whole numbers.

    Examples
    --------
    >>> beats_a_minute(59, (6, 8)), beats_a_minute(72.5, (4, 4)), beats_a_minute(145, (2, 2))
    (39.0, 72.5, 72.5)
    """
    beat = beat_length(meter)
    return round(float(tempo) / float(beat), 0 if beat.numerator == 3 else 1)


@dataclass(frozen=True, slots=True)
class BarChange:
    """A chord in a written bar: where it starts and how long it lasts there, in quarters.

    ``chord`` is ``None`` where no chord sounds (N.C.); ``alternates`` are chords that the chart
    offers in brackets instead of it.

    Parameters
    ----------
    chord : Chord, optional
        ``None`` where no chord sounds (N.C.).
    at : Fraction
        Where it starts in the bar, in quarters.
    beats : Fraction
        How long it lasts there, in quarters.
    alternates : tuple of Chord
        Chords that the chart offers in brackets instead.
    """

    chord: Chord | None
    at: Fraction
    beats: Fraction
    alternates: tuple[Chord, ...] = ()

    def __repr__(self) -> str:
        return as_typed(self)


@dataclass(frozen=True, slots=True)
class BarNote:
    """A melody note in a written bar; ``tied`` when the next note only carries it on.

    ``words`` are its syllables, one at most of each verse.

    Parameters
    ----------
    note : Note
    at : Fraction
        Where it starts in the bar, in quarters.
    beats : Fraction
        How long it lasts, in quarters.
    tied : bool
        Whether the next note only carries it on.
    words : tuple of Syllable
        Its syllables, one at most of each verse.
    """

    note: Note
    at: Fraction
    beats: Fraction
    tied: bool = False
    words: tuple[Syllable, ...] = ()

    def __post_init__(self) -> None:
        words = tuple(sorted(self.words, key=lambda one: one.verse))
        if len({one.verse for one in words}) < len(words):
            raise TuneError(f"the note {self.note} has two syllables of one verse")
        object.__setattr__(self, "words", words)

    def __repr__(self) -> str:
        return as_typed(self)


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar as it is written.

    Parameters
    ----------
    number : int
        The written number, see the module's conventions.
    meter : tuple of int
        Such as ``(3, 4)``.
    length : Fraction
        In quarters; less than a whole bar of the metre in a pick-up.
    changes : tuple of BarChange
        In order, without a gap, up to the end of the bar.  What was played before carries on up to
        the first of them, and through the whole bar where there is none.
    melody : tuple of BarNote
        In order; between them are rests.
    opens : bool
        Whether a repeated part opens before this bar.
    closes : int
        How often the part that closes after this bar is played; 0 where none closes.
    ending : tuple of int
        The passes in which this bar is played, where it belongs to an ending.
    signs : tuple of str
        ``"segno"``, ``"coda"`` and ``"vamp"`` (a repeated part played as long as it
        is wanted; ``closes`` says how often here) stand before the bar, ``"to coda"``, ``"fine"``
        and a jump after it: ``"D.C."``, ``"D.S. al coda"`` and so on.
    fermatas : tuple of Fraction
        Where in the bar a fermata holds what sounds, in quarters.
    lyric : tuple of str
        Its words, verse after verse, where no melody says at which notes they are sung; a verse
        without words here is empty.
    """

    number: int
    meter: Meter
    length: Fraction
    changes: tuple[BarChange, ...] = ()
    melody: tuple[BarNote, ...] = ()
    opens: bool = False
    closes: int = 0
    ending: tuple[int, ...] = ()
    signs: tuple[str, ...] = ()
    fermatas: tuple[Fraction, ...] = ()
    lyric: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self._check_time()
        self._check_lyric()
        if unknown := set(self.signs) - set(SIGNS):
            said = min(unknown)
            raise TuneError(f"bar {self.number}: unknown sign {said!r}", rule=", ".join(SIGNS))
        if len(set(self.signs) & set(JUMPS)) > 1:
            raise TuneError(f"bar {self.number}: two jumps in one bar")
        object.__setattr__(self, "signs", tuple(sign for sign in SIGNS if sign in self.signs))
        held = tuple(sorted(set(self.fermatas)))
        if held and not 0 <= held[0] <= held[-1] < self.length:
            raise TuneError(f"bar {self.number}: a fermata is outside the bar")
        object.__setattr__(self, "fermatas", held)

    def _check_lyric(self) -> None:
        if len(self.lyric) > MOST_VERSES or any(text != plain(text) for text in self.lyric):
            rule = f"printed text with single spaces, {MOST_VERSES} verses at most"
            raise TuneError(f"bar {self.number}: words {self.lyric!r}", rule=rule)
        if any(self.lyric) and self.melody:
            rule = "words stand at the notes of a melody, or under a bar that has none"
            raise TuneError(f"bar {self.number}: words beside a melody", rule=rule)
        while self.lyric and not self.lyric[-1]:
            object.__setattr__(self, "lyric", self.lyric[:-1])

    def _check_time(self) -> None:
        reached = self.changes[0].at if self.changes else self.length
        for change in self.changes:
            if change.at != reached or change.beats <= 0:
                raise TuneError(
                    f"bar {self.number}: the chord at {change.at} leaves a gap or overlaps another"
                )
            reached += change.beats
        if reached != self.length or self.carried < 0 or self.length <= 0:
            raise TuneError(
                f"bar {self.number}: the chords end after {reached} of {self.length} quarter notes"
            )
        last = max((note.at + note.beats for note in self.melody), default=Fraction(0))
        if last > self.length:
            raise TuneError(
                f"bar {self.number}: a melody of {last} quarter notes in a bar of {self.length}"
            )

    @classmethod
    def of(
        cls,
        meter: Meter,
        changes: Iterable[tuple[Chord | None, Fraction]],
        length: Fraction | None = None,
    ) -> Bar:
        """Return a bar, not yet numbered, from chords and where each of them starts.

        Parameters
        ----------
        meter : Meter
            Beats and their unit, (3, 4).
        changes : iterable of tuple of Chord or None and Fraction
        length : Fraction, optional
            In quarter notes.

        Returns
        -------
        Bar

        Examples
        --------
        >>> from fractions import Fraction
        >>> bar = hk.tune.Bar.of((4, 4), [(hk.Chord.parse("C"), Fraction(0)), (None, Fraction(3))])
        >>> [(str(change.chord), int(change.beats)) for change in bar.changes]
        [('C', 3), ('None', 1)]
        """
        whole = bar_length(meter) if length is None else length
        starts = list(changes)
        found = (
            BarChange(chord, at, after - at)
            for (chord, at), (_, after) in pairwise([*starts, (None, whole)])
        )
        return cls(0, meter, whole, tuple(found))

    @property
    def carried(self) -> Fraction:
        """Quarters from the start of the bar in which the chord before carries on."""
        return self.changes[0].at if self.changes else self.length

    @property
    def jump(self) -> str:
        """The jump after this bar, or nothing."""
        return next((sign for sign in self.signs if sign in JUMPS), "")

    @property
    def verses(self) -> set[int]:
        """The verses whose words stand in the bar."""
        return {one.verse for _, one in self.syllables()}

    def syllables(self) -> Iterator[tuple[Fraction, Syllable]]:
        """Yield its words, each with where it stands: at a note, or at the start of the bar.

        Yields
        ------
        tuple[Fraction, Syllable]
            The place from the start of the bar, in beats as ``Note.at``, and the syllable.
        """
        yield from ((note.at, one) for note in self.melody for one in note.words)
        yield from ((Fraction(0), one) for one in under_bar(self.lyric))

    @property
    def is_marked(self) -> bool:
        """Whether something repeats or jumps around the bar."""
        return bool(self.opens or self.closes or self.ending or self.signs)

    def plain(self) -> Bar:
        """Return the bar without what repeats or jumps around it.

        Returns
        -------
        Bar
        """
        if not self.is_marked:
            return self
        return replace(self, opens=False, closes=0, ending=(), signs=())

    def transpose(self, interval: Interval) -> Bar:
        """Return the bar an interval away.

        Parameters
        ----------
        interval : Interval
            ``"M2"`` is up, ``"-P5"`` down.

        Returns
        -------
        Bar

        Examples
        --------
        >>> bar = hk.Tune.parse("| Dm7 G7 |").bars[0].transpose(hk.Interval.parse("M2"))
        >>> [str(change.chord) for change in bar.changes]
        ['Em7', 'A7']
        """
        changes = (_moved(change, interval) for change in self.changes)
        melody = (replace(n, note=n.note.transpose(interval)) for n in self.melody)
        return replace(self, changes=tuple(changes), melody=tuple(melody))

    def __repr__(self) -> str:
        return as_typed(self)


def _moved(change: BarChange, interval: Interval) -> BarChange:
    return replace(
        change,
        chord=change.chord and change.chord.transpose(interval).easy(),
        alternates=tuple(chord.transpose(interval).easy() for chord in change.alternates),
    )
