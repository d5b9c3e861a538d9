"""A tune: sections of bars with chord changes and, where it is known, a melody.

Conventions.  Time is counted in quarter notes, exactly, as ``fractions.Fraction``: ``at`` from the
start of a bar, ``onset`` from the start of the tune as it is played.  A tune holds its bars as they
are *written*; what is *played* (repeats, endings and the form unfolded) follows from them.

Bars are numbered from 1 as they are written.  A pick-up that opens the tune is bar 0.  A short bar
that completes the short bar before it, as at a repeat sign in the middle of a bar, bears that bar's
number, so that both halves of bar 8 are bar 8 (common practice of engravers).

A chord sounds until the next change, over bar lines too: a bar without a change of its own carries
on what was played before it.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from harmonykit.errors import need_text, need_whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_key
from harmonykit.theory.interval import Interval, as_interval
from harmonykit.theory.key import Key, key_on, shift
from harmonykit.tune import playing
from harmonykit.tune.bar import (
    FASTEST,
    SLOWEST,
    Bar,
    BarChange,
    BarNote,
    Meter,
    TuneError,
    bar_length,
    beat_length,
    write_meter,
)
from harmonykit.tune.form import INTRO, PICKUP, TAG, Form, Section, phrases_fault, signs_fault
from harmonykit.tune.playing import Change, PlayedBar, Sung
from harmonykit.tune.text.reader import is_text_form, read_fields
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import counted

if TYPE_CHECKING:
    from harmonykit.tune.text.pasted.message import Message

__all__ = [
    "FASTEST", "INTRO", "PICKUP", "SLOWEST", "TAG", "Bar", "BarChange", "BarNote", "Change", "Form",
    "Meter", "PlayedBar", "Section", "Sung", "Tune", "TuneError", "bar_length", "beat_length",
]  # fmt: skip

# Two octaves, in semitones.
_FARTHEST = 24


def _kept() -> Any:
    """Return a field for what follows from the others."""
    return field(default_factory=list, init=False, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Tune:
    """A tune as it is written, and as it is played.

    Parameters
    ----------
    title : str
    key : Key
    meter : tuple of int
        The metre at the start; each bar knows its own.
    tempo : float
        Quarter notes a minute, whatever the metre's beat; an int where it is whole.
    sections : tuple of Section
        As written; each with a name of its own and at least one bar.
    order : tuple of str
        Names of sections in playing order; all of them once, as written, where left empty.
    composer, rights, notes : str
    style : str
        How it is played, in a few words (``"slow ballad"``): a groove is chosen by it.
    doubts : tuple of str
        What was not understood, or read one way of several, when the tune was read.  Two tunes that
        differ in nothing else are equal.

    Examples
    --------
    >>> from fractions import Fraction
    >>> two = [(hk.Chord.parse("Dm7"), Fraction(0)), (hk.Chord.parse("G7"), Fraction(2))]
    >>> section = hk.tune.Section("A", (hk.tune.Bar.of((4, 4), two),))
    >>> tune = hk.Tune("Two chords", hk.Key.parse("C"), (4, 4), 120, (section,), ("A", "A"))
    >>> [(str(change.chord), int(change.onset)) for change in tune.changes]
    [('Dm7', 0), ('G7', 2), ('Dm7', 4), ('G7', 6)]
    >>> [str(change.chord) for change in tune.transpose("m3").changes[:2]]
    ['Fm7', 'Bb7']
    """

    title: str
    key: Key
    meter: Meter
    tempo: float
    # To hash every bar takes longer than to compare the few tunes that have all else alike.
    sections: tuple[Section, ...] = field(hash=False)
    order: tuple[str, ...] = ()
    composer: str = ""
    rights: str = ""
    notes: str = ""
    style: str = ""
    doubts: tuple[str, ...] = field(default=(), compare=False)
    # What is played, once it was asked for.
    _played: list[tuple[PlayedBar, ...]] = _kept()
    _changed: list[tuple[Change, ...]] = _kept()
    _sung: list[tuple[Sung, ...]] = _kept()
    _numbers: list[tuple[tuple[int, bool], ...]] = _kept()

    def __post_init__(self) -> None:
        names = [section.name for section in self.sections]
        if len(set(names)) < len(names):
            raise TuneError(f"sections named {names}", rule="each section has a name of its own")
        if unknown := [name for name in self.order if name not in names]:
            raise TuneError(f"the form names {unknown[0]!r}", rule=f"sections are {names}")
        if not self.sections or not all(section.bars for section in self.sections):
            raise TuneError(f"{self.title!r} has no bars", rule="each section has at least one")
        if not SLOWEST <= self.tempo <= FASTEST:
            rule = f"quarter notes a minute, from {SLOWEST} to {FASTEST}"
            raise TuneError(f"a tempo of {float(self.tempo):g} is out of range", rule=rule)
        if fault := signs_fault([bar for section in self.sections for bar in section.bars]):
            raise TuneError(f"{self.title!r}: {fault[1]}")
        if wrong := next(filter(None, map(phrases_fault, self.sections)), ""):
            raise TuneError(wrong, rule="phrases take up all bars of their section")
        whole = int(self.tempo) == self.tempo
        object.__setattr__(self, "tempo", int(self.tempo) if whole else float(self.tempo))
        object.__setattr__(self, "order", tuple(self.order) or tuple(names))
        object.__setattr__(self, "sections", number_sections(self.sections))

    @classmethod
    def parse(
        cls,
        text: str,
        name: str = "",
        *,
        key: Key | str | None = None,
        meter: Meter | str | None = None,
        naming: str = "",
    ) -> Tune:
        """Read a tune from text: the text form, or a message with chords between bar lines.

        Parameters
        ----------
        text : str
            ``"|1. F D7 | Gm7 C7 |"``, a longer message with words round it, or the text form.
        name : str
            What errors call the text: its file's name, say.
        key, meter, naming : at choice
            Of a message: ``"Eb major"``, ``"3/4"``, and ``"letters"``, ``"german"`` or ``"latin"``
            names of chords.  What is left out is read from the text, or guessed.

        Returns
        -------
        Tune

        Raises
        ------
        TuneError, HarmonyError
            With line, column and a caret; where any of these is given for the text form, which
            says its own.

        Notes
        -----
        The README shows what a message may hold, ``data/README.md`` the text form and its bars.
        What was guessed is in ``doubts``, each with its line, its column and what to type.

        Examples
        --------
        >>> tune = hk.Tune.parse("Low Tide Rag, in F\\n|1. F D7 | Gm7 C7 | F / / C7 | F |")
        >>> tune.title, str(tune.key), len(tune.bars)
        ('Low Tide Rag', 'F major', 4)
        """
        need_text(text, "a tune", '"| Dm7 G7 | C6 |"')
        file = need_text(name, "the name of the text", 'name="my tune"').lower()
        is_form = file.endswith(".toml") or is_text_form(text)
        if is_form and all(said is None or said == "" for said in (key, meter, naming)):
            return cls(**read_fields(text, name))
        from harmonykit.tune.text.pasted.header import Given
        from harmonykit.tune.text.pasted.message import read_message

        given = Given.of(key, meter, naming)
        if is_form:
            raise TuneError(
                "key, metre and naming are given for a text in the text form",
                rule="the text form gives its own; only a pasted message may leave them out",
                mend='key = "Eb major" in the text, or tune.transpose_to("Eb")',
            )
        return cls.of_message(read_message(text, name or "the text", given))

    @classmethod
    def of_message(cls, said: Message) -> Tune:
        """Make a tune of what a message says.

        Parameters
        ----------
        said : Message

        Returns
        -------
        Tune
        """
        return cls(**said.fields)

    @property
    def bars(self) -> tuple[Bar, ...]:
        """The bars as written, section after section."""
        return tuple(bar for section in self.sections for bar in section.bars)

    @property
    def form(self) -> Form:
        """What is written once and played more than once, and the order of play."""
        return Form.of(self.sections, self.order)

    @property
    def playing(self) -> tuple[PlayedBar, ...]:
        """The bars in the playing order of the form, each with its onset.

        Raises
        ------
        TuneError
            If repeats and form come to more bars than anybody plays.
        """
        if not self._played:
            self._played.append(playing.play_bars(self.bars, self.form))
        return self._played[0]

    @property
    def numbers(self) -> tuple[tuple[int, bool], ...]:
        """The number of each bar in playing order, and whether it comes for the first time.

        Examples
        --------
        >>> from fractions import Fraction
        >>> section = hk.tune.Section("A", (hk.tune.Bar.of((4, 4), [(None, Fraction(0))]),))
        >>> hk.Tune("Rest", hk.Key.parse("C"), (4, 4), 90, (section,), ("A", "A")).numbers
        ((1, True), (2, True))
        """
        if not self._numbers:
            numbered = playing.number_played(self.playing, pickup=bool(self.pickup))
            self._numbers.append(numbered)
        return self._numbers[0]

    @property
    def bar_count(self) -> int:
        """How many bars are played, as players count: no pick-up, and two halves as one."""
        return self.numbers[-1][0]

    @property
    def framing(self) -> tuple[int, int]:
        """How many of these bars are an intro before the tune, and a tag after it.

        Examples
        --------
        >>> hk.Tune.parse("| C | F | G7 | C |").framing
        (0, 0)
        >>> hk.arrange.framed("| C | F | G7 | C |", "last four bars", "tag").framing
        (4, 3)
        """
        return playing.count_framing(self.playing, self.numbers)

    @property
    def changes(self) -> tuple[Change, ...]:
        """The changes in playing order, without a gap from the first beat to the last.

        Silence before the first chord is a change to ``None``.
        """
        if not self._changed:
            self._changed.append(playing.play_changes(self.playing))
        return self._changed[0]

    @property
    def chords(self) -> tuple[Chord, ...]:
        """Its chords, each once, as they first come in playing order.

        Examples
        --------
        >>> [chord.symbol for chord in hk.Tune.parse("| C6 A7 | Dm7 G7 | C6 |").chords]
        ['C6', 'A7', 'Dm7', 'G7']
        """
        return tuple(dict.fromkeys(change.chord for change in self.changes if change.chord))

    @property
    def melody(self) -> tuple[Sung, ...]:
        """The melody in playing order; gaps between its notes are rests."""
        if not self._sung:
            self._sung.append(playing.play_melody(self.playing))
        return self._sung[0]

    @property
    def length(self) -> Fraction:
        """The length as played, in quarters."""
        last = self.playing[-1]
        return last.onset + last.bar.length

    @property
    def pickup(self) -> Fraction:
        """Quarters before the first whole bar; 0 where the tune starts with one."""
        return self.form.pickup

    def transpose(self, interval: Interval | str) -> Tune:
        """Return the tune an interval away, spelled by the interval.

        A key that would have more than six sharps or flats is written as its enharmonic twin, and
        all else with it.

        Parameters
        ----------
        interval : Interval or str
            ``"M2"`` is up, ``"-P5"`` down.

        Returns
        -------
        Tune

        Examples
        --------
        >>> from fractions import Fraction
        >>> bar = hk.tune.Bar.of((4, 4), [(hk.Chord.parse("F#7"), Fraction(0))])
        >>> section = hk.tune.Section("A", (bar,))
        >>> tune = hk.Tune("One chord", hk.Key.parse("B"), (4, 4), 120, (section,))
        >>> higher = tune.transpose("M2")
        >>> str(higher.key), str(higher.changes[0].chord)
        ('Db major', 'Ab7')
        """
        asked = as_interval(interval)
        key = self.key.transpose(asked)
        plain = self.key.tonic.transpose(asked)
        # A turn of twelve fifths is one letter at the same pitch: C# to Db.
        turn = (plain.fifths - key.tonic.fifths) // 12
        moved = Interval(asked.steps + turn, asked.semitones)
        sections = (
            replace(section, bars=tuple(bar.transpose(moved) for bar in section.bars))
            for section in self.sections
        )
        return replace(self, key=key, sections=tuple(sections))

    def __repr__(self) -> str:
        meter = write_meter(self.meter)
        bars = counted(self.bars[-1].number, "bar")
        tempo = f"{self.tempo} quarter notes a minute"
        return f"<Tune {self.title!r}: {self.key}, {meter}, {tempo}, {bars}>"

    def transpose_to(self, key: Key | str) -> Tune:
        """Return the tune in another key of its mode, five semitones down to six up.

        Parameters
        ----------
        key : Key or str
            A key or its name.

        Returns
        -------
        Tune

        Raises
        ------
        HarmonyError
            If the key cannot be read, or is of the other mode.

        Examples
        --------
        >>> str(hk.Tune.parse("Key: D minor|| Dm7 | A7 |").transpose_to("F").key)
        'F minor'
        """
        wanted = as_key(key)
        if isinstance(key, str) and len(key.split()) == 1 and wanted.mode == "major":
            wanted = Key(wanted.tonic, self.key.mode)
        if wanted.mode != self.key.mode:
            mend = str(Key(wanted.tonic, self.key.mode))
            rule = f"the tune is in {self.key.unicode}; transposing keeps the mode"
            raise TuneError(f"the tune cannot be transposed to {wanted}", rule=rule, mend=mend)
        return self.transpose(shift(self.key, wanted))

    def transpose_by(self, semitones: int) -> Tune:
        """Return the tune so many semitones higher, or lower, in a key with few accidentals.

        Parameters
        ----------
        semitones : int
            Up; down where negative.

        Returns
        -------
        Tune

        Raises
        ------
        TuneError
            If it is more than two octaves.

        Examples
        --------
        >>> str(hk.Tune.parse("Key: F|| F | C7 |").transpose_by(-2).key)
        'Eb major'
        """
        if abs(need_whole(semitones, "semitones")) > _FARTHEST:
            rule = f"{-_FARTHEST} to {_FARTHEST}"
            raise TuneError(f"{semitones} semitones are too many", rule=rule)
        if semitones % 12 == 0:
            return self.transpose(Interval(7 * (semitones // 12), semitones))
        wanted = key_on((self.key.tonic.pitch_class + semitones) % 12, self.key.mode)
        way = shift(self.key, wanted)
        octaves = (semitones - way.semitones) // 12
        return self.transpose(Interval(way.steps + 7 * octaves, semitones))


def number_sections(sections: Iterable[Section]) -> tuple[Section, ...]:
    """Return the sections with their bars numbered by the module's conventions."""
    numbered = []
    number, room = -1, Fraction(0)
    for section in sections:
        bars = []
        for bar in section.bars:
            left = bar_length(bar.meter) - bar.length
            if number == -1:
                number = 0 if left > 0 else 1
            elif left > 0 and bar.length <= room and number > 0:
                room -= bar.length
                bars.append(replace(bar, number=number))
                continue
            else:
                number += 1
            room = left
            bars.append(replace(bar, number=number))
        numbered.append(replace(section, bars=tuple(bars)))
    return tuple(numbered)
