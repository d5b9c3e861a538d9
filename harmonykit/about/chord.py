"""Everything about a chord, as one value: ``hk.chord("C13")``.

The command ``harmonykit chord`` and the panels tell what this value tells.
"""

from __future__ import annotations

import re
from typing import Any

from harmonykit.about.facts import chord_facts, shape_part
from harmonykit.about.known import KnownChord
from harmonykit.about.shapes import Facts, Hand
from harmonykit.about.text import to_text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.theory.chord import Reading, read_symbol
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_key
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect

_LIKE_A_SHAPE = re.compile(r"[0-9xX][0-9xX\s,-]*")


class AboutChord(KnownChord):
    """Everything about a chord; each property is worked out when it is asked for.

    Parameters
    ----------
    chord : Chord
    doubts : tuple of str
        What some schools read otherwise.
    key : Key, optional
        The key in which it is asked about.

    Examples
    --------
    >>> about = hk.chord("C6", key="G")
    >>> about
    chord('C6', key='G major')
    >>> print(about)
    C6
    <BLANKLINE>
    tones       C  E  G  A
    degrees     1  3  5  6
    ...
    """

    __slots__ = ()

    def facts(self, instrument: InstrumentLike | None = None, hand: Hand | None = None) -> Facts:
        """Return everything as plain lists, texts and numbers, ready for JSON.

        Parameters
        ----------
        instrument : Instrument or str, optional
            With shapes on it; without shapes where not given.
        hand : Hand, optional
            A wide one where not given.

        Returns
        -------
        Facts

        Examples
        --------
        >>> known = hk.chord("F#dim7").facts("ukulele")
        >>> [parent["chord"] for parent in known["parents"]], len(known["shapes"])
        (['Ab7', 'B7', 'D7', 'F7'], 9)
        """
        known = chord_facts(self)
        if instrument is None:
            return known
        return {**known, **shape_part(self, as_instrument(instrument), hand or Hand())}

    def text(self, instrument: InstrumentLike | None = None, hand: Hand | None = None) -> str:
        """Return everything as text, in lines of at most 80 columns.

        Parameters
        ----------
        instrument : Instrument or str, optional
            Its name, its open strings, or a value.
        hand : Hand, optional

        Returns
        -------
        str

        Examples
        --------
        >>> print(hk.chord("G7").text("ukulele").splitlines()[2])
        tones       G  B  D  F
        """
        return to_text(self.facts(instrument, hand))

    def __str__(self) -> str:
        return self.text()

    def _repr_pretty_(self, printer: Any, cycle: object) -> None:
        """Show all that is told where IPython shows a value by itself."""
        printer.text(repr(self) if cycle else str(self))


def chord(
    symbol: ChordLike, key: KeyLike | None = None, *, dialect: Dialect = DEFAULT
) -> AboutChord:
    """Return everything about a chord.

    Parameters
    ----------
    symbol : str or Chord
        A symbol as people type them: ``"C13"``, ``"Bm7b5"``, ``"F#dim7/A"``.
    key : Key or str, optional
        The key in which its functions are told; without it, in every key that has the chord.
    dialect : Dialect
        How to read what schools write alike and mean differently.

    Returns
    -------
    AboutChord
        With ``tones``, ``names``, ``functions``, ``dominants``, ``resolutions``, ``scales``,
        ``substitutes``, ``neighbours``, ``shapes("ukulele")`` and more.

    Raises
    ------
    HarmonyError
        If the symbol cannot be read or means that nothing sounds; with a caret and near readings.

    Examples
    --------
    >>> hk.chord("Bdim7").resolutions[2].target, hk.chord("C6").synonyms
    (Chord.parse('C'), (Chord.parse('Am7'),))
    """
    home = None if key is None else as_key(key)
    if not isinstance(symbol, str):
        held = symbol.doubts if isinstance(symbol, AboutChord) else ()
        return AboutChord(as_chord(symbol), held, home)
    reading = _read(symbol, dialect)
    if reading.chord is None:
        raise HarmonyError(f"{symbol!r} means that no chord sounds", mend='a chord: "F#dim7"')
    return AboutChord(reading.chord, reading.doubts, home)


def _read(symbol: str, dialect: Dialect) -> Reading:
    """Read a symbol; one that looks like a shape is told where shapes are read."""
    try:
        return read_symbol(symbol, dialect)
    except HarmonyError as error:
        if _LIKE_A_SHAPE.fullmatch(symbol.strip()):
            frets = symbol.strip()
            raise HarmonyError(
                error.what,
                place=error.place,
                rule="a chord symbol begins with a root, A to G; type a shape as fret numbers",
                mend=f'read_shape("{frets}", "ukulele"), or harmonykit chord --frets {frets}',
            ) from None
        raise
