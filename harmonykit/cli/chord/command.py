"""``harmonykit chord``: a symbol or a shape, as text, diagrams, lines to be read out, or JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

import click

from harmonykit.cli.chord.about import facts, read_chord, read_instrument
from harmonykit.cli.chord.frets import frets_facts, frets_text
from harmonykit.cli.chord.shapes import hand_limits, shapes_of
from harmonykit.cli.chord.text import to_text
from harmonykit.fretboard.shapes.reading import read_shape
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord

TEXT, JSON, DIAGRAMS, READ_OUT = "text", "json", "diagrams", "read out"


@dataclass(frozen=True, slots=True)
class Asked:
    """A symbol or a shape, the instrument, and the hand that is to hold it."""

    symbol: str | None
    frets: str | None
    instrument: str
    capo: int = 0
    level: int | None = None
    small_hand: bool = False
    thumb: bool = False

    def shapes(self) -> tuple[Sequence[Voicing], Chord]:
        """Return the shapes that are asked about, the most usual first, and their chord."""
        neck = read_instrument(self.instrument).with_capo(self.capo)
        if self.frets is not None:
            reading = read_shape(self.frets, neck)
            return [reading.voicing], reading.names[0].chord
        chord, _ = read_chord(self.symbol or "")
        limits = hand_limits(neck, self.level, self.small_hand, self.thumb)
        return shapes_of(chord, neck, limits)[0], chord


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
        known = frets_facts(asked.frets, read_instrument(asked.instrument).with_capo(asked.capo))
        text = frets_text
    else:
        known = facts(
            asked.symbol or "",
            asked.instrument,
            asked.capo,
            asked.level,
            asked.small_hand,
            asked.thumb,
        )
        text = to_text
    return json.dumps(known, ensure_ascii=False, indent=2) if form == JSON else text(known)
