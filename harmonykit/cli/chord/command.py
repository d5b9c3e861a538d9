"""``harmonykit chord``: a symbol or a shape, as text, diagrams, lines to be read out, or JSON."""

import json
from collections.abc import Sequence
from dataclasses import dataclass

import click

from harmonykit.about.chord import AboutChord, chord
from harmonykit.about.frets import frets_facts, frets_text
from harmonykit.about.shapes import Hand, shapes_of
from harmonykit.about.text import to_text
from harmonykit.fretboard.shapes.reading import read_shape
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument, as_instrument
from harmonykit.theory.chord import Chord

TEXT, JSON, DIAGRAMS, READ_OUT = "text", "json", "diagrams", "read out"


@dataclass(frozen=True, slots=True)
class Asked:
    """A symbol or a shape, the instrument, and the hand that is to hold it."""

    symbol: str | None
    frets: str | None
    instrument: str
    capo: int = 0
    hand: Hand = Hand()
    key: str | None = None

    @property
    def neck(self) -> Instrument:
        """The instrument with its capo."""
        return as_instrument(self.instrument).with_capo(self.capo)

    @property
    def about(self) -> AboutChord:
        """What is asked about where a symbol is given."""
        return chord(self.symbol or "", self.key)

    def shapes(self) -> tuple[Sequence[Voicing], Chord]:
        """Return the shapes that are asked about, the most usual first, and their chord."""
        if self.frets is not None:
            reading = read_shape(self.frets, self.neck)
            return [reading.voicing], reading.names[0].chord
        asked = self.about.chord
        return [s.voicing for s in shapes_of(asked, self.neck, hand=self.hand)], asked


def told(asked: Asked, form: str = TEXT) -> str:
    """Return what the command prints, in one of the four forms.

    Raises
    ------
    click.UsageError
        If neither a symbol nor frets are given, or both.
    HarmonyError
        If something cannot be read.
    """
    if asked.symbol is None and asked.frets is None:
        raise click.UsageError("Missing argument 'SYMBOL', or a shape: --frets 2213")
    if asked.symbol is not None and asked.frets is not None:
        raise click.UsageError("A symbol and --frets exclude each other: ask for one of them")
    if form in (DIAGRAMS, READ_OUT):
        from harmonykit.cli.chord.drawn import diagrams, spoken

        return (diagrams if form == DIAGRAMS else spoken)(*asked.shapes())
    if asked.frets is not None:
        known = frets_facts(asked.frets, asked.neck)
        text = frets_text
    else:
        known = asked.about.facts(asked.neck, asked.hand)
        text = to_text
    return json.dumps(known, ensure_ascii=False, indent=2) if form == JSON else text(known)
