"""The text of an essay, as it is written: sections that ask, and what they show before and after.

A section is a table in a TOML file::

    [[section]]
    heading = "One note falls"
    text = "No note of [Adim7] sounds like home.  Now E♭ has fallen to D.  Which note is the root?"
    asked = "? D7 2223 after Adim7 2323"
    told = "D7 2223 after Adim7 2323"
    truth = "root D7"
    choices = ["A", "C", "D", "F#"]

A *moment* is what the figure shows: a chord with its shape, and what was there before; a question
mark before it keeps the name back.  ``[Adim7]`` in a text is a chord that can be heard,
``[Adim7 2323]`` one in its shape.
"""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files.toml import read_toml_file
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.sound.chords import Pitches, close_notes
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass

_FOLDER = Path(__file__).with_name("texts")
_HEARD = re.compile(r"\[([^\]\s]+)(?: ([\dx-]+))?\]")


@dataclass(frozen=True, slots=True)
class Played:
    """A chord, with its shape where it has one, and how it sounds."""

    chord: Chord
    shape: Voicing | None = None

    @property
    def pitches(self) -> Pitches:
        """What sounds."""
        if self.shape is not None:
            root = self.chord.root.pitch_class
            # Another player adds a root that the shape leaves out.
            bass = () if root in self.shape.pcs else (36 + (root - 36) % 12 + 12,)
            return (*bass, *self.shape.sounding)
        return close_notes(self.chord.tones, 57)


@dataclass(frozen=True, slots=True)
class Moment:
    """What the figure shows.

    Parameters
    ----------
    now : Played
    was : Played or None
        What was there before, dashed.
    named : bool
        Whether the chord's name and what its notes do are shown.
    """

    now: Played
    was: Played | None = None
    named: bool = True


@dataclass(frozen=True, slots=True)
class Section:
    """A section of an essay: it asks, then tells, then goes on.

    Parameters
    ----------
    heading : str
    text : str
        What is read before the question, and the question.
    asked, told : Moment
        What the figure shows before an answer, and after it.
    truth : str
        What the answer is worked out from.
    choices : tuple of str
    reason : str
        Why the right one is right, in one sentence.
    said : tuple of (str, str)
        Each other choice, and what is said of it.
    then : str
        What is read after the answer.
    code, prints : str
        How this is computed, as one would type it, and what is then printed.
    """

    heading: str
    text: str
    asked: Moment
    told: Moment
    truth: str
    choices: tuple[str, ...]
    reason: str
    said: tuple[tuple[str, str], ...]
    then: str
    code: str
    prints: str

    def said_of(self, choice: str) -> str:
        """Return what is said of a choice that is not right."""
        return dict(self.said)[choice]


@dataclass(frozen=True, slots=True)
class EssayText:
    """An essay as it is written.

    Parameters
    ----------
    name : str
    title : str
    instrument : Instrument
    sections : tuple of Section
    end : str
        What is read at the end.
    """

    name: str
    title: str
    instrument: Instrument
    sections: tuple[Section, ...]
    end: str


def essay_names() -> tuple[str, ...]:
    """Return the names of the essays that there are."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


@cache
def read_essay(name: str) -> EssayText:
    """Return an essay by name.

    Raises
    ------
    HarmonyError
        If there is no such essay.

    Examples
    --------
    >>> read_essay("four_parents").title
    'Why does one diminished seventh resolve to four chords?'
    """
    if name not in essay_names():
        raise HarmonyError(f"unknown essay {name!r}", mend=", ".join(essay_names()))
    values, _ = read_toml_file(_FOLDER / f"{name}.toml", "the essay")
    instrument = Instrument.named(values["instrument"])
    sections = tuple(_section(each, instrument) for each in values["section"])
    return EssayText(name, values["title"], instrument, sections, values["end"])


def _section(values: dict[str, Any], instrument: Instrument) -> Section:
    asked = read_moment(values["asked"], instrument)
    return Section(
        values["heading"],
        values["text"],
        asked,
        read_moment(values.get("told", values["asked"]), instrument),
        values["truth"],
        tuple(values["choices"]),
        values["reason"],
        tuple(values["said"].items()),
        values.get("then", ""),
        values["code"],
        values["prints"],
    )


def read_moment(text: str, instrument: Instrument) -> Moment:
    """Return what the figure shows, from how it is written.

    Examples
    --------
    >>> read_moment("? D7 2223 after Adim7 2323", Instrument.named("ukulele")).was.chord
    Chord.parse('Adim7')
    """
    now, _, was = text.removeprefix("? ").partition(" after ")
    return Moment(
        _played(now, instrument),
        _played(was, instrument) if was else None,
        not text.startswith("? "),
    )


def _played(text: str, instrument: Instrument) -> Played:
    symbol, _, frets = text.partition(" ")
    shape = Voicing.parse(frets, instrument) if frets else None
    return Played(Chord.parse(symbol), shape)


def parts_of(text: str, instrument: Instrument) -> Iterator[str | Played]:
    """Yield the parts of a text: words, and chords that can be heard.

    Examples
    --------
    >>> [each if isinstance(each, str) else each.chord.unicode
    ...  for each in parts_of("as [Adim7 2323] is", Instrument.named("ukulele"))]
    ['as ', 'A°7', ' is']
    """
    place = 0
    for found in _HEARD.finditer(text):
        yield text[place : found.start()]
        yield _played(" ".join(filter(None, found.groups())), instrument)
        place = found.end()
    yield text[place:]
