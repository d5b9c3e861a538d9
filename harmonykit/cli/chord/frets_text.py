"""What a typed shape means, as text for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Iterator

from harmonykit.cli.chord.shapes import Facts
from harmonykit.cli.chord.text import near, printed, row, shape_table

MOST_NAMES, MOST_PLACES, MOST_NEAR = 8, 8, 12


def frets_text(known: Facts) -> str:
    """Return the facts of :func:`harmonykit.cli.chord.frets.frets_facts` as lines of 80 columns.

    Examples
    --------
    >>> from harmonykit.cli.chord.frets import frets_facts
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> told = frets_text(frets_facts("2213", Instrument.named("ukulele"))).splitlines()
    >>> print(told[0])
    2-2-1-3   Dm7
    >>> print(told[6])
    lies        close, root position
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
    yield from row("lies", ", ".join(part for part in lies if part))
    if len(names) > 1:
        yield from row("reads also", _some([_name(name) for name in names[1:]], MOST_NAMES))


def _hand(shape: Facts) -> Iterator[str]:
    parts = shape["difficulty"]
    if parts is None:
        yield from row("hand", "four fingers do not hold it")
        return
    told = [f"{parts['fingers']} finger{'' if parts['fingers'] == 1 else 's'}"]
    told += [f"a barre over {width}" for width in parts["barres"]]
    told += [f"stretch {parts['stretch_mm']:.0f} mm"] if parts["fingers"] > 1 else []
    if parts["tip_room_mm"] is not None:
        told.append(f"{parts['tip_room_mm']:.0f} mm of room for the tips")
    told += [f"{parts['muted_between']} muted between"] if parts["muted_between"] else []
    told += [f"{parts['muted_outside']} muted outside"] if parts["muted_outside"] else []
    told.append(f"first level {_level(parts['level'])}")
    told.append(f"small hand {_level(parts['small_hand_level'])}")
    yield from row("hand", ", ".join(told))
    if shape["caution"]:
        yield from row("caution", shape["caution"])


def _level(level: int | None) -> str:
    return "none" if level is None else str(level)


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
        yield from row("", f"and {len(whole) - MOST_PLACES} more; --json lists them all")


def _near(known: Facts) -> Iterator[str]:
    if known["near"]:
        one, two = ([n for n in known["near"] if n["strings_moved"] == count] for count in (1, 2))
        for label, found in (("one string", one), ("two strings", two)):
            if found:
                yield from row(label, _some([near(n) for n in found], MOST_NEAR))


def _some(words: list[str], most: int) -> str:
    more = f"; and {len(words) - most} more" if len(words) > most else ""
    return "; ".join(words[:most]) + more
