"""Everything about a progression, as one value: ``hk.progression("Dm7 G7 Cmaj7")``."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from harmonykit.about.row import METER, Change, guide_tones, tune_of_row
from harmonykit.about.shapes import Shape
from harmonykit.about.text import WIDTH
from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.idioms.numeral import Numeral
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.marks import MANY_STRINGS
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.theory.chord import Chord, Interval, Note
from harmonykit.theory.given import ChordLike, KeyLike, as_key
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.function import analyse_chords
from harmonykit.tune.analysis.numerals import Analysed, printed_numeral
from harmonykit.tune.analysis.surprise import Surprise, surprise
from harmonykit.tune.text.writer import write_changes
from harmonykit.tune.tune import Bar, Tune
from harmonykit.values import dataclass, field, replace

if TYPE_CHECKING:
    from harmonykit.sound.chords import Clip

_ORDERS = {"fourths": "P4", "semitones": "m2"}
_LOWEST = 55
_KEY = re.compile(r"[A-G][#b♯♭]?m?( ?(major|minor))?")


@dataclass(frozen=True, slots=True)
class Progression:
    """Chords in a row, in a key; each property is worked out when it is asked for.

    Parameters
    ----------
    tune : Tune
        The chords in time, and the key.
    near : tuple of Key
        Other likely keys, where the key was not given and is uncertain.

    Examples
    --------
    >>> two_five_one = hk.progression("Dm7 G7 Cmaj7")
    >>> two_five_one
    progression('Dm7 G7 Cmaj7', key='C major')
    >>> two_five_one.numerals, [change.semitones for change in two_five_one.changes]
    (('ii7', 'V7', 'Imaj7'), [3, 3])
    >>> print(two_five_one.transpose("M2"))
    Em7 A7 Dmaj7 in D major
    <BLANKLINE>
    Em7    ii7    guide tones G D
    A7     V7     guide tones C♯ G   B falls to A, D falls to C♯; keeps E G
    Dmaj7  Imaj7  guide tones F♯ C♯  E falls to D, G falls to F♯; keeps A C♯
    <BLANKLINE>
    Surprise: 0.8 bits per change (a tune as written has about 3.5); the whole row
    was heard 1,343 times, in 377 of 606 jazz tunes
    """

    tune: Tune
    near: tuple[Key, ...] = field(default=(), compare=False)

    @property
    def key(self) -> Key:
        """The key: the given one, or the one that fits best."""
        return self.tune.key

    @property
    def chords(self) -> tuple[Chord, ...]:
        """The chords in playing order, silence left out."""
        return tuple(change.chord for change in self.tune.changes if change.chord is not None)

    @property
    def beats(self) -> tuple[Fraction, ...]:
        """How long each chord lasts, in quarter notes."""
        return tuple(change.beats for change in self.tune.changes if change.chord is not None)

    @property
    def doubts(self) -> tuple[str, ...]:
        """What some schools read otherwise, and other keys where the key is uncertain.

        Examples
        --------
        >>> hk.progression("Dm7 G7").doubts
        ('the key may also be D minor: give key="D minor"',)
        """
        if not self.near:
            return self.tune.doubts
        others = " or ".join(map(str, self.near))
        doubt = f'the key may also be {others}: give key="{self.near[0]}"'
        return (*self.tune.doubts, doubt)

    @property
    def functions(self) -> tuple[Analysed, ...]:
        """Each chord in the key: numeral, function, what a dominant leads to.

        Examples
        --------
        >>> [each.words for each in hk.progression("Em7b5 A7 Dm7 G7 C6", key="C").functions]
        ['predominant of ii', 'dominant of ii', 'predominant', 'dominant', 'tonic']
        """
        return analyse_chords(self.chords, self.key)

    @property
    def numerals(self) -> tuple[str, ...]:
        """The Roman numeral of each chord, as it is printed.

        Examples
        --------
        >>> hk.progression("Cmaj7 C#dim7 Dm7 Db7 C6", key="C").numerals
        ('Imaj7', 'vii°7/ii', 'ii7', 'subV7', 'I6')
        """
        return tuple(printed_numeral(each.numeral) for each in self.functions)

    @property
    def guide_tones(self) -> tuple[tuple[Note, ...], ...]:
        """The third and the seventh of each chord, or what stands for them.

        Examples
        --------
        >>> [[note.name for note in pair] for pair in hk.progression("Dm7 G7 Cmaj7").guide_tones]
        [['F', 'C'], ['B', 'F'], ['E', 'B']]
        """
        return tuple(map(guide_tones, self.chords))

    @property
    def changes(self) -> tuple[Change, ...]:
        """From each chord to the next: semitones, moving voices, common tones, guide tones.

        Examples
        --------
        >>> [str(change) for change in hk.progression("Dm7 G7 Cmaj7").changes]
        ['Dm7 to G7: A falls to G, C falls to B', 'G7 to Cmaj7: D falls to C, F falls to E']
        """
        return tuple(Change(one, two) for one, two in pairwise(self.chords))

    @property
    def surprise(self) -> Surprise:
        """How surprising each change is, in bits, and how often it was heard.

        Examples
        --------
        >>> found = hk.progression("Dm7 G7 Cmaj7 Ab7", key="C").surprise
        >>> [(str(each.chord), each.bits > 4) for each in found.changes]
        [('G7', False), ('Cmaj7', False), ('Ab7', True)]
        """
        return surprise(self.tune, self.key)

    def arrangement(
        self, instrument: InstrumentLike = "ukulele", limits: Limits | None = None
    ) -> Arrangement:
        """Return the chords as written with the shapes that go together best, nothing added.

        On four strings or fewer, which have no bass to lead, shapes low on the neck are preferred.

        Parameters
        ----------
        instrument : Instrument or str
        limits : Limits, optional
            What the hand may do; a wide hand where not given.

        Returns
        -------
        Arrangement

        Raises
        ------
        HarmonyError
            If a chord has no playable shape on the instrument.

        Examples
        --------
        >>> way = hk.progression("Dm7 G7 Cmaj7").arrangement("guitar")
        >>> [str(step.chord) for step in way.steps], way.added
        (['Dm7', 'G7', 'Cmaj7'], ())
        """
        neck = as_instrument(instrument)
        style = "usual" if len(neck.strings) >= MANY_STRINGS else "low on the neck"
        return reharmonise(self.tune, neck, (), 1, style=style, wishes=Wishes(limits=limits))[0]

    def shapes(
        self, instrument: InstrumentLike = "ukulele", limits: Limits | None = None
    ) -> tuple[Shape, ...]:
        """Return a shape for each chord, chosen together so that little moves.

        Parameters
        ----------
        instrument : Instrument or str
            Its name, its open strings, or a value.
        limits : Limits, optional
            What the hand may do.

        Returns
        -------
        tuple of Shape

        Examples
        --------
        >>> [shape.digits for shape in hk.progression("Dm7 G7 C6").shapes("ukulele")]
        ['2-2-1-3', '0-2-1-2', '0-0-0-0']
        """
        steps = self.arrangement(instrument, limits).sounding
        starts = {change.onset for change in self.tune.changes}
        return tuple(
            Shape(step.voicing, step.chord)
            for step in steps
            if step.voicing is not None and step.chord is not None and step.onset in starts
        )

    def transpose(self, interval: Interval | str) -> Progression:
        """Return the progression an interval away: ``"M2"`` up, ``"-m3"`` down.

        Parameters
        ----------
        interval : Interval or str
            ``"M2"`` is up, ``"-P5"`` down.

        Returns
        -------
        Progression

        Raises
        ------
        HarmonyError
            If what was given is not an interval; of a key ``in_key`` is told.

        Examples
        --------
        >>> [str(chord) for chord in hk.progression("Dm7 G7 Cmaj7").transpose("-M2").chords]
        ['Cm7', 'F7', 'Bbmaj7']
        """
        if isinstance(interval, str) and _KEY.fullmatch(interval.strip()):
            raise HarmonyError(
                f"{interval!r} is a key, not an interval", mend=f".in_key({interval!r})"
            )
        return replace(self, tune=self.tune.transpose(interval), near=())

    def in_key(self, key: KeyLike) -> Progression:
        """Return the progression in another key, upward or down by a fourth at most.

        Parameters
        ----------
        key : Key or str
            A key or its name.

        Returns
        -------
        Progression

        Raises
        ------
        HarmonyError
            If the key is of another mode.

        Examples
        --------
        >>> hk.progression("Dm7 G7 Cmaj7").in_key("Eb")
        progression('Fm7 Bb7 Ebmaj7', key='Eb major')
        """
        there = as_key(key)
        if there.mode != self.key.mode:
            raise HarmonyError(
                f"{there.unicode} is not a {self.key.mode} key, but {self.key.unicode} is",
                rule="major stays major, minor stays minor",
                mend=f'"{there.tonic.name} {self.key.mode}"',
            )
        up = self.key.tonic.interval_to(there.tonic)
        return self.transpose(
            up if up.semitones <= 6 else Interval(up.steps - 7, up.semitones - 12)
        )

    def in_all_keys(self, order: str = "fourths") -> tuple[Progression, ...]:
        """Return the progression in the twelve keys, its own first.

        Parameters
        ----------
        order : {"fourths", "semitones"}
            Each a fourth above the one before, as players practise, or a semitone.

        Returns
        -------
        tuple of Progression

        Examples
        --------
        >>> [str(each.key.tonic) for each in hk.progression("Dm7 G7 Cmaj7").in_all_keys()]
        ['C', 'F', 'Bb', 'Eb', 'Ab', 'Db', 'Gb', 'B', 'E', 'A', 'D', 'G']
        """
        step = _ORDERS[need_one_of(order, "order", _ORDERS)]
        found = [self]
        while len(found) < 12:
            there = found[-1].key.transpose(step)
            found.append(self.in_key(there))
        return tuple(found)

    def sound(self) -> Clip:
        """Return the chords one after another as a sound, each close to the one before.

        Returns
        -------
        Clip

        Examples
        --------
        >>> hk.progression("Dm7 G7 Cmaj7").sound().seconds
        3.3
        """
        from harmonykit.sound.chords import close_pitches, sound_of

        played: list[tuple[int, ...]] = []
        for chord in self.chords:
            notes = [note.pitch_class for note in chord.tones]
            turns = [notes[n:] + notes[:n] for n in range(len(notes))]
            ways = [close_pitches(turn, _LOWEST) for turn in turns]
            last = played[-1] if played else ways[0]
            played.append(
                min(ways, key=lambda way: abs(sum(way) / len(way) - sum(last) / len(last)))
            )
        return sound_of(tuple(played))

    def __str__(self) -> str:
        names = [chord.unicode for chord in self.chords]
        lines = [f"{' '.join(names)} in {self.key.unicode}", ""]
        guides = [" ".join(note.unicode for note in pair) for pair in self.guide_tones]
        wide = [max(map(len, column)) for column in (names, self.numerals, guides)]
        told = ["", *map(_told, self.changes)]
        for name, numeral, guide, change in zip(names, self.numerals, guides, told, strict=True):
            row = f"{name:{wide[0]}}  {numeral:{wide[1]}}  guide tones {guide:{wide[2]}}  {change}"
            lines.append(row.rstrip())
        if (found := self.surprise).changes:
            lines += ["", *textwrap.wrap(f"Surprise: {found.words}", WIDTH)]
        if self.doubts:
            lines.append("")
        for doubt in self.doubts:
            lines += textwrap.wrap(f"Doubt: {doubt}", WIDTH)
        return "\n".join(lines)

    def _repr_pretty_(self, printer: Any, cycle: object) -> None:
        """Show all that is told where IPython shows a value by itself."""
        printer.text(repr(self) if cycle else str(self))

    def __repr__(self) -> str:
        return f"progression({_typed(self.tune)!r}, key={str(self.key)!r})"


def _told(change: Change) -> str:
    kept = " ".join(note.unicode for note in change.common_tones)
    parts = [", ".join(map(str, change.moves)) or "nothing moves", f"keeps {kept}" if kept else ""]
    return "; ".join(filter(None, parts))


def _typed(tune: Tune) -> str:
    """Return the chords as they can be typed back: in a row, or in bars where those matter."""
    chords = [bar.changes[0].chord for bar in tune.bars if bar.changes]
    plain = [Bar.of(METER, [(chord, Fraction(0))]) for chord in chords]
    if [replace(bar, number=0) for bar in tune.bars] == [replace(bar, number=0) for bar in plain]:
        return " ".join("N.C." if chord is None else chord.symbol for chord in chords)
    return " ".join(write_changes(tune.bars, tune.meter).split())


def progression(
    chords: str | Iterable[ChordLike] | Progression, key: KeyLike | None = None
) -> Progression:
    """Return everything about a progression.

    Parameters
    ----------
    chords : str, or iterable of Chord or str
        ``"Dm7 G7 Cmaj7"``, each chord a bar of four quarters; bars of your own with bar lines,
        ``"| Dm7 G7 | Cmaj7 |"``; Roman numerals, ``"ii7 V7 Imaj7"``, with a key; or a list of
        chords.
    key : Key or str, optional
        The one that fits the chords best where not given.

    Returns
    -------
    Progression
        With ``numerals``, ``guide_tones``, ``changes``, ``shapes("ukulele")``, ``transpose("M2")``,
        ``in_all_keys()`` and more.

    Raises
    ------
    HarmonyError
        If a chord cannot be read, or there is none; if numerals are given without a key.

    Examples
    --------
    >>> [str(chord) for chord in hk.progression("ii7 V7 Imaj7", key="Eb").chords]
    ['Fm7', 'Bb7', 'Ebmaj7']
    >>> hk.progression("| Dm7 G7 | Cmaj7 |").beats
    (Fraction(2, 1), Fraction(2, 1), Fraction(4, 1))
    >>> hk.progression(["Bm7b5", "E7b9", "Am6"]).key
    Key.parse('A minor')
    """
    if isinstance(chords, Progression):
        return (
            chords
            if key is None
            else replace(chords, tune=replace(chords.tune, key=as_key(key)), near=())
        )
    home = None if key is None else as_key(key)
    if isinstance(chords, str):
        chords = _in_key(chords, home)
    tune, near = tune_of_row(chords, home)
    return Progression(tune, near)


_WORD = re.compile(r"[^\s|,]+")
_ROMAN = re.compile(r"[b#]{0,2}[IViv].*")
_PLAIN = str.maketrans({"–": " ", "-": " ", "♭": "b", "♯": "#", "°": "o"})


def _in_key(text: str, key: Key | None) -> str:
    """Return a row of Roman numerals as the chords of a key, other text as it stands."""
    plain = text.translate(_PLAIN)
    words = [word for word in _WORD.findall(plain) if word not in ("%", "/")]
    if not words or not all(map(_ROMAN.fullmatch, words)):
        return text
    if key is None:
        raise HarmonyError(
            f"{text!r} has numerals but no key",
            rule="numerals name chords of a key",
            mend='key="C"',
        )

    def chord(word: re.Match[str]) -> str:
        if _ROMAN.fullmatch(word[0]) is None:
            return word[0]
        numeral, tonic = word[0], key.tonic
        head, _, goal = numeral.rpartition("/")
        if head and _ROMAN.fullmatch(goal):
            numeral, tonic = head, Numeral.parse(goal).degree.over(tonic).plain()
        return Numeral.parse(numeral).chord(tonic, plain=True).symbol

    return _WORD.sub(chord, plain)
