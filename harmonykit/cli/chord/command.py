"""``harmonykit chord``: a symbol or a shape, as text or as JSON."""

from __future__ import annotations

import json

import click

from harmonykit.cli.chord.about import facts, read_instrument
from harmonykit.cli.chord.frets import frets_facts, frets_text
from harmonykit.cli.chord.text import to_text


def told(
    symbol: str | None,
    frets: str | None,
    instrument: str,
    capo: int,
    level: int | None,
    small_hand: bool,
    thumb: bool,
    as_json: bool,
) -> str:
    """Return what the command prints.

    Raises
    ------
    click.UsageError
        If neither a symbol nor frets are given, or both.
    HarmonyError
        If something cannot be read.
    """
    if symbol is None and frets is None:
        raise click.UsageError("Missing argument 'SYMBOL', or a shape: --frets 2213")
    if symbol is not None and frets is not None:
        raise click.UsageError("A symbol and --frets exclude each other: ask for one of them")
    if frets is not None:
        known = frets_facts(frets, read_instrument(instrument).with_capo(capo))
        text = frets_text
    else:
        known = facts(symbol or "", instrument, capo, level, small_hand, thumb)
        text = to_text
    return json.dumps(known, ensure_ascii=False, indent=2) if as_json else text(known)
