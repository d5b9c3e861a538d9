"""Every way to fret a set of pitch classes, as plain numbers.

Conventions.  A set of pitch classes is a bit mask, bit n for pitch class n.  A fretting is one
fret for each string in string order, ``None`` for a muted string.  The span is the highest minus
the lowest fretted fret; open strings are free.
"""

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
