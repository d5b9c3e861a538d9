"""Shapes as people type them: ``1212``, ``x32010``, ``10-12-10-12``.

One character a string where every fret has one figure; otherwise strings are parted by hyphens,
spaces or commas.  ``x`` is a muted string.
"""

import re
from collections.abc import Sequence

from harmonykit.errors import HarmonyError, Place, need_text
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.strings.instrument import Instrument

# Hyphens as keyboards and word processors make them.
_PARTING = re.compile(r"\s*[,‐‑–-]\s*|\s+")


def write_digits(frets: Fretting) -> str:
    """Return frets parted by hyphens, x for a muted string.

    Examples
    --------
    >>> write_digits((None, 3, 2, 0, 1, 0))
    'x-3-2-0-1-0'
    """
    return "-".join("x" if fret is None else str(fret) for fret in frets)


def read_digits(text: str, instrument: Instrument) -> Fretting:
    """Return the frets of a typed shape, in string order.

    Raises
    ------
    HarmonyError
        With a caret under the first string that does not fit.

    Examples
    --------
    >>> read_digits("x32010", Instrument.named("guitar"))
    (None, 3, 2, 0, 1, 0)
    """
    parts = _parts(need_text(text, "the frets of a shape", _example(instrument)))
    for column, part in parts:
        _check_part(part, Place("shape", 1, column, text), instrument)
    _check_count(parts, text, instrument)
    frets = tuple(None if part in ("x", "X") else int(part) for _, part in parts)
    for string, (column, _) in enumerate(parts):
        _check_string(string, frets[string], Place("shape", 1, column, text), instrument)
    if all(fret is None for fret in frets):
        raise HarmonyError(
            "every string is muted", place=Place("shape", 1, 1, text), rule="one string sounds"
        )
    return frets


def _parts(text: str) -> list[tuple[int, str]]:
    """Return what stands for each string, with the column at which it begins."""
    start = len(text) - len(text.lstrip())
    typed = text.strip()
    if not _PARTING.search(typed):
        return [(start + place + 1, figure) for place, figure in enumerate(typed)]
    parts, begin = [], 0
    for gap in _PARTING.finditer(typed):
        parts.append((start + begin + 1, typed[begin : gap.start()]))
        begin = gap.end()
    return [*parts, (start + begin + 1, typed[begin:])]


def _check_part(part: str, place: Place, instrument: Instrument) -> None:
    if part in ("x", "X"):
        return
    if not (part.isascii() and part.isdigit()):
        raise HarmonyError(
            f"{part!r} is not a fret" if part else "a fret is missing",
            place=place,
            rule="a shape has a fret for each string, 0 for an open and x for a muted one",
            mend=_example(instrument),
        )
    if len(part.lstrip("0")) > 2 or int(part) > instrument.frets:
        raise HarmonyError(
            f"fret {part[:9]} is beyond the neck",
            place=place,
            rule=f"the {instrument.name} has {instrument.frets} frets{_counted(instrument)}",
            mend="hyphens separate the strings where a fret has two digits: 10-12-10-12",
        )


def _check_string(string: int, fret: int | None, place: Place, instrument: Instrument) -> None:
    """Refuse a fret that a short string does not have."""
    if fret is not None and not instrument.has_fret(string, fret):
        raise HarmonyError(
            f"fret {fret} is before the {instrument.labels[string]} string begins",
            place=place,
            rule=f"it starts at fret {instrument.start(string)}; its frets count from the nut",
            mend=f"0 (open), or {instrument.start(string) + 1} and up",
        )


def _counted(instrument: Instrument) -> str:
    return f" above the capo at fret {instrument.capo}" if instrument.capo else ""


def _check_count(parts: Sequence[tuple[int, str]], text: str, instrument: Instrument) -> None:
    wanted = len(instrument.midi)
    if len(parts) == wanted:
        return
    column = parts[wanted][0] if len(parts) > wanted else len(text.rstrip()) + 1
    number = "a fret for one string" if len(parts) == 1 else f"frets for {len(parts)} strings"
    raise HarmonyError(
        f"{text.strip()!r} has {number}",
        place=Place("shape", 1, column, text),
        rule=f"the {instrument.name} ({instrument.tuning}) has {wanted} strings",
        mend=_example(instrument),
    )


def _example(instrument: Instrument) -> str:
    return f'"{"0" * len(instrument.midi)}" is all strings open'
