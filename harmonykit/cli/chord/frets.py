"""What ``harmonykit chord --frets`` tells of a typed shape."""

from __future__ import annotations

from harmonykit.cli.chord.shapes import Facts, instrument_facts, near_facts, shape_facts
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.climb import chord_scale
from harmonykit.fretboard.shapes.reading import ScalePlace, read_shape
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

FORMAT = 1
# How many strings move, and how far, to what is called near: enough for a next chord.
_STRINGS, _FRETS = 2, 2


def frets_facts(digits: str, neck: Instrument) -> Facts:
    """Return what a shape sounds, its readings, its places in chord scales, and what is near.

    Parameters
    ----------
    digits : str
        As ``Voicing.parse`` reads it: ``"2213"``, ``"x32010"``, ``"10-12-10-12"``.
    neck : Instrument

    Raises
    ------
    HarmonyError
        If it is no shape on the instrument.

    Examples
    --------
    >>> told = frets_facts("2213", Instrument.named("ukulele"))
    >>> [name["symbol"] for name in told["names"]][:2], told["places"][0]["step"]
    (['Dm7', 'F6/D'], 7)
    """
    reading = read_shape(digits, neck)
    shape = reading.voicing
    return {
        "format": FORMAT,
        "instrument": instrument_facts(neck),
        "shape": shape_facts(shape, reading.names[0].chord),
        "names": [
            {
                "symbol": name.symbol,
                "printed": name.chord.unicode,
                "missing": [degree.name for degree in name.missing],
            }
            for name in reading.names
        ],
        "places": [_place(place, shape) for place in reading.places],
        "near": near_facts(shape, _STRINGS, _FRETS) if shape.fingering else [],
    }


def _place(place: ScalePlace, shape: Voicing) -> Facts:
    chord = place.scale.diminished if place.diminished else place.scale.chord
    return {
        "scale": place.scale.title,
        "step": place.step,
        "chord": chord.symbol,
        "whole": place.whole,
        "next_down": _next(place, shape, -1),
        "next_up": _next(place, shape, 1),
    }


def _next(place: ScalePlace, shape: Voicing, steps: int) -> str | None:
    """Return the shape one step along the scale, or ``None`` where the neck ends."""
    try:
        return chord_scale(place.scale, shape, steps)[-1].digits
    except HarmonyError:
        return None
