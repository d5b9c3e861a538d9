"""A shape in plain characters: a box for the terminal, and lines to be read aloud.

Conventions.  As in ``harmonykit.draw.shapes.box``.  A column of the box is four characters wide
and a fret two lines high, which is nearly square in a terminal.  A screen reader stumbles over a
box made of characters, so ``read_out`` says the same, one string a line.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from harmonykit.draw.base import given, marks
from harmonykit.draw.shapes.looks import drawn_order, is_left_handed, strands
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass

_COLUMN = 4
_MARGIN = 4


class _Line(NamedTuple):
    """A wire in characters: left end, crossing, right end for a single and a double string."""

    single: str
    double: str
    across: str


@dataclass(frozen=True, slots=True)
class _Characters:
    nut: _Line
    top: _Line
    wire: _Line
    bottom: _Line
    single: str
    double: str
    pressed: str
    barre: str


_CHARACTERS = {
    "unicode": _Characters(
        nut=_Line("╒╤╕", "╔╦╗", "═"),
        top=_Line("┌┬┐", "╓╥╖", "─"),
        wire=_Line("├┼┤", "╟╫╢", "─"),
        bottom=_Line("└┴┘", "╙╨╜", "─"),
        single="│",
        double="║",
        pressed="●",
        barre="━",
    ),
    "ascii": _Characters(
        nut=_Line("===", "===", "="),
        top=_Line("+++", "###", "-"),
        wire=_Line("+++", "###", "-"),
        bottom=_Line("+++", "###", "-"),
        single="|",
        double="#",
        pressed="*",
        barre="=",
    ),
}


@dataclass(frozen=True, slots=True)
class TextLook:
    """How a shape of plain characters looks.

    Parameters
    ----------
    notes, degrees : bool
        A line with the names of the notes below, and one with their degrees.
    left_handed : bool, optional
        As the instrument is strung unless given.
    reverse_strings : bool
        The order of the strings turned round, for an instrument strung the other way.
    characters : {"unicode", "ascii"}

    Raises
    ------
    HarmonyError
        For other characters.

    Examples
    --------
    >>> hk.draw.TextLook(degrees=True)
    TextLook(degrees=True)
    """

    notes: bool = True
    degrees: bool = False
    left_handed: bool | None = None
    reverse_strings: bool = False
    characters: str = "unicode"

    def __post_init__(self) -> None:
        if self.characters not in _CHARACTERS:
            raise HarmonyError(
                f"{self.characters!r} is not a character set",
                mend=", ".join(map(repr, _CHARACTERS)),
            )

    def __repr__(self) -> str:
        return as_typed(self)


def draw_text(
    voicing: Voicing | str,
    chord: ChordLike | None = None,
    *,
    name: str | None = None,
    fingers: bool = False,
    look: TextLook | None = None,
) -> str:
    """Draw a shape as a chord diagram in plain characters.

    Parameters
    ----------
    voicing : Voicing or str
        Frets on a ukulele; on another instrument ``hk.Voicing.parse("x32010", "guitar")``.
    chord : Chord or str, optional
        Gives name, degrees and spelling.
    name : str, optional
        Written above; the chord's symbol unless given.
    fingers : bool
        Numbers of the fingers in place of dots, and a barre.
    look : TextLook, optional
        What is written below, which hand, and with which characters it is drawn.

    Returns
    -------
    str

    Raises
    ------
    HarmonyError
        For degrees without a chord.

    Examples
    --------
    >>> shape = hk.Voicing.parse("x32010", "guitar")
    >>> print(hk.draw.text(shape, "C", look=hk.draw.TextLook(characters="ascii")))
                  C
        x           o       o
        =====================
        |   |   |   |   *   |
        +---+---+---+---+---+
        |   |   *   |   |   |
        +---+---+---+---+---+
        |   *   |   |   |   |
        +---+---+---+---+---+
        |   |   |   |   |   |
        +---+---+---+---+---+
            C   E   G   C   E
    """
    voicing, chord = as_voicing(voicing), given.as_named(chord)
    look = given.as_look(look, TextLook)
    if look.degrees and chord is None:
        raise HarmonyError("degrees need a chord", mend='a chord: draw_text("0003", "C")')
    plain = look.characters == "ascii"
    printed = "" if chord is None else chord.symbol if plain else chord.unicode
    box = _TextBox(voicing, look, fingers=fingers)
    below = [_names(voicing, chord, plain=plain)] if look.notes else []
    below += [_degrees(voicing, chord, plain=plain)] if look.degrees else []
    lines = [box.title(printed if name is None else name), box.signs(), *box.rows()]
    return "\n".join([*filter(None, lines), *map(box.under, below)])


def read_out(
    voicing: Voicing | str, chord: ChordLike | None = None, *, name: str | None = None
) -> str:
    """Return a shape as lines for a screen reader: what it is, then each string.

    Parameters
    ----------
    voicing : Voicing or str
        Frets on a ukulele; on another instrument ``hk.Voicing.parse("x32010", "guitar")``.
    chord : Chord or str, optional
        Gives names and roles.
    name : str, optional
        What the shape is called; the chord's name where not given.

    Returns
    -------
    str

    Examples
    --------
    >>> print(hk.draw.spoken("2223", "D7"))
    D seven on the ukulele, 2 2 2 3
    g string, second fret, the note A, the fifth, first finger across 3 strings
    C string, second fret, the note D, the root, first finger across 3 strings
    E string, second fret, the note F sharp, the major third, first finger across 3 strings
    A string, third fret, the note C, the flat seventh, second finger
    """
    voicing, chord = as_voicing(voicing), given.as_named(chord)
    printed = name if name is not None else chord.unicode if chord else ""
    frets = voicing.digits.replace("-", " ")
    head = f"{given.spoken_name(printed) or 'A shape'} on the {voicing.instrument.name}, {frets}"
    return "\n".join([head, *given.describe_strings(voicing, chord, voicing.fingering)])


def _names(voicing: Voicing, chord: Chord | None, *, plain: bool) -> list[str]:
    notes = [note and note.at(None) for note in given.notes_of(voicing, chord)]
    return [(note.name if plain else note.unicode) if note else "" for note in notes]


def _degrees(voicing: Voicing, chord: Chord | None, *, plain: bool) -> list[str]:
    labels = ["" if midi is None else marks.degree_label(chord, midi % 12) for midi in voicing.midi]
    return [_typed(label) for label in labels] if plain else labels


def _typed(text: str) -> str:
    for printed, typed in (("𝄫", "bb"), ("𝄪", "##"), ("♭", "b"), ("♯", "#")):
        text = text.replace(printed, typed)
    return text


class _TextBox:
    """A box of characters; columns are the strings as they are drawn."""

    def __init__(self, voicing: Voicing, look: TextLook, *, fingers: bool) -> None:
        self.voicing, self.instrument = voicing, voicing.instrument
        self.characters = _CHARACTERS[look.characters]
        self.turned = is_left_handed(voicing.instrument, asked=look.left_handed)
        self.order = drawn_order(len(voicing.frets), self.turned, look.reverse_strings)
        self.first, self.count = window(voicing.frets)
        self.fingering = voicing.fingering if fingers else None

    def title(self, name: str) -> str:
        """The name over the middle of the box."""
        wide = (len(self.order) - 1) * _COLUMN + 1
        return (" " * (_MARGIN + max(0, (wide - len(name)) // 2)) + name) if name else ""

    def signs(self) -> str:
        """The line of o and x; empty where every string is fretted."""
        signs = {None: "x", 0: "o"}
        return self.under([signs.get(fret, "") for fret in self.voicing.frets])

    def under(self, words: Sequence[str]) -> str:
        """A word for each string, its middle in the string's column."""
        line = ""
        for column, string in enumerate(self.order):
            word = words[string]
            start = _MARGIN + column * _COLUMN - (len(word) - 1) // 2
            line = line.ljust(start) + word
        return line.rstrip()

    def rows(self) -> list[str]:
        """Wires and frets, from the nut or the first fret's number on."""
        kinds = self.characters
        lines = [self._wire(self.first - 1, kinds.nut if self.first == 1 else kinds.top)]
        last = self.first + self.count - 1
        for fret in range(self.first, last + 1):
            number = str(fret) if fret == self.first > 1 else ""
            lines.append(self._fret(fret, number))
            lines.append(self._wire(fret, kinds.bottom if fret == last else kinds.wire))
        return lines

    def _lies(self, string: int, wire: int) -> bool:
        return self.instrument.start(string) <= wire

    def _is_double(self, string: int) -> bool:
        return len(strands(self.instrument, string)) > 1

    def _wire(self, wire: int, line: _Line) -> str:
        columns = [c for c, string in enumerate(self.order) if self._lies(string, wire)]
        first, last = columns[0], columns[-1]
        text = " " * (_MARGIN + first * _COLUMN)
        for column in range(first, last + 1):
            kind = line.double if self._is_double(self.order[column]) else line.single
            text += kind[0 if column == first else 2 if column == last else 1]
            text += line.across * (_COLUMN - 1) if column < last else ""
        return text

    def _fret(self, fret: int, number: str) -> str:
        """One fret's row: strings, what is pressed, and a barre's bar."""
        text = " " * _MARGIN if self.turned else number.rjust(_MARGIN - 2).ljust(_MARGIN)
        for column, string in enumerate(self.order):
            text += self._crossing(string, fret)
            if column + 1 < len(self.order):
                laid = self._under_barre(fret, string, self.order[column + 1])
                text += (self.characters.barre if laid else " ") * (_COLUMN - 1)
        # Behind the whole width: a short string may leave its end of the row empty.
        return f"{text}  {number}" if self.turned and number else text.rstrip()

    def _crossing(self, string: int, fret: int) -> str:
        if self.voicing.frets[string] == fret:
            finger = self.fingering.fingers[string] if self.fingering else None
            return str(finger) if finger else self.characters.pressed
        if self._under_barre(fret, string, string):
            return self.characters.barre
        if not self._lies(string, fret - 1):
            return " "
        return self.characters.double if self._is_double(string) else self.characters.single

    def _under_barre(self, fret: int, *strings: int) -> bool:
        barres = self.fingering.barres if self.fingering else ()
        return any(
            barre.fret == fret and all(barre.first <= s <= barre.last for s in strings)
            for barre in barres
        )
