"""What ``harmonykit chord --frets`` tells of a typed shape, as facts and as lines of text."""

from collections.abc import Iterator

from harmonykit.about.shapes import Facts, Shape, instrument_facts, near_facts, shape_facts
from harmonykit.about.text import near, printed, row, shape_table
from harmonykit.errors import attempt
from harmonykit.fretboard.hands.difficulty import level_word
from harmonykit.fretboard.shapes import nearest, voicing
from harmonykit.fretboard.shapes.reading import ScalePlace, read_shape
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.words.numbers import counted

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
    (['Dm7', 'F6'], 7)
    """
    reading = read_shape(digits, neck)
    shape = reading.voicing
    return {
        "format": FORMAT,
        "instrument": instrument_facts(neck),
        "shape": shape_facts(Shape(shape, reading.names[0].chord)),
        "names": [
            {
                "symbol": name.symbol,
                "printed": name.chord.unicode,
                "missing": [degree.name for degree in name.missing],
            }
            for name in reading.names
        ],
        "places": [_place(place, shape) for place in reading.places],
        "near": near_facts(shape, reading.names[0].chord, _STRINGS, _FRETS)
        if shape.fingering
        else [],
    }


def _place(place: ScalePlace, shape: voicing.Voicing) -> Facts:
    chord = place.scale.diminished if place.diminished else place.scale.chord
    return {
        "scale": place.scale.title,
        "step": place.step,
        "chord": chord.symbol,
        "whole": place.whole,
        "next_down": _next(place, shape, -1),
        "next_up": _next(place, shape, 1),
    }


def _next(place: ScalePlace, shape: voicing.Voicing, steps: int) -> str | None:
    """Return the shape one step along the scale, or ``None`` where the neck ends."""
    found = attempt(nearest.scale_of_chords, place.scale, shape, steps)
    return found[-1].digits if found else None


MOST_NAMES, MOST_PLACES, MOST_NEAR = 8, 8, 12


def frets_text(known: Facts) -> str:
    """Return the facts of ``harmonykit.about.frets.frets_facts`` as lines of 80 columns.

    Examples
    --------
    >>> from harmonykit.about.frets import frets_facts
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> told = frets_text(frets_facts("2213", Instrument.named("ukulele"))).splitlines()
    >>> print(told[0])
    2-2-1-3   Dm7
    >>> print(told[6])
    voicing     close, root position
    """
    shape = known["shape"]
    lines = [f"{shape['digits']}   {_name(known['names'][0])}"]
    lines += row("", known["instrument"]["line"], indent=0)
    lines += ["", *shape_table([shape])[:2], ""]
    lines += [*_readings(known), *_hand(shape), *_scales(known), *_near(known)]
    return "\n".join(lines)


def _name(name: Facts) -> str:
    missing = ", ".join(map(printed, name["missing"]))
    return printed(name["symbol"]) + (f" without {missing}" if missing else "")


def _readings(known: Facts) -> Iterator[str]:
    shape, names = known["shape"], known["names"]
    doubled = ", ".join(map(printed, shape["doubled"]))
    lies = [shape["layout"], printed(shape["position"]), f"{doubled} doubled" if doubled else ""]
    yield from row("voicing", ", ".join(part for part in lies if part))
    if len(names) > 1:
        yield from row("other names", _some([_name(name) for name in names[1:]], MOST_NAMES))


def _hand(shape: Facts) -> Iterator[str]:
    parts = shape["difficulty"]
    if parts is None:
        yield from row("hand", "four fingers cannot hold it")
        return
    told = [counted(parts["fingers"], "finger")]
    told += [f"a barre over {width} strings" for width in parts["barres"]]
    told += [f"stretch {parts['stretch_mm']:.0f} mm"] if parts["fingers"] > 1 else []
    if parts["tip_room_mm"] is not None:
        told.append(f"{parts['tip_room_mm']:.0f} mm of space for the fingertips")
    told += (
        [f"{counted(between, 'inner string')} muted"] if (between := parts["muted_between"]) else []
    )
    told += (
        [f"{counted(outside, 'outer string')} muted"] if (outside := parts["muted_outside"]) else []
    )
    small = f"small hand {level_word(parts['small_hand_level'])}"
    told.append(f"first level {level_word(parts['level'])} ({small})")
    yield from row("hand", ", ".join(told))
    if shape["caution"]:
        yield from row("caution", shape["caution"])


def _scales(known: Facts) -> Iterator[str]:
    """Tell the scales in which the shape is a whole chord; the parts of chords where none is."""
    places = known["places"]
    whole = [place for place in places if place["whole"]] or places
    for count, place in enumerate(whole[:MOST_PLACES]):
        part = "" if place["whole"] else "part of "
        steps = [f"down {place['next_down']}"] if place["next_down"] else []
        steps += [f"up {place['next_up']}"] if place["next_up"] else []
        chord = f"{part}{printed(place['chord'])}"
        text = f"step {place['step']} of {place['scale']}: {chord}; {', '.join(steps)}"
        yield from row("" if count else "in scales", text)
    if len(whole) > MOST_PLACES:
        yield from row("", f"and {len(whole) - MOST_PLACES} more: --json, or .places in Python")


def _near(known: Facts) -> Iterator[str]:
    if known["near"]:
        one, two = ([n for n in known["near"] if n["strings_moved"] == count] for count in (1, 2))
        label = "near"
        for changed, found in (("one string", one), ("two strings", two)):
            if found:
                yield from row(
                    label, f"{changed} changed: {_some([near(n) for n in found], MOST_NEAR)}"
                )
                label = ""


def _some(words: list[str], most: int) -> str:
    more = f"; and {len(words) - most} more" if len(words) > most else ""
    return "; ".join(words[:most]) + more
