"""Frettings: all of a set of notes, as people type them, and which part of the neck a box shows.

Conventions.  A fretting is one fret for each string in string order, ``None`` for a muted string.
As text it is one character a string (``1212``, ``x32010``) where every fret has one figure;
otherwise strings are parted by hyphens, spaces or commas (``10-12-10-12``).  ``x`` is a muted
string.  A set of pitch classes is a bit mask, bit n for pitch class n.  The span is the highest
minus the lowest fretted fret; open strings are free.
"""

import re
from collections.abc import Sequence

from harmonykit.errors import HarmonyError, Place, need_text
from harmonykit.fretboard.strings.instrument import Instrument

Fretting = tuple[int | None, ...]
_Option = tuple[int | None, int]


def frettings(
    strings: tuple[int, ...],
    must: int,
    may: int,
    within: tuple[int, int],
    *,
    mutes: bool,
    starts: tuple[int, ...] = (),
    opens: bool = True,
) -> list[Fretting]:
    """Return every fretting in which each tone of ``must`` sounds, and no tone outside ``may``.

    Strings are taken one after the other; a branch is given up as soon as more tones are missing
    than strings are left, or the frets lie too far apart.  Nothing is skipped but what can no
    longer come right, so the list is whole (the tests compare it with a search without pruning).

    Parameters
    ----------
    strings : tuple of int
        MIDI numbers of the open strings.
    must, may : int
        Bit masks of pitch classes; ``must`` lies within ``may``.
    within : (int, int)
        The highest fret, and how many frets the fretted strings may lie apart.
    mutes : bool
        Whether strings may be muted; one at least sounds.
    starts : tuple of int
        The fret at which each string starts; empty where all are whole.
    opens : bool
        Whether strings may sound open.

    Returns
    -------
    list of tuple
        Sorted by fret, string by string, a muted string first.

    Examples
    --------
    >>> frettings((67, 60, 64, 69), 0b1010010001, 0b1010010001, (4, 3), mutes=False)
    [(0, 0, 0, 0), (2, 4, 3, 3)]
    """
    max_fret, max_span = within
    options = [
        _options(string, start, may, max_fret, mutes=mutes, opens=opens)
        for string, start in zip(strings, starts or (0,) * len(strings), strict=True)
    ]
    last = len(strings) - 1
    found: list[Fretting] = []

    def grow(string: int, chosen: Fretting, missing: int, low: int, high: int) -> None:
        for fret, tone in options[string]:
            left = missing & ~tone
            if left.bit_count() > last - string:
                continue
            lowest, highest = low, high
            if fret:
                lowest = fret if fret < low else low
                highest = fret if fret > high else high
                if highest - lowest > max_span:
                    continue
            if string == last:
                found.append((*chosen, fret))
            else:
                grow(string + 1, (*chosen, fret), left, lowest, highest)

    grow(0, (), must, max_fret + 1, 0)
    return found if must else [frets for frets in found if any(f is not None for f in frets)]


def _options(
    string: int, start: int, may: int, max_fret: int, *, mutes: bool, opens: bool
) -> list[_Option]:
    """Return the frets at which a string sounds an allowed tone, each with that tone's bit."""
    tones = [(fret, 1 << (string + fret - start) % 12) for fret in range(start + 1, max_fret + 1)]
    if opens:
        tones.insert(0, (0, 1 << string % 12))
    sounding: list[_Option] = [(fret, tone) for fret, tone in tones if tone & may]
    return [(None, 0), *sounding] if mutes else sounding


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
            "every string is muted",
            place=Place("shape", 1, 1, text),
            rule="at least one string sounds",
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


def shifted(frets: Fretting, up: int) -> Fretting:
    """Return frets so many farther up the neck, below 0 down; a muted string stays muted.

    Examples
    --------
    >>> shifted((None, 3, 2, 0), 2)
    (None, 5, 4, 2)
    """
    return tuple(None if fret is None else fret + up for fret in frets)


LEAST_ROWS = 4


def window(frets: Sequence[int | None]) -> tuple[int, int]:
    """Return the first fret that a box shows and its number of rows.

    From the nut where four rows hold the shape, else from the lowest fretted fret.

    Examples
    --------
    >>> window((2, 2, 2, 3)), window((9, 9, 8, 10)), window((0, 1, 0, 5))
    ((1, 4), (8, 4), (1, 5))
    """
    fretted = [fret for fret in frets if fret]
    if not fretted or max(fretted) <= LEAST_ROWS:
        return 1, LEAST_ROWS
    return min(fretted), max(LEAST_ROWS, max(fretted) - min(fretted) + 1)
