"""Fretted instruments: a neck, called by its name or by its strings.

Conventions are those of ``neck``.

As ``theory.given`` does for chords and notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.fretboard.strings import shipped, tuning
from harmonykit.fretboard.strings.neck import Neck
from harmonykit.theory.typed import as_typed
from harmonykit.words.numbers import join_words


class Instrument(Neck):
    """An instrument: its strings, its neck and its name.

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
        Whether it is strung for a left-handed player.  Strings keep their order and numbers.
    doubles : tuple of tuple of Note
        For each string those beside it that are pressed with it, in unison or in octaves.
    starts : tuple of int
        For each string the fret at which it begins: 5 for a banjo's short one, else 0.
    source : str
        Where tuning and scale length are from.
    material : {"nylon", "steel"}
        What the strings are made of, for the sound.

    Examples
    --------
    >>> ukulele = hk.Instrument.named("ukulele")
    >>> ukulele.midi, ukulele.tuning, ukulele.reentrant
    ((67, 60, 64, 69), 'g C E A', True)
    >>> hk.Instrument.parse("D2 A2 D3 G3 B3 E4").labels
    ('D', 'A', 'D', 'G', 'B', 'E')
    """

    __slots__ = ()

    @classmethod
    def named(cls, name: str) -> Instrument:
        """Return an instrument of ``data/instruments.toml`` by its name, whatever its case.

        Parameters
        ----------
        name : str

        Returns
        -------
        Instrument

        Raises
        ------
        HarmonyError
            If the name is unknown; the message lists near names.

        Examples
        --------
        >>> hk.Instrument.named("Baritone Ukulele").tuning
        'D G B E'
        """
        return _made(shipped.find_neck(name))

    @classmethod
    def parse(
        cls,
        text: str,
        name: str = "",
        scale_mm: float | None = None,
        frets: int | None = None,
    ) -> Instrument:
        """Read open strings such as ``"G4 C4 E4 A4"``, 3 to 10 of them, octaves written.

        Doubled strings are written together (``"G3G3 D4D4 A4A4 E5E5"``), and a short one with the
        fret at which it starts (``"G4@5 D3 G3 B3 D4"``).  What is not given is taken from the
        instrument by name that is strung most like it: a guess, since strings do not tell how
        long they are.

        Parameters
        ----------
        text : str
        name : str
        scale_mm : float, optional
            From nut to bridge, in mm.
        frets : int, optional
            How many the neck has.

        Returns
        -------
        Instrument

        Raises
        ------
        HarmonyError
            If a string is no note or has no octave, or if there are too few or too many; with
            a caret under the string.

        Examples
        --------
        >>> hk.Instrument.parse("G3 D4 A4 E5", name="mandolin", scale_mm=350).reentrant
        False
        """
        strung = tuning.read_tuning(text)
        like = shipped.nearest_neck(tuple(note.midi for note in strung.strings))
        return cls(
            name or tuning.write_tuning(strung),
            strung.strings,
            like.scale_mm if scale_mm is None else scale_mm,
            like.frets if frets is None else frets,
            like.family,
            doubles=strung.doubles,
            starts=strung.starts,
            material=like.material,
        )

    @property
    def sheet_line(self) -> str:
        """The sentence on a sheet that says for which tuning it is.

        Examples
        --------
        >>> print(hk.Instrument.named("ukulele").sheet_line)
        For the ukulele tuned g C E A; the g sounds above the C beside it.
        >>> print(hk.Instrument.named("mandolin").sheet_line)
        For the mandolin tuned G D A E from low to high, each string doubled.
        """
        labels = self.printed_labels
        text = f"For {_named(self)} tuned {' '.join(labels)}"
        rising = all(low < high for low, high in pairwise(self.midi))
        text += (" from low to high" if rising else "") + _doubled(self, labels)
        parts = [text, *_high(self, labels), *_short(self, labels)]
        if self.capo:
            parts.append(f"the capo is at fret {self.capo}, and frets are counted from it")
        if self.left_handed:
            parts.append("for a left-handed player")
        return "; ".join(parts) + "."

    @property
    def tuning_said(self) -> str:
        """The tuning as players say it: a string an octave below its usual place is called low.

        Examples
        --------
        >>> hk.Instrument.named("ukulele low g").tuning_said
        'G C E A with a low G'
        >>> hk.Instrument.named("ukulele").tuning_said
        'g C E A'
        """
        low = join_words([self.labels[string] for string in _lowered(self)])
        return f"{self.tuning} with a low {low}" if low else self.tuning

    def __repr__(self) -> str:
        return next(text for text, made in _typed(self) if made == self)


def _typed(instrument: Instrument) -> Iterator[tuple[str, Instrument]]:
    """Yield calls and the instruments that they make, the shortest first; the last always fits."""
    for name in shipped.names():
        named = Instrument.named(name)
        yield f"Instrument.named({name!r})", named
        if instrument.capo and not named.capo and instrument.capo < named.frets:
            raised = named.with_capo(instrument.capo)
            yield f"Instrument.named({name!r}).with_capo({instrument.capo})", raised
    if instrument.left_handed:
        right = replace(instrument, left_handed=False)
        yield f"{right!r}.for_left_hand()", right.for_left_hand()
    elif instrument.capo:
        plain = instrument.without_capo()
        yield f"{plain!r}.with_capo({instrument.capo})", plain.with_capo(instrument.capo)
    yield _typed_strings(instrument)
    yield as_typed(instrument), instrument


def _typed_strings(instrument: Instrument) -> tuple[str, Instrument]:
    text = tuning.write_tuning(instrument.stringing)
    guess = Instrument.parse(text)
    given: dict[str, Any] = {
        key: getattr(instrument, key)
        for key in ("name", "scale_mm", "frets")
        if getattr(instrument, key) != getattr(guess, key)
    }
    words = [repr(text), *(f"{key}={value!r}" for key, value in given.items())]
    return f"Instrument.parse({', '.join(words)})", Instrument.parse(text, **given)


@lru_cache(maxsize=64)
def _made(neck: Neck) -> Instrument:
    return Instrument(**{part.name: getattr(neck, part.name) for part in fields(neck) if part.init})


def _named(neck: Neck) -> str:
    # What was typed as strings has no other name.
    return "an instrument" if tuning.is_tuning(neck.name) else f"the {neck.name}"


def _doubled(neck: Neck, labels: Sequence[str]) -> str:
    if not neck.doubles:
        return ""
    courses = list(zip(labels, neck.strings, neck.doubles, strict=True))
    doubled = [label for label, _, beside in courses if beside]
    octaves = [label for label, note, beside in courses if set(beside) - {note}]
    every = len(doubled) == len(labels)
    text = ", each string doubled" if every else f", {join_words(doubled)} doubled"
    return text + (f" ({join_words(octaves)} in octaves)" if octaves else "")


def _high(neck: Neck, labels: Sequence[str]) -> Iterator[str]:
    for string, (now, after) in enumerate(pairwise(neck.midi)):
        if now > after:
            yield f"the {labels[string]} sounds above the {labels[string + 1]} beside it"


def _lowered(neck: Neck) -> tuple[int, ...]:
    """Return the strings an octave below those of a shipped instrument, all others of which agree.

    Of one that is re-entrant for them: else the lower string is the usual one.
    """
    midi = (neck.without_capo() if neck.capo else neck).midi
    for known in map(shipped.find_neck, shipped.names()):
        if known.reentrant and len(known.midi) == len(midi):
            below = [high - low for high, low in zip(known.midi, midi, strict=True)]
            if set(below) == {0, 12}:
                return tuple(string for string, by in enumerate(below) if by)
    return ()


def _short(neck: Neck, labels: Sequence[str]) -> Iterator[str]:
    for label, start in zip(labels, neck.starts, strict=False):
        if start:
            yield f"the {label} is short and starts at fret {start}"


InstrumentLike = Instrument | str


def as_instrument(given: InstrumentLike) -> Instrument:
    """Return an instrument that was handed in as such, by its name, or as its open strings.

    Raises
    ------
    HarmonyError
        If there is no instrument of that name, or the strings cannot be read.

    Examples
    --------
    >>> as_instrument("guitar").tuning, as_instrument("G3 D4 A4 E5").tuning
    ('E A D G B E', 'G D A E')
    """
    if isinstance(given, Instrument):
        return given
    if not isinstance(given, str):
        raise wrong_kind(
            given, "an instrument, its name, or its open strings", '"ukulele" or "D4 F#4 A4 D5"'
        )
    try:
        return Instrument.named(given)
    except HarmonyError:
        if any(character.isdigit() for character in given):
            return Instrument.parse(given)
        raise
